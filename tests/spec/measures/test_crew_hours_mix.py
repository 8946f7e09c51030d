"""measures.crew_hours_mix: where a crew's paid hours went."""

from support.tables import Season, assert_table


def test_the_hours_of_each_kind_are_shares_of_all_paid_hours() -> None:
    season = Season(
        jobs="""
            | job_no | crew  | feet |
            | 1      | Maple | 120  |
        """,
        hours="""
            | job_no | crew  | task     | hours |
            | 1      | Maple | install  | 6     |
            | 1      | Maple | prep     | 1     |
            | 1      | Maple | drive    | 2     |
            | 1      | Maple | takedown | 1     |
            | 1      | Maple | service  | 0.5   |
            |        | Maple | weather  | 1     |
            |        | Maple | shop     | 1.25  |
            |        | Maple | training | 2.25  |
        """,
    )
    # 15 h in all: driving 2/15, weather 1/15, shop 1.25/15 = 1/12, training 2.25/15 = 3/20
    assert_table(
        season.measure("measures.crew_hours_mix"),
        """
            | crew  | paid_hours | building_hours | drive_hours | later_hours | drive_share | weather_share | shop_share | training_share |
            | Maple | 15         | 7              | 2           | 1.5         | 2/15        | 1/15          | 1/12       | 3/20           |
        """,  # noqa: E501 - a table is read across
    )


def test_a_crew_that_did_not_drive_has_a_share_of_nothing_and_hours_without_a_job_are_its_own() -> None:
    season = Season(
        jobs="""
            | job_no | crew  | feet |
            | 1      | Maple | 120  |
            | 2      | Birch | 80   |
        """,
        hours="""
            | job_no | crew  | task    | hours |
            | 1      | Maple | install | 6     |
            |        | Maple | weather | 2     |
            | 2      | Birch | install | 4     |
        """,
    )
    assert_table(
        season.measure("measures.crew_hours_mix"),
        """
            | crew  | paid_hours | drive_share | weather_share |
            | Maple | 8          | 0           | 1/4           |
            | Birch | 4          | 0           | 0             |
        """,
    )
