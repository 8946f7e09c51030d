"""Goods that no job bears: shrinkage, leased kits that do not come back, and what later seasons are to bear."""

from __future__ import annotations

from support.tables import Season, assert_table, measure

ITEMS = """
    | item_no | kind       | unit | pack_size | pack_price | life_seasons |
    | LL12    | light_line | ft   | 500       | 200        | 4            |
    | B9      | bulb       | each | 100       | 50         | 2.5          |
"""
NO_BULBS = (
    "| item_no | kind | unit | pack_size | pack_price | life_seasons |\n| LL12 | light_line | ft | 500 | 200 | 4 |"
)


def stocked(**changes: str) -> Season:
    """One branch: 100 ft carried over, 500 ft bought at .40, 120 ft used net, 470 ft left."""
    tables = {
        "jobs": "| job_no | feet | terms |\n| 1 | 100 | sold |",
        "items": NO_BULBS,
        "purchases": "| item_no | packs | pack_size | paid |\n| LL12 | 1 | 500 | 200 |",
        "materials": """
            | job_no | item_no | moved    | quantity |
            | 1      | LL12    | issued   | 130      |
            | 1      | LL12    | returned | 10       |
        """,
        "stock": """
            | item_no | on_hand | condition | counted_on |
            | LL12    | 90      | usable    | 2025-09-01 |
            | LL12    | 10      | doubtful  | 2025-09-01 |
            | LL12    | 430     | usable    | 2026-02-20 |
            | LL12    | 40      | doubtful  | 2026-02-20 |
        """,
    }
    return Season(**(tables | changes))


def test_what_stock_should_hold_and_does_not_is_shrinkage_outside_the_jobs() -> None:
    season = stocked()
    # 100 + 500 - 120 - 470 = 10 ft at .40. Doubtful goods are still there: a worn string is not a missing one.
    assert_table(
        season.measure("measures.shrinkage"),
        """
            | branch | item_no | unit | opening | bought | issued | closing | shrinkage | shrinkage_usd |
            | all    | LL12    | ft   | 100     | 500    | 120    | 470     | 10        | 4             |
        """,
    )
    assert_table(
        season.measure("audit.control"),
        """
            | branch | part      | read_usd | on_jobs_usd | outside_usd | difference_usd |
            | main   | materials | 48       | 48          | 0           | 0              |
            | all    | materials | 4        | 0           | 4           | 0              |
        """,
    )
    assert_table(season.measure("measures.job_cost"), "| job_no | materials_usd |\n| 1 | 48 |")


def test_without_both_counts_or_without_purchases_or_movements_shrinkage_is_unknown() -> None:
    opening = "| item_no | on_hand | counted_on |\n| LL12 | 100 | 2025-09-01 |"
    closing = "| item_no | on_hand | counted_on |\n| LL12 | 100 | 2026-02-20 |"
    for season in (stocked(stock=opening), stocked(stock=closing)):
        assert season.measure("measures.shrinkage").is_empty()
    for name in ("purchases", "materials"):
        season = stocked()
        del season.records[name]
        assert season.measure("measures.shrinkage").is_empty()


def test_an_item_that_is_named_with_its_branch_everywhere_is_reckoned_branch_by_branch() -> None:
    tables = {
        "jobs": "| job_no | branch | feet | terms |\n| 1 | North | 100 | sold |\n| 2 | South | 100 | sold |",
        "purchases": "| item_no | branch | packs | pack_size | paid |\n| LL12 | North | 1 | 500 | 200 |",
        "materials": "| job_no | item_no | quantity |\n| 1 | LL12 | 100 |\n| 2 | LL12 | 20 |",
    }
    counts = """
        | item_no | branch | on_hand | counted_on |
        | LL12    | North  | 0       | 2025-09-01 |
        | LL12    | North  | 395     | 2026-02-20 |
        | LL12    | South  | 50      | 2025-09-01 |
    """
    # North: 500 - 100 - 395 = 5 ft. South was not counted at the end.
    assert_table(
        stocked(**tables, stock=counts).measure("measures.shrinkage"),
        "| branch | shrinkage | shrinkage_usd |\n| North | 5 | 2 |",
    )
    both = counts + "| LL12 | South | 33 | 2026-02-20 |\n"
    assert_table(
        stocked(**tables, stock=both).measure("measures.shrinkage"),
        "| branch | shrinkage | shrinkage_usd |\n| North | 5 | 2 |\n| South | -3 | -1.20 |",
    )
    # One purchase for both branches: they are reckoned together, and only where each was counted at both ends.
    together = tables | {"purchases": "| item_no | packs | pack_size | paid |\n| LL12 | 1 | 500 | 200 |"}
    assert_table(
        stocked(**together, stock=both).measure("measures.shrinkage"),
        "| branch | opening | closing | shrinkage |\n| all | 50 | 428 | 2 |",
    )
    assert stocked(**together, stock=counts).measure("measures.shrinkage").is_empty()


def test_goods_on_held_rows_did_move_and_are_not_missing() -> None:
    season = stocked()
    refused = "| job_no | item_no | moved | quantity | place | why |\n| 99 | LL12 | issued | 8 | {} | made |"
    for place, gone in (("held", 2), ("rejected", 10)):
        made = Season(
            refused={"materials": refused.format(place)}, jobs="| job_no | feet | terms |\n| 1 | 100 | sold |"
        )
        made.records |= season.records
        assert_table(made.measure("measures.shrinkage"), f"| shrinkage |\n| {gone} |")
        assert set(made.measure("audit.control")["difference_usd"]) == {0}


JOBS_2024 = """
    | job_no | property_no | branch | terms  | work   | built_season | install_date |
    | 1      | P1          | North  | leased | new    |              | 2024-11-10   |
    | 2      | P2          | North  | leased | repeat | 2023         | 2024-11-10   |
    | 3      | P3          | North  | leased | new    |              | 2024-11-10   |
    | 4      | P4          | North  | sold   | new    |              | 2024-11-10   |
    | 5      | P5          | South  | leased | new    |              | 2024-11-10   |
"""
RUNS_2024 = "| job_no | run_no | feet |" + "".join(f"\n| {n} | 1 | 100 |" for n in range(1, 6))
MOVES_2024 = "| job_no | item_no | quantity |" + "".join(f"\n| {n} | LL12 | 100 |" for n in (1, 3, 4, 5))


def kits(jobs_2025: str, *, returned_2024: str = "", returned_2025: str = "") -> tuple[Season, Season]:
    """Season 2024 with line alone at .40 a foot for 4 seasons: 40.00 a kit of 100 ft, 10.00 a season."""
    moves = MOVES_2024.replace("quantity |", "quantity | moved |").replace("100 |", "100 | issued |") + returned_2024
    run = {"runs": RUNS_2024.replace("feet |", "feet | bulb_item |").replace("100 |", "100 | NONE |")}
    first = Season(season=2024, jobs=JOBS_2024, items=NO_BULBS, materials=moves, **run)
    refused = "| job_no | item_no | moved | quantity | place | why |" + returned_2025
    second = Season(jobs=jobs_2025, items=NO_BULBS, materials="| item_no |", refused={"materials": refused})
    return first, second


BACK_2025 = """
    | job_no | property_no | branch | terms  | work   | built_season |
    | 11     | P1          | North  | leased | repeat | 2024         |
    | 12     | P9          | North  | sold   | new    |              |
"""


def test_a_leased_kit_that_does_not_come_back_is_written_down_once_outside_the_jobs() -> None:
    seasons = kits(BACK_2025)
    # P1 is back. P2, built 2023, has 2 of 4 seasons left of 40.00; P3 has 3. P4 was sold. South was not closed.
    assert_table(
        measure("measures.leased_write_downs", *seasons),
        """
            | season | branch | job_no | property_no | built_season | carried_usd | to_stock_usd | written_down_usd |
            | 2025   | North  | 2      | P2          | 2023         | 20          | 0            | 20               |
            | 2025   | North  | 3      | P3          | 2024         | 30          | 0            | 30               |
        """,
    )
    control = measure("audit.control", *seasons).filter(season=2025, part="materials")
    assert_table(
        control, "| branch | read_usd | on_jobs_usd | outside_usd | difference_usd |\n| North | 50 | 0 | 50 | 0 |"
    )
    jobs_2026 = BACK_2025.replace("built_season |", "built_season | install_date |")
    jobs_2026 = jobs_2026.replace("2024         |", "2024 | 2026-11-10 |").replace("             |", " | 2026-11-10 |")
    third = Season(season=2026, jobs=jobs_2026, items=NO_BULBS)
    later = measure("measures.leased_write_downs", *seasons, third)
    assert later.filter(season=2026).is_empty()


def test_a_property_that_comes_back_with_new_lines_or_sold_ones_has_lost_its_leased_kit() -> None:
    for said in ("leased | new    |     ", "sold   | repeat | 2024"):
        jobs = BACK_2025.replace("leased | repeat | 2024", said)
        found = measure("measures.leased_write_downs", *kits(jobs))
        assert "1" in found["job_no"].to_list()


def test_a_kit_whose_job_lies_among_the_refused_rows_is_not_written_down() -> None:
    first, second = kits(BACK_2025)
    refused = """
        | job_no | customer_no | property_no | place    | why  |
        | 13     | C3          | P3          | rejected | made |
        | 14     | P2          |             | rejected | made |
    """
    more = Season(jobs=BACK_2025, refused={"jobs": refused})
    more.records |= second.records
    assert measure("measures.leased_write_downs", first, more).is_empty()
    assert set(measure("audit.control", first, more)["difference_usd"]) == {0}


def test_usable_goods_that_the_records_put_back_keep_their_value_and_go_to_stock() -> None:
    seasons = kits(
        BACK_2025,
        returned_2024="\n| 3 | LL12 | 60 | returned |",
        returned_2025="\n| 2 | LL12 | returned | 25 | held | no such job |\n| 3 | LL12 | returned | 70 | held | same |",
    )
    # P3 was new: 60 of its 100 ft came back in 2024 and 70 by a row of 2025; no more than 100 ft can be usable.
    # P2: 25 of 100 ft, a quarter of 20.00.
    assert_table(
        measure("measures.leased_write_downs", *seasons),
        """
            | job_no | built_quantity | usable_quantity | carried_usd | to_stock_usd | written_down_usd |
            | 2      | 100            | 25              | 20          | 5            | 15               |
            | 3      | 100            | 100             | 30          | 30           | 0                |
        """,
    )
    assert set(measure("audit.control", *seasons)["difference_usd"]) == {0}


def test_the_schedule_says_what_goods_already_built_will_cost_each_later_season() -> None:
    season = Season(
        jobs="""
            | job_no | work   | terms  | built_season |
            | 1      | new    | leased |              |
            | 2      | repeat | leased | 2024         |
            | 3      | repeat | leased |              |
            | 4      | new    | sold   |              |
            | 5      | repeat | leased | 2020         |
        """,
        runs="| job_no | run_no | feet |" + "".join(f"\n| {n} | 1 | 100 |" for n in range(1, 6)),
        items=ITEMS,
        materials="| job_no | item_no | quantity |\n| 1 | LL12 | 105 |\n| 1 | B9 | 100 |",
    )
    # A kit: line 40.00 for 4 seasons, 10.00 each; bulbs 50.00 for 2.5: 20, 20 and 10. Job 1 has borne one season:
    # 30 + 30 are left. Job 2 has borne two: 20 + 10. Job 3 does not say. Job 5 is past its life.
    assert_table(
        season.measure("measures.leased_schedule"),
        """
            | built_season | later_season | carried_usd | borne_usd | remaining_usd |
            | 2025         | 2026         | 60          | 30        | 30            |
            | 2025         | 2027         | 30          | 20        | 10            |
            | 2025         | 2028         | 10          | 10        | 0             |
            | 2024         | 2026         | 30          | 20        | 10            |
            | 2024         | 2027         | 10          | 10        | 0             |
            |              | 2026         |             | 30        |               |
        """,
    )


def test_what_the_schedule_says_is_what_the_next_season_bears_where_every_job_comes_back() -> None:
    jobs = "| job_no | work | terms | built_season | install_date |\n| 1 | {} | leased | {} | {}-11-10 |"
    rest = {"runs": "| job_no | run_no | feet |\n| 1 | 1 | 123.4 |", "items": ITEMS}
    bought = (
        "| item_no | packs | pack_size | paid | freight |\n| LL12 | {} | 500 | {} | 7.77 |\n| B9 | 3 | 100 | {} | |"
    )
    first = Season(
        season=2024,
        jobs=jobs.format("new", "", 2024),
        purchases=bought.format(2, 391.13, 133.33),
        materials="| job_no | item_no | quantity |\n| 1 | LL12 | 130 |\n| 1 | B9 | 125 |",
        **rest,
    )
    second = Season(
        jobs=jobs.format("repeat", 2024, 2025),
        purchases=bought.format(1, 260, 150.01),
        materials="| item_no |",
        **rest,
    )
    schedule = measure("measures.leased_schedule", first, second).filter(season=2024, later_season=2025)
    found = measure("measures.job_cost", first, second).filter(season=2025)
    assert schedule["borne_usd"].to_list() == found["materials_usd"].to_list()
