"""facts.pool_weights: what stands in where the basis of a shared amount is 0 for all that would bear it.

Feet stand in for hours and revenue, and the number of jobs for feet; a basis that one job has is kept, and a job that
has none of it then bears nothing.
"""

from support.tables import Season, assert_table, measures

NO_BURDEN = {"social_security": "0", "medicare": "0", "futa": "0"}
WORKERS = "| worker_no | hourly_wage |\n| W1 | 20 |"
WITH_FEET = "| job_no | feet |\n| 1 | 100 |\n| 2 | 300 |"
WITHOUT_FEET = "| job_no | feet |\n| 1 | |\n| 2 | |"
EVERY_BASIS = (
    "| what | amount | basis |\n| a | 40 | hours |\n| b | 80 | revenue |\n| c | 12 | feet |\n| d | 10 | jobs |"
)
SHARED = {
    "hours": "| job_no | worker_no | task | hours |\n| | W1 | shop | 10 |",
    "items": "| item_no | kind | unit | pack_size | pack_price |\n| TAPE | sundry | each | 1 | 1 |",
    "materials": "| job_no | item_no | quantity |\n| | TAPE | 8 |",
    "trips": "| trip_date | miles |\n| 2025-11-15 | 10 |",
    "equipment": "| job_no | amount |\n| | 40 |",
}
"""Shop hours 10 x 20 = 200; goods 8 x 1 = 8; a trip on a day without a job 10 x .70 = 7; a lift 40."""


def test_without_hours_and_revenue_on_any_job_overheads_by_them_go_by_feet() -> None:
    season = Season(settings=NO_BURDEN, jobs=WITH_FEET, overheads=EVERY_BASIS)
    # Feet 100 : 300. Hours 40 -> 10, 30; revenue 80 -> 20, 60; feet 12 -> 3, 9; jobs 10 -> 5, 5. In all 38 and 104.
    jobs, pools = measures(("measures.job_cost", "facts.pool_weights"), season)
    assert_table(jobs, "| job_no | overhead_usd |\n| 1 | 38 |\n| 2 | 104 |")
    assert_table(
        pools.sort("basis"),
        """
            | basis   | used_basis | total_weight |
            | feet    | feet       | 400          |
            | hours   | feet       | 400          |
            | jobs    | jobs       | 2            |
            | revenue | feet       | 400          |
        """,
    )


def test_without_feet_too_they_go_by_jobs() -> None:
    season = Season(settings=NO_BURDEN, jobs=WITHOUT_FEET, overheads=EVERY_BASIS)
    # (40 + 80 + 12 + 10) / 2 = 71 each
    jobs, pools = measures(("measures.job_cost", "facts.pool_weights"), season)
    assert_table(jobs, "| job_no | overhead_usd | cost_usd_per_ft |\n| 1 | 71 | |\n| 2 | 71 | |")
    assert pools["used_basis"].to_list() == ["jobs"] * 4


def test_every_shared_part_goes_by_feet_where_no_job_has_hours() -> None:
    season = Season(settings=NO_BURDEN, jobs=WITH_FEET, workers=WORKERS, **SHARED)
    # 200 -> 50, 150; 8 -> 2, 6; 7 -> 1.75, 5.25; 40 -> 10, 30
    assert_table(
        season.measure("measures.job_cost"),
        """
            | job_no | labor_usd | materials_usd | travel_usd | equipment_usd |
            | 1      | 50        | 2             | 1.75       | 10            |
            | 2      | 150       | 6             | 5.25       | 30            |
        """,
    )


def test_every_shared_part_goes_by_jobs_where_no_job_has_hours_or_feet() -> None:
    season = Season(settings=NO_BURDEN, jobs=WITHOUT_FEET, workers=WORKERS, **SHARED)
    assert_table(
        season.measure("measures.job_cost"),
        """
            | job_no | labor_usd | materials_usd | travel_usd | equipment_usd |
            | 1      | 100       | 4             | 3.50       | 20            |
            | 2      | 100       | 4             | 3.50       | 20            |
        """,
    )


def test_subcontract_pay_without_a_job_and_what_was_bought_in_all_follow_the_same_order() -> None:
    given = {
        "pay": "| worker_no | kind | amount |\n| W9 | subcontract | 60 |",
        "purchases": "| item_no | packs | pack_size | paid |\n| TAPE | 1 | 1 | 20 |",
    }
    by_feet = Season(settings=NO_BURDEN, jobs=WITH_FEET, **given)
    # 60 by hours, of which there are none, by feet: 15, 45. 20 by feet: 5, 15.
    assert_table(
        by_feet.measure("measures.job_cost"),
        "| job_no | labor_usd | materials_usd |\n| 1 | 15 | 5 |\n| 2 | 45 | 15 |",
    )
    by_jobs = Season(settings=NO_BURDEN, jobs=WITHOUT_FEET, **given)
    assert_table(
        by_jobs.measure("measures.job_cost"),
        "| job_no | labor_usd | materials_usd |\n| 1 | 30 | 10 |\n| 2 | 30 | 10 |",
    )


def test_a_basis_is_zero_for_a_branch_by_its_own_jobs_whatever_other_branches_have() -> None:
    season = Season(
        settings=NO_BURDEN,
        jobs="""
            | job_no | branch | feet | invoiced |
            | 1      | North  | 100  | 0        |
            | 2      | North  | 200  | 0        |
            | 3      | South  | 100  | 500      |
            | 4      | South  | 200  | 1500     |
        """,
        overheads="""
            | what | branch | amount | basis   |
            | rent | North  | 90     | revenue |
            | rent | South  | 80     | revenue |
            | web  |        | 40     | revenue |
        """,
    )
    # North has no revenue: 90 by feet 100 : 200 -> 30, 60. South by revenue 500 : 1500 -> 20, 60.
    # Of all: 40 by revenue 0 : 0 : 500 : 1500 -> 0, 0, 10, 30.
    assert_table(
        season.measure("measures.job_cost"),
        "| job_no | overhead_usd |\n| 1 | 30 |\n| 2 | 60 |\n| 3 | 30 |\n| 4 | 90 |",
    )


def test_a_job_without_any_of_a_basis_that_others_have_bears_nothing() -> None:
    season = Season(
        settings=NO_BURDEN, jobs=WITH_FEET, workers=WORKERS, hours="| job_no | worker_no | hours |\n| 1 | W1 | 2 |",
        overheads="| what | amount | basis |\n| a | 40 | hours |",
    )  # fmt: skip
    assert_table(season.measure("measures.job_cost"), "| job_no | overhead_usd |\n| 1 | 40 |\n| 2 | 0 |")


def test_what_went_by_a_basis_that_stands_in_adds_up_to_the_last_cent_and_to_the_control() -> None:
    season = Season(
        settings=NO_BURDEN,
        jobs="| job_no | feet |\n| 1 | |\n| 2 | |\n| 3 | |",
        overheads="| what | amount | basis |\n| rent | 100 | hours |",
    )
    # 100 / 3 = 33.33 and a third of a cent each: the one cent left goes to the first job number.
    jobs, control = measures(("measures.job_cost", "audit.control"), season)
    assert_table(jobs, "| job_no | overhead_usd |\n| 1 | 33.34 |\n| 2 | 33.33 |\n| 3 | 33.33 |")
    overhead = control.filter((control["part"] == "overhead") & (control["branch"] == "all"))
    assert_table(overhead, "| read_usd | on_jobs_usd | spread_usd | difference_usd |\n| 100 | 0 | 100 | 0 |")
