"""Sums of job costs: by segment, task, and for service."""

from support.tables import Season, assert_table

NO_BURDEN = {"social_security": "0", "medicare": "0", "futa": "0"}
JOBS = """
    | job_no | work   | terms  | stories | slope | invoiced | install_date |
    | 1      | new    | leased | 1       | 4     | 600      | 2025-11-10   |
    | 2      | repeat | leased | 2       | 9     | 300      | 2025-11-12   |
    | 3      | repeat | sold   | 2       |       | 100      | 2025-11-19   |
"""
RUNS = """
    | job_no | run_no | surface | feet |
    | 1      | 1      | gutter  | 60   |
    | 1      | 2      | ridge   | 30   |
    | 2      | 1      | gutter  | 100  |
    | 3      | 1      | gutter  | 260  |
"""
OVERHEADS = "| what | amount | basis |\n| rent | 900 | jobs |"


def views(name: str) -> list[str]:
    season = Season(jobs=JOBS, runs=RUNS, overheads=OVERHEADS)
    frame = season.measure("measures.segment_cost")
    return frame.filter(frame["view"] == name)


def test_a_segment_s_cost_per_foot_is_a_ratio_of_sums() -> None:
    assert_table(
        views("work"),
        """
            | segment | jobs | feet | total_usd | invoiced_usd | cost_usd_per_ft | charged_usd_per_ft | losing_jobs |
            | new     | 1    | 90   | 300       | 600          | 10/3            | 20/3               | 0           |
            | repeat  | 2    | 360  | 600       | 400          | 5/3             | 10/9               | 1           |
        """,
    )


def test_jobs_are_banded_by_feet_slope_and_week() -> None:
    assert_table(
        views("size_band"),
        "| segment | jobs |\n| under 100 ft | 1 |\n| 100 to 149 ft | 1 |\n| 250 ft and over | 1 |",
    )
    assert_table(views("slope"), "| segment | jobs |\n| under 5/12 | 1 |\n| 9/12 and over | 1 |\n| not recorded | 1 |")
    assert_table(views("week"), "| segment | jobs |\n| 2025-11-10 | 2 |\n| 2025-11-17 | 1 |")


def test_a_surface_bears_a_job_s_cost_by_its_feet() -> None:
    # job 1: 300 usd over 90 ft, 200 on gutter and 100 on ridge; jobs 2 and 3 lie on gutter alone
    assert_table(views("surface"), "| segment | feet | total_usd |\n| gutter | 420 | 800 |\n| ridge | 30 | 100 |")


def test_hours_by_task_with_what_they_cost() -> None:
    season = Season(
        settings=NO_BURDEN | {"weekly_limit": "8"},
        jobs="| job_no | feet |\n| 1 | 100 |",
        workers="| worker_no | hourly_wage |\n| W1 | 20 |",
        hours="| job_no | worker_no | task | hours |\n| 1 | W1 | install | 6 |\n| 1 | W1 | drive | 4 |",
    )
    # 2 h over: premium 200 / 10 / 2 x 2 = 20, and the 2 overtime hours, go 6 : 4
    assert_table(
        season.measure("measures.task_hours"),
        """
            | branch | task    | hours | overtime_hours | premium_usd | loaded_usd |
            | main   | install | 6     | 1.2            | 12          | 132        |
            | main   | drive   | 4     | 0.8            | 8           | 88         |
            | all    | install | 6     | 1.2            | 12          | 132        |
            | all    | drive   | 4     | 0.8            | 8           | 88         |
        """,
    )


def test_the_cost_of_a_call_and_of_a_failed_point() -> None:
    season = Season(
        settings=NO_BURDEN,
        jobs="| job_no | feet | drive_miles |\n| 1 | 100 | 0 |",
        workers="| worker_no | hourly_wage |\n| W1 | 20 |",
        hours="| job_no | worker_no | task | hours | work_date |\n| 1 | W1 | service | 6 | 2025-12-01 |",
        service_calls="""
            | call_no | job_no | points | chargeable |
            | S1      | 1      | 3      | no         |
            | S2      | 1      | 1      | yes        |
        """,
    )
    assert_table(
        season.measure("measures.service_cost"),
        """
            | branch | calls | chargeable_calls | failed_points | service_usd | usd_per_call | usd_per_point |
            | main   | 2     | 1                | 4             | 120         | 60           | 30            |
            | all    | 2     | 1                | 4             | 120         | 60           | 30            |
        """,
    )


def test_without_a_sheet_of_calls_service_has_no_cost_a_call() -> None:
    season = Season(settings=NO_BURDEN, jobs="| job_no | feet |\n| 1 | 100 |")
    assert season.measure("measures.service_cost").is_empty()
