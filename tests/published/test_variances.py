"""Variances against a published worked example of standard costing."""

from __future__ import annotations

from support.tables import Season, assert_table, measure

LAW = {"social_security": "0", "medicare": "0", "futa": "0", "weekly_limit": "1000000"}
ITEMS = "| item_no | unit | pack_size | pack_price |\n| RAW | each | 1 | {price} |"
WORKERS = "| worker_no | hourly_wage |\n| W1 | 9 |"
MATERIALS = "| job_no | item_no | quantity |\n| 1 | RAW | {quantity} |"


def hours(day: str, amount: int) -> str:
    """So many hours in rows of 20: a row of hours has no more than a day's."""
    return "| job_no | worker_no | work_date | hours |\n" + f"| 1 | W1 | {day} | 20 |\n" * (amount // 20)


def test_price_and_efficiency_of_200_000_lb_and_99_200_h() -> None:
    """200,000 lb bought and used for $105,500, standard 2 lb at $0.50 for 97,810 units: price 5,500 U, quantity
    2,190 U; 99,200 h for $905,000, standard 1 h at $9: rate 12,200 U, efficiency 12,510 U.

    The standard is a season of 1,000 ft that took 2,000 lb at $0.50 and 1,000 h at $9; a unit of the example is a foot.
    105,500 / 200,000 is .5275 a pound. 99,200 h at $9 are 892,800, and a bonus of 12,200 makes them 905,000.
    """
    before = Season(
        season=2024,
        settings=LAW,
        jobs="| job_no | feet | terms | install_date |\n| 1 | 1000 | sold | 2024-11-11 |",
        items=ITEMS.format(price="0.50"),
        materials=MATERIALS.format(quantity=2_000),
        workers=WORKERS,
        hours=hours("2024-11-11", 1_000),
    )
    now = Season(
        settings=LAW,
        jobs="| job_no | feet | terms |\n| 1 | 97810 | sold |",
        items=ITEMS.format(price="0.5275"),
        materials=MATERIALS.format(quantity=200_000),
        workers=WORKERS,
        hours=hours("2025-11-10", 99_200),
        pay="| worker_no | kind | amount |\n| W1 | bonus | 12200 |",
    )
    variances = measure("measures.variances", before, now)
    assert_table(
        variances.filter((variances["variance_usd"] != 0) & (variances["kind"] != "volume")),
        """
            | part      | line    | kind       | quantity | standard_quantity | standard_usd_per_unit | variance_usd |
            | materials | RAW     | price      | 200000   | 195620            | 0.5                   | 5500         |
            | materials | RAW     | usage      | 200000   | 195620            | 0.5                   | 2190         |
            | labor     | install | rate       | 99200    | 97810             | 9                     | 12200        |
            | labor     | install | efficiency | 99200    | 97810             | 9                     | 12510        |
        """,
    )
