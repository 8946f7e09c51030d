"""facts.job_hours: what a job was, and the hours that went into it."""

from support.tables import Season, assert_table


def test_the_hours_of_a_job_are_kept_by_task_over_all_crews() -> None:
    season = Season(
        jobs="""
            | job_no | crew  | feet | install_date |
            | 1      | Maple | 100  | 2025-11-12   |
        """,
        hours="""
            | job_no | crew  | worker_no | task       | hours |
            | 1      | Maple | W1        | install    | 3     |
            | 1      | Maple | W1        | install    | 1.5   |
            | 1      | Birch | W2        | install    | 2     |
            | 1      | Maple | W3        | prep       | 1     |
            | 1      | Maple | W1        | drive      | 0.5   |
            | 1      | Maple | W1        | takedown   | 1.25  |
            | 1      | Maple | W1        | service    | 0.75  |
            | 1      | Maple | W1        | storage    | 0.25  |
            | 1      | Maple | W1        | other_work | 4     |
        """,
    )
    # 12 November 2025 is a Wednesday; its week starts on Monday the 10th. W3 prepared and did not install.
    assert_table(
        season.measure("facts.job_hours"),
        """
            | crew  | week       | feet | workers | prep_hours | install_hours | drive_hours | takedown_hours | service_hours | storage_hours |
            | Maple | 2025-11-10 | 100  | 2       | 1          | 6.5           | 0.5         | 1.25           | 0.75          | 0.25          |
        """,  # noqa: E501 - a table is read across
    )


def test_shares_of_the_surfaces_go_by_the_feet_of_the_runs() -> None:
    season = Season(
        jobs="""
            | job_no | feet |
            | 1      | 100  |
            | 2      | 80   |
        """,
        runs="""
            | job_no | run_no | surface | feet |
            | 1      | 1      | gutter  | 60   |
            | 1      | 2      | gutter  | 15   |
            | 1      | 3      | ridge   | 25   |
        """,
    )
    assert_table(
        season.measure("facts.job_hours"),
        """
            | job_no | feet | share_gutter | share_ridge | share_trim |
            | 1      | 100  | 0.75         | 0.25        | 0          |
            | 2      | 80   |              |             |            |
        """,
    )


def test_a_job_for_which_nobody_wrote_hours_down_has_unknown_hours_and_not_none() -> None:
    season = Season(
        jobs="""
            | job_no | feet |
            | 1      | 100  |
            | 2      | 80   |
        """,
        hours="""
            | job_no | task    | hours |
            | 1      | install | 3     |
            |        | shop    | 2     |
        """,
    )
    assert_table(
        season.measure("facts.job_hours"),
        """
            | job_no | install_hours | prep_hours | workers |
            | 1      | 3             | 0          | 1       |
            | 2      |               |            |         |
        """,
    )
