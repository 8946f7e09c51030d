"""How an item's order was built up, in sentences."""

from __future__ import annotations

from datetime import date
from typing import Any

from pipeline.documents.trace_order import order_notes

LINE: dict[str, Any] = {
    "unit": "ft", "need_p10": 5400.0, "need_p50": 7300.0, "need_p90": 9500.0, "on_hand": 1960.0, "packs": 7,
    "pack_size": 1000.0, "pack_price": 347.03, "offer": "offer, 1000 a pack", "amount_usd": 2429.21,
    "order_by": date(2026, 4, 30), "top_up_p50": 1000.0, "top_up_p90": 2000.0, "chance_short": 0.0501,
    "fewer_usd": None,
}  # fmt: skip
DRIVERS: list[dict[str, Any]] = [
    {"what": "how many new jobs there are", "mean_need": 7000.0, "low": 6000.0, "high": 8100.0, "variance_share": 0.7},
    {"what": "which properties return", "mean_need": -300.0, "low": -300.0, "high": -300.0, "variance_share": None},
    {"what": "which new jobs they are", "mean_need": 0.2, "low": -900.0, "high": 950.0, "variance_share": 0.2},
    {"what": "use in the shop, without a job", "mean_need": 0.0, "low": -0.2, "high": 0.3, "variance_share": 1e-9},
]


def said(*lines: dict[str, Any]) -> list[str]:
    return [one.replace("\N{NO-BREAK SPACE}", " ") for one in order_notes(2026, lines, DRIVERS)]


def test_need_drivers_stock_packs_and_chance_follow_each_other() -> None:
    assert said(LINE) == [
        "Order for season 2026/27: a need of 7,300 ft in the middle, 5,400 ft to 9,500 ft in eight seasons of ten.",
        "Of it how many new jobs there are: 7,000 ft on average, 6,000 ft to 8,100 ft in eight seasons of ten; 70 % of "
        "what the need varies by.",
        "Of it which properties return: \N{MINUS SIGN}300 ft on average.",
        "Of it which new jobs they are: 0 ft on average, \N{MINUS SIGN}900 ft to 950 ft in eight seasons of ten; 20 % "
        "of what the need varies by.",
        "On hand: 1,960 ft.",
        "Ordered: 7 packs of 1,000 ft at $347.03 (offer, 1000 a pack), $2,429.21, by 30 Apr 2026.",
        "Bought later, once the season's jobs are known: 1,000 ft in the middle case, 2,000 ft in one season of ten.",
        "Chance of running short: 5.0 %.",
    ]


def test_one_pack_nothing_ordered_and_no_day() -> None:
    one = LINE | {"packs": 1, "order_by": None, "unit": "each", "top_up_p90": 0.0, "amount_usd": 347.03}
    assert "Ordered: 1 pack of 1,000 at $347.03 (offer, 1000 a pack), $347.03." in said(one)
    assert "Ordered: nothing." in said(one | {"packs": 0})
    assert not any("Bought later" in line for line in said(one))


def test_an_order_beyond_the_high_need_says_what_fewer_would_cost() -> None:
    assert said(LINE | {"fewer_usd": 105.74})[-1] == (
        "More than a pack beyond the high need is ordered: fewer would cost $105.74 more in the end."
    )


def test_an_item_that_is_not_in_the_order_is_said() -> None:
    assert said() == ["The order for season 2026/27 does not have this item: nothing says what it would be needed for."]
