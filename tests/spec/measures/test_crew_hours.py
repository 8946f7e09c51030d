"""measures.crew_hours: what a crew's hours come to for 100 roofline feet."""

from support.tables import Season, assert_table


def test_prep_and_install_hours_count_for_a_foot_and_the_rest_stand_beside_them() -> None:
    season = Season(
        jobs="""
            | job_no | crew  | feet |
            | 1      | Maple | 120  |
            | 2      | Maple | 80   |
        """,
        hours="""
            | job_no | crew  | task     | hours |
            | 1      | Maple | prep     | 1     |
            | 1      | Maple | install  | 6     |
            | 1      | Maple | drive    | 0.5   |
            | 2      | Maple | install  | 3     |
            | 2      | Maple | takedown | 2     |
            | 2      | Maple | service  | 1.25  |
        """,
    )
    # (1 + 6 + 3) h / (120 + 80) ft x 100 = 5; install alone: 9 / 200 x 100 = 4.5
    assert_table(
        season.measure("measures.crew_hours"),
        """
            | crew  | jobs | feet | prep_hours | install_hours | takedown_hours | service_hours | drive_hours | hours_per_100_ft | install_hours_per_100_ft |
            | Maple | 2    | 200  | 1          | 9             | 2              | 1.25          | 0.5         | 5                | 4.5                      |
        """,  # noqa: E501 - a table is read across
    )


def test_the_feet_of_a_job_with_several_crews_go_by_their_prep_and_install_hours() -> None:
    season = Season(
        jobs="""
            | job_no | crew  | feet |
            | 1      | Maple | 120  |
        """,
        hours="""
            | job_no | crew  | task    | hours |
            | 1      | Maple | install | 6     |
            | 1      | Birch | install | 2     |
            | 1      | Birch | drive   | 9     |
        """,
    )
    # Maple 120 x 6/8 = 90 ft, Birch 120 x 2/8 = 30 ft; both 8 h / 120 ft = 6.667 h for 100 ft
    assert_table(
        season.measure("measures.crew_hours"),
        """
            | crew  | jobs | feet | hours_per_100_ft |
            | Maple | 1    | 90   | 20/3             |
            | Birch | 1    | 30   | 20/3             |
        """,
    )


def test_a_crew_that_only_took_lines_down_has_no_hours_per_foot() -> None:
    season = Season(
        jobs="""
            | job_no | feet |
            | 1      | 120  |
        """,
        hours="""
            | job_no | crew  | task     | hours |
            | 1      | Maple | install  | 6     |
            | 1      | Birch | takedown | 2     |
        """,
    )
    assert_table(
        season.measure("measures.crew_hours"),
        """
            | crew  | jobs | feet | takedown_hours | hours_per_100_ft |
            | Maple | 1    | 120  | 0              | 5                |
            | Birch | 0    | 0    | 2              |                  |
        """,
    )


def test_feet_are_the_sum_of_the_runs_where_there_are_runs() -> None:
    season = Season(
        jobs="""
            | job_no | feet |
            | 1      | 120  |
        """,
        runs="""
            | job_no | run_no | feet |
            | 1      | 1      | 60.5 |
            | 1      | 2      | 60   |
        """,
        hours="""
            | job_no | hours |
            | 1      | 6     |
        """,
    )
    assert_table(
        season.measure("measures.crew_hours"),
        """
            | crew  | feet  |
            | Maple | 120.5 |
        """,
    )


def test_hours_that_are_not_of_a_job_do_not_count() -> None:
    season = Season(
        jobs="""
            | job_no | feet |
            | 1      | 100  |
        """,
        hours="""
            | job_no | task       | hours |
            | 1      | install    | 5     |
            | 1      | other_work | 3     |
            | 1      | weather    | 2     |
            |        | install    | 4     |
        """,
    )
    assert_table(
        season.measure("measures.crew_hours"),
        """
            | crew  | install_hours | hours_per_100_ft |
            | Maple | 5             | 5                |
        """,
    )


def test_the_same_job_number_in_two_branches_is_two_jobs() -> None:
    season = Season(
        jobs="""
            | job_no | branch | feet |
            | 1      | North  | 100  |
            | 1      | South  | 50   |
        """,
        hours="""
            | job_no | branch | hours |
            | 1      | North  | 5     |
            | 1      | South  | 5     |
        """,
    )
    assert_table(
        season.measure("measures.crew_hours"),
        """
            | branch | feet | hours_per_100_ft |
            | North  | 100  | 5                |
            | South  | 50   | 10               |
        """,
    )


def test_without_an_hours_sheet_there_are_no_crew_hours() -> None:
    season = Season(
        jobs="""
            | job_no | feet |
            | 1      | 100  |
        """
    )
    assert season.measure("measures.crew_hours").is_empty()
