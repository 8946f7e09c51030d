"""measures.goods_beyond_built and audit.goods_findings: what is used beyond what stands, and what cannot be."""

from __future__ import annotations

from support.tables import Season, assert_table, measure

ITEMS = """
    | item_no | kind       | unit | pack_size | pack_price |
    | LL12    | light_line | ft   | 500       | 150        |
    | B9      | bulb       | each | 25        | 20         |
    | PL      | plug       | each | 10        | 8          |
    | ZC      | zip_cord   | ft   | 250       | 40         |
"""
JOBS = """
    | job_no | work   | terms  | built_season | feet |
    | 1      | new    | leased |              | 100  |
    | 2      | repeat | leased | 2024         | 60   |
    | 3      | new    | sold   |              | 40   |
"""
RUNS = "| job_no | run_no | feet |\n| 1 | 1 | 100 |\n| 2 | 1 | 60 |\n| 3 | 1 | 40 |"
HOURS = """
    | job_no | work_date  | task    | hours |
    | 1      | 2025-12-05 | service | 1     |
    | 2      | 2025-11-11 | install | 1     |
"""
MOVES = """
    | job_no | item_no | moved    | quantity | move_date  |
    | 1      | LL12    | issued   | 130      | 2025-11-10 |
    | 1      | LL12    | returned | 15       | 2025-11-11 |
    | 1      | LL12    | scrapped | 6        | 2025-11-11 |
    | 1      | LL12    | issued   | 2        | 2025-12-05 |
    | 2      | LL12    | issued   | 9        | 2025-11-11 |
    | 2      | LL12    | scrapped | 4        |            |
    | 3      | LL12    | issued   | 42       |            |
    |        | LL12    | issued   | 3        |            |
    | 1      | PL      | issued   | 5        |            |
    | 1      | ZC      | issued   | 20       |            |
    | 1      | ZC      | scrapped | 1        |            |
"""


def test_offcut_scrap_replacement_service_and_what_is_used_up_are_kept_apart_in_units_and_money() -> None:
    season = Season(jobs=JOBS, runs=RUNS, items=ITEMS, hours=HOURS, materials=MOVES)
    # LL12 on job 1: 130 - 15 = 115 for 100 ft, 6 of the 15 ft beyond are scrap, 9 offcut; 2 ft on a service day.
    # Job 3: 2 ft of offcut. Job 2: 9 ft, of which 4 are lost and 5 replace. A foot is .30. How many plugs stand is not
    # known.
    assert_table(
        season.measure("measures.goods_beyond_built"),
        """
            | branch | item_no | offcut | scrap | replacement | service | used_up | not_told_apart | without_job |
            | main   | LL12    | 11     | 10    | 5           | 2       | 0       | 0              | 0           |
            | main   | B9      | -140   | 0     | 0           | 0       | 0       | 0              | 0           |
            | main   | PL      | 0      | 0     | 0           | 0       | 0       | 5              | 0           |
            | main   | ZC      | 0      | 1     | 0           | 0       | 19      | 0              | 0           |
            | all    | LL12    | 0      | 0     | 0           | 0       | 0       | 0              | 3           |
        """,
    )
    assert_table(
        season.measure("measures.goods_beyond_built").filter(item_no="LL12", branch="main"),
        "| offcut_usd | scrap_usd | replacement_usd | service_usd |\n| 3.30 | 3 | 1.50 | 0.60 |",
    )
    assert_table(
        season.measure("measures.goods_beyond_built").filter(item_no="ZC"),
        "| scrap_usd | used_up_usd |\n| 0.16 | 3.04 |",
    )


def test_quantities_that_cannot_be_are_found_and_stop_nothing() -> None:
    season = Season(
        jobs=JOBS,
        runs=RUNS,
        items=ITEMS,
        materials="""
            | job_no | item_no | moved    | quantity | unit  |
            | 1      | LL12    | issued   | 80       | ft    |
            | 1      | B9      | returned | 3        | each  |
            | 2      | LL12    | returned | 60       | ft    |
            | 2      | B9      | returned | 75       | each  |
            | 3      | LL12    | issued   | 40       | ft    |
            | 3      | B9      | issued   | 40       | each  |
            |        | ZC      | returned | 5        | ft    |
            | 3      | TAPE    | issued   | 2        | pack  |
            | 3      | GLUE    | issued   | 2        | each  |
        """,
    )
    # Job 2: all 60 ft may come back, but no 75 of 60 bulbs. Job 1: 100 ft stand and 80 were issued.
    assert_table(
        season.measure("audit.goods_findings"),
        """
            | job_no | item_no | rule                               | quantity | usd  |
            | 1      | LL12    | what_stands_was_issued             | 20       | 6    |
            | 1      | B9      | no_more_comes_back_than_was_issued | 3        | 2.40 |
            | 2      | B9      | no_more_comes_back_than_stands     | 15       | 12   |
            |        | ZC      | no_more_comes_back_than_was_issued | 5        | 0.80 |
            | 3      | TAPE    | goods_have_a_price                 |          |      |
            | 3      | GLUE    | goods_have_a_price                 | 2        |      |
        """,
    )
    assert season.measure("measures.job_cost").height == 3


def test_more_in_stock_than_can_be_there_is_found() -> None:
    season = Season(
        jobs=JOBS,
        items=ITEMS,
        purchases="| item_no | packs | pack_size | paid |\n| ZC | 1 | 250 | 50 |",
        materials="| job_no | item_no | quantity |\n| 1 | ZC | 100 |",
        stock="| item_no | on_hand | counted_on |\n| ZC | 0 | 2025-09-01 |\n| ZC | 170 | 2026-02-01 |",
    )
    assert_table(
        season.measure("audit.goods_findings"),
        "| branch | item_no | rule | quantity | usd |\n| | ZC | what_is_counted_can_be_there | 20 | 4 |",
    )


def test_a_kit_that_was_written_down_and_stands_again_is_found() -> None:
    jobs = "| job_no | property_no | work | terms | built_season | install_date |\n"
    rest = {"items": ITEMS, "runs": "| job_no | run_no | feet |\n| 1 | 1 | 100 |", "materials": "| item_no |"}
    seasons = (
        Season(season=2023, jobs=jobs + "| 1 | P1 | repeat | leased | 2022 | 2023-11-10 |", **rest),
        Season(season=2024, jobs=jobs + "| 1 | P2 | repeat | sold | | 2024-11-10 |", **rest),
        Season(season=2025, jobs=jobs + "| 1 | P1 | repeat | leased | 2022 | 2025-11-10 |", **rest),
    )
    assert_table(
        measure("audit.goods_findings", *seasons),
        """
            | season | job_no | item_no | rule                          | quantity |
            | 2025   | 1      | LL12    | what_was_written_down_is_gone | 100      |
            | 2025   | 1      | B9      | what_was_written_down_is_gone | 100      |
        """,
    )


def test_goods_outside_the_jobs_are_what_control_has_outside() -> None:
    jobs = "| job_no | property_no | work | terms | install_date |\n"
    first = Season(
        season=2024,
        jobs=jobs + "| 1 | P1 | new | leased | 2024-11-10 |\n| 2 | P2 | new | leased | 2024-11-10 |",
        items=ITEMS,
        runs="| job_no | run_no | feet | bulb_item |\n| 1 | 1 | 100 | NONE |\n| 2 | 1 | 60 | NONE |",
        materials="| job_no | item_no | quantity |\n| 1 | LL12 | 104 |\n| 2 | LL12 | 60 |",
    )
    second = Season(
        jobs=jobs + "| 7 | P7 | new | leased | 2025-11-10 |",
        items=ITEMS,
        runs="| job_no | run_no | feet | bulb_item |\n| 7 | 1 | 50 | NONE |",
        materials="| job_no | item_no | quantity |\n| 7 | LL12 | 50 |",
        purchases="| item_no |",
        stock="| item_no | on_hand | counted_on |\n| LL12 | 80 | 2025-09-01 |\n| LL12 | 20 | 2026-02-01 |",
        refused={
            "materials": """
                | job_no | item_no | moved    | quantity | place | why  |
                | 2      | LL12    | returned | 20       | held  | made |
            """
        },
    )
    # 2024: 160 ft at .30 stand; three quarters of 30.00 and 18.00 are carried on. 2025: both kits are gone; 20 of the
    # 60 ft of job 2 are usable: a third of 13.50. Stock: 80 - 20 - (50 - 20) = 30 ft are missing.
    assert_table(
        measure("measures.goods_outside_jobs", first, second),
        """
            | season | branch | capitalised_usd | to_stock_usd | written_down_usd | kits_gone | shrinkage_usd |
            | 2024   | main   | 48              | 0            | 0                | 0         |               |
            | 2025   | main   | 15              | 4.50         | 31.50            | 2         |               |
            | 2025   | all    | 0               | 0            | 0                | 0         | 9             |
        """,
    )
    control = measure("audit.control", first, second).filter(season=2025, part="materials")
    assert_table(control, "| branch | outside_usd | difference_usd |\n| main | 51 | 0 |\n| all | 9 | 0 |")
