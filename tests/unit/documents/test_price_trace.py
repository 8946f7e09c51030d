"""A price and the lines that it is made of."""

from __future__ import annotations

from decimal import Decimal

from pipeline.documents.trace import price_traced


def part(name: str, now: float, later: float) -> dict:
    return {"part": name, "now_usd_per_ft": now, "rise_share": later / now - 1, "next_usd_per_ft": later, "why": "rise"}


def test_a_price_is_its_parts_what_they_may_differ_by_and_the_margin() -> None:
    """A price of 8.00 at 35 %: 2.80 is margin and 5.20 cost, of which 3.00 labor and 1.50 overhead are expected; .70 is
    for seasons and jobs that differ."""
    price = {"season": 2026, "chance": 0.8, "price_usd_per_ft": 8.0}
    forecast = [part("labor", 2.5, 3.0), part("overhead", 1.6, 1.5), part("all", 4.1, 4.5)]
    traced = price_traced(price, forecast, Decimal("0.35"))
    assert [line["amount_usd"] for line in traced.lines] == [3, Decimal("1.5"), Decimal("0.7"), Decimal("2.8")]
    assert traced.sum == traced.value == 8
    assert traced.lines[0]["what"] == "2.5000 now, changed by +20.0 %"
    assert "keeps 35 % with a chance of 80 %: 8.00 usd a foot" in traced.title
