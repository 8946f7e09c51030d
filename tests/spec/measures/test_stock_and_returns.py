"""facts.closing_stock, facts.property_seasons and measures.season_level: what next season starts from."""

from support.tables import Season, assert_table, measure

JOBS = """
    | job_no | feet | install_date |
    | 1      | 100  | 2025-10-20   |
    | 2      | 60   | 2025-11-20   |
"""
ITEMS = """
    | item_no |
    | LL12    |
    | B9      |
"""


def test_the_newest_count_after_the_first_installation_is_the_closing_stock() -> None:
    season = Season(
        jobs=JOBS,
        items=ITEMS,
        stock="""
            | item_no | branch | on_hand | condition | counted_on |
            | LL12    | North  | 900     | usable    | 2025-10-19 |
            | LL12    | North  | 500     | usable    | 2025-12-01 |
            | LL12    | North  | 300     | usable    | 2026-02-02 |
            | LL12    | North  | 60      | usable    | 2026-02-02 |
            | LL12    | North  | 25      | doubtful  | 2026-02-03 |
            | LL12    | South  | 40      | usable    | 2025-10-20 |
            | B9      |        | 10      | doubtful  |            |
        """,
    )
    # LL12 usable: 300 + 60 in the north, 40 in the south, counted on the day of the first installation itself.
    assert_table(
        season.measure("facts.closing_stock"),
        """
            | item_no | usable | doubtful |
            | LL12    | 400    | 25       |
            | B9      | 0      | 10       |
        """,
    )


def test_an_item_that_was_only_counted_before_the_season_has_no_closing_stock() -> None:
    season = Season(
        jobs=JOBS,
        items=ITEMS,
        stock="""
            | item_no | on_hand | counted_on |
            | LL12    | 900     | 2025-10-19 |
        """,
    )
    assert season.measure("facts.closing_stock").is_empty()


def test_a_property_returned_when_it_has_a_job_in_the_next_season() -> None:
    first = Season(
        season=2024,
        jobs="""
            | job_no | customer_no | property_no | feet | terms  | built_season | install_date |
            | 1      | C1          | P1          | 100  | leased |              | 2024-11-10   |
            | 2      | C2          |             | 100  | sold   | 2022         | 2024-11-10   |
        """,
    )
    second = Season(
        season=2025,
        jobs="""
            | job_no | customer_no | property_no | feet | terms  |
            | 1      | C1          | P1          | 100  | sold   |
            | 2      | C1          | P1          | 20   | leased |
            | 3      | C3          |             | 100  | sold   |
        """,
    )
    assert_table(
        measure("facts.property_seasons", first, second),
        """
            | season | property_no | customer_no | terms  | tenure | returned |
            | 2024   | P1          | C1          | leased | 1      | yes      |
            | 2024   | C2          | C2          | sold   | 3      | no       |
            | 2025   | P1          | C1          | leased | 2      |          |
            | 2025   | C3          | C3          | sold   | 1      |          |
        """,
    )


def test_whether_it_returned_is_unknown_where_the_branch_was_not_closed_next_season() -> None:
    first = Season(
        season=2024,
        jobs="""
            | job_no | branch | feet | install_date |
            | 1      | North  | 100  | 2024-11-10   |
            | 2      | South  | 100  | 2024-11-10   |
        """,
    )
    second = Season(
        season=2025,
        jobs="""
            | job_no | branch | feet |
            | 9      | North  | 100  |
        """,
    )
    assert_table(
        measure("facts.property_seasons", first, second).filter(season=2024),
        """
            | branch | property_no | returned |
            | North  | C1          | no       |
            | South  | C2          |          |
        """,
    )


def test_jobs_alone_are_level_one() -> None:
    level = Season(
        jobs=JOBS,
        hours="""
            | job_no | hours |
            |        | 6     |
        """,
    ).measure("measures.season_level")
    assert_table(
        level,
        """
            | level | has_jobs | has_hours | has_job_hours | has_runs |
            | 1     | yes      | yes       | no            | no       |
        """,
    )
    assert level["missing_next"][0].startswith("Level 2 needs hours by job and task;")


def test_hours_by_job_are_level_two_and_the_missing_tables_of_level_three_are_named() -> None:
    level = Season(
        jobs=JOBS,
        hours="""
            | job_no | hours |
            | 1      | 6     |
        """,
        items=ITEMS,
        materials="| item_no |",
    ).measure("measures.season_level")
    assert level["level"].to_list() == [2]
    assert level["missing_next"][0].startswith("Level 3 needs runs, stock;")


def test_a_season_with_every_table_is_level_four() -> None:
    level = Season(
        jobs=JOBS,
        hours="""
            | job_no | hours |
            | 1      | 6     |
        """,
        runs="| job_no |",
        items=ITEMS,
        materials="| item_no |",
        stock="| item_no |",
        connections="| job_no |",
        service_calls="| call_no |",
    ).measure("measures.season_level")
    assert_table(
        level,
        """
            | level | has_service_calls | missing_next |
            | 4     | yes               |              |
        """,
    )
