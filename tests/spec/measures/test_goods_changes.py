"""measures.goods_changes: why goods cost more or less than in the season before."""

from __future__ import annotations

import polars as pl
from support.tables import Season, assert_table, measure

RUNS = "| job_no | run_no | feet | spacing_in | line_item |\n| 1 | 1 | {new} | 12 | LL |\n| 2 | 1 | 100 | 12 | LL |"


def season(year: int, *, new: int, price: str, goods: str) -> Season:
    day = f"{year}-11-11"
    return Season(
        season=year,
        jobs=f"""
            | job_no | feet  | work   | terms | install_date |
            | 1      | {new} | new    | sold  | {day}        |
            | 2      | 100   | repeat | sold  | {day}        |
        """,
        items=f"""
            | item_no | kind       | unit | pack_size | pack_price |
            | LL      | light_line | ft   | 100       | {price}    |
            | ZC      | zip_cord   | ft   | 100       | 50         |
            | TAPE    | sundry     | each | 1         | 3          |
        """,
        runs=RUNS.format(new=new),
        connections="| job_no | kind | count |",
        materials=f"| job_no | item_no | quantity |\n{goods}",
    )


def test_a_change_is_more_work_more_use_for_it_and_another_price() -> None:
    """Line: before 110 ft on 100 ft of new work and 10 ft on 100 ft of repeat, at .40: 48.00. Now 200 ft are new and
    100 repeat: work 220 + 10 - 120 = 110 ft x .40 = 44.00; used 225 + 12 = 237, so 7 ft x .40 = 2.80 beyond; price
    237 x (.50 - .40) = 23.70; now 118.50. Zip cord is in no run: feet went from 200 to 300, so 20 ft are due 30 ft and
    33 were used, at .50: 10.00 + 5.00 + 1.50 = 16.50. Tape was used in one season: its reasons are not known."""
    before = season(2024, new=100, price="40", goods="| 1 | LL | 110 |\n| 2 | LL | 10 |\n| 1 | ZC | 20 |")
    now = season(
        2025, new=200, price="50", goods="| 1 | LL | 225 |\n| 2 | LL | 12 |\n| 1 | ZC | 33 |\n| 1 | TAPE | 2 |"
    )
    found = measure("measures.goods_changes", before, now)
    assert set(found["season"]) == {2025}
    money = [c for c in found.columns if c.endswith("_usd")]
    assert_table(
        found.with_columns(pl.col(money).round(6)),
        """
            | kind       | used_before | used | before_usd | work_usd | use_usd | price_usd | now_usd |
            | light_line | 120         | 237  | 48         | 44       | 2.8     | 23.7      | 118.5   |
            | zip_cord   | 20          | 33   | 10         | 5        | 1.5     | 0         | 16.5    |
            | sundry     |             | 2    |            |          |         |           | 6       |
        """,
    )


def test_the_first_season_has_nothing_before_it() -> None:
    only = season(2025, new=100, price="40", goods="| 1 | LL | 110 |")
    assert only.measure("measures.goods_changes").is_empty()
