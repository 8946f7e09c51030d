"""facts.unit_costs: what a unit of an item costs, wherever goods become money."""

from decimal import Decimal

from support.tables import Season, assert_table, measure

JOBS = "| job_no | feet | terms | install_date |\n| 1 | 100 | sold | 2025-11-10 |"
ITEMS = """
    | item_no | kind       | unit | pack_size | pack_price |
    | LL12    | light_line | ft   | 500       | 150        |
    | B9      | bulb       | each | 25        | 20         |
    | ZIP     | zip_cord   | ft   | 250       | 40         |
"""
PURCHASES = """
    | item_no | packs | pack_size | paid | freight |
    | LL12    | 2     | 1000      | 560  | 40      |
    | LL12    | 1     | 500       | 155  |         |
    | B9      | 4     | 25        | 70   | 6       |
"""
STOCK = """
    | item_no | branch | on_hand | condition | counted_on |
    | LL12    | North  | 999     | usable    | 2025-09-01 |
    | LL12    | North  | 300     | usable    | 2025-10-01 |
    | LL12    | South  | 150     | usable    | 2025-09-15 |
    | LL12    | South  | 50      | usable    | 2025-09-15 |
    | LL12    | South  | 80      | doubtful  | 2025-09-15 |
    | LL12    |        | 700     | usable    | 2026-02-01 |
    | LL12    |        | 60      | usable    | 2025-11-10 |
    | ZIP     |        | 90      | usable    | 2025-09-15 |
"""


def test_a_unit_costs_the_average_of_purchases_with_freight_and_usable_opening_stock_at_list_price() -> None:
    season = Season(jobs=JOBS, items=ITEMS, purchases=PURCHASES, stock=STOCK)
    # LL12: 300 + 150 + 50 = 500 ft carried over at 150 / 500 = 150.00; bought 2,500 ft for 560 + 40 + 155 = 755.00.
    # 905.00 / 3,000 ft. A count on the day of the first installation is no opening stock, and the newest day counts.
    # B9: 100 bulbs for 76.00. ZIP was not bought: 40 / 250, whatever was carried over.
    assert_table(
        season.measure("facts.unit_costs"),
        """
            | item_no | opening_quantity | opening_usd | bought_quantity | bought_usd | basis                       | unit_cost_usd  |
            | LL12    | 500              | 150         | 2500            | 755        | purchases and opening stock | 0.301666666667 |
            | B9      | 0                | 0           | 100             | 76         | purchases                   | 0.76           |
            | ZIP     | 90               | 14.40       | 0               | 0          | list price                  | 0.16           |
        """,  # noqa: E501 - a table is read across
    )


def test_the_ratio_is_in_smallest_terms_and_exact() -> None:
    cost = Season(jobs=JOBS, items=ITEMS, purchases=PURCHASES, stock=STOCK).measure("facts.unit_costs")
    line = cost.filter(item_no="LL12").row(0, named=True)
    # 905 / 3,000 is 181 / 600.
    assert line["cost_usd"] / line["cost_quantity"] == Decimal(181) / Decimal(600)
    assert line["cost_usd"] < Decimal("0.000001")


def test_goods_become_money_at_that_cost_in_whatever_unit_they_are_written() -> None:
    """A spool and a case are one pack as items lists it, whatever pack was bought; a dozen is twelve."""
    season = Season(
        jobs=JOBS,
        items=ITEMS,
        purchases=PURCHASES,
        materials="""
            | job_no | item_no | moved    | quantity | unit  |
            | 1      | LL12    | issued   | 1        | spool |
            | 1      | LL12    | returned | 20       | ft    |
            | 1      | B9      | issued   | 2        | case  |
            | 1      | B9      | issued   | 3        | dozen |
            | 1      | B9      | issued   | 1        | pack  |
            | 1      | B9      | returned | 10       | each  |
            |        | LL12    | issued   | 50       | ft    |
        """,
    )
    # No stock was counted: 755 / 2,500 = .302 a foot. Line 500 - 20 = 480 ft, 144.96; bulbs 50 + 36 + 25 - 10 = 101 at
    # .76, 76.76; the shop's 50 ft are 15.10.
    assert_table(season.measure("measures.job_cost"), "| job_no | materials_usd |\n| 1 | 236.82 |")
    assert_table(
        season.measure("audit.control").filter(part="materials"),
        """
            | branch | read_usd | on_jobs_usd | spread_usd | difference_usd |
            | main   | 221.72   | 221.72      | 0          | 0              |
            | all    | 15.10    | 0           | 15.10      | 0              |
        """,
    )


def test_a_freight_of_its_own_row_and_goods_that_cost_nothing_count_as_they_are() -> None:
    season = Season(
        jobs=JOBS,
        items=ITEMS,
        purchases="""
            | item_no | packs | pack_size | paid | freight |
            | B9      | 1     | 25        | 0    |         |
            | B9      | 1     | 25        | 20   | 5       |
            | ZIP     | 1     | 250       | 0    | 0       |
        """,
        materials="| job_no | item_no | quantity |\n| 1 | B9 | 10 |\n| 1 | ZIP | 10 |",
    )
    # 25 / 50 bulbs is .50 a bulb; cord that was given costs nothing.
    assert_table(season.measure("measures.job_cost"), "| job_no | materials_usd |\n| 1 | 5 |")


def test_what_was_bought_has_a_cost_where_no_items_were_listed() -> None:
    season = Season(
        jobs=JOBS,
        purchases="| item_no | packs | pack_size | paid |\n| LL12 | 2 | 500 | 300 |",
        materials="| job_no | item_no | quantity | unit |\n| 1 | LL12 | 110 | ft |",
    )
    assert_table(
        season.measure("facts.unit_costs"), "| item_no | basis | kind | life_seasons |\n| LL12 | purchases | | 4 |"
    )
    found = season.measure("measures.job_cost")
    assert_table(found, "| job_no | materials_usd |\n| 1 | 33 |")
    assert "goods have no prices" not in found["understated_why"][0]


def test_a_pack_of_an_item_that_is_not_listed_has_no_size_and_the_job_says_so() -> None:
    season = Season(
        jobs="| job_no | feet | terms |\n| 1 | 100 | sold |\n| 2 | 100 | sold |",
        purchases="| item_no | packs | pack_size | paid |\n| LL12 | 2 | 500 | 300 |",
        materials="| job_no | item_no | quantity | unit |\n| 1 | LL12 | 1 | spool |\n| 2 | LL12 | 10 | ft |",
    )
    found = season.measure("measures.job_cost").sort("job_no")
    assert ["goods have no prices" in why for why in found["understated_why"]] == [True, False]


def test_each_season_has_its_own_cost() -> None:
    first = Season(season=2024, jobs=JOBS, items=ITEMS, purchases=PURCHASES)
    second = Season(season=2025, jobs=JOBS, items=ITEMS)
    assert_table(
        measure("facts.unit_costs", first, second).filter(item_no="B9"),
        "| season | unit_cost_usd |\n| 2024 | 0.76 |\n| 2025 | 0.80 |",
    )
