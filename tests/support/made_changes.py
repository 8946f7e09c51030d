"""An invented firm's season against the one before it, by hand: pace, failures, feeds, hours, goods and orders."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

from support.made_failures import SEASON, usd

Rows = list[dict[str, Any]]
NIGHTS = "per 1,000 connection-nights"


def change(measure: str, what: str, unit: str, before: float, now: float, limits: Any, **more: Any) -> dict[str, Any]:
    """A row of decisions.season_changes; `limits` are low, high and whether it is more than chance."""
    low, high, sure = limits
    return {
        "season": SEASON, "base_season": SEASON - 1, "measure": measure, "what": what, "unit": unit,
        "before_part": None, "before_whole": None, "before": before, "now_part": None, "now_whole": None, "now": now,
        "change_is": "ratio", "change": now / before, "low": low, "high": high, "more_than_chance": sure,
        "comparisons": 5, **more,
    }  # fmt: skip


def _goods_and_hours() -> dict[str, Rows]:
    mix = [
        {"season": season, "branch": "north", "crew": "Birch", "paid_hours": Decimal(800),
         "drive_hours": Decimal(drive),
         "weather_hours": Decimal(0), "shop_hours": Decimal(40), "training_hours": Decimal(16),
         "overtime_hours": Decimal(24)}
        for season, drive in ((SEASON, 176), (SEASON - 1, 160))
    ]  # fmt: skip
    goods = [
        {"season": SEASON, "base_season": SEASON - 1, "kind": kind, "unit": unit, "used_before": used,
         "used": used * 1.2,
         "before_usd": cost, "work_usd": work, "use_usd": use, "price_usd": price,
         "now_usd": cost + work + use + price}
        for kind, unit, used, cost, work, use, price in (
            ("light_line", "ft", 4000.0, 1400.0, 300.0, -40.0, 60.0),
            ("bulb", "each", 3900.0, 2600.0, 500.0, 10.0, 30.0)
        )
    ]  # fmt: skip
    return {"measures.goods_changes": goods, "all:measures.crew_hours_mix": mix}


def change_tables() -> dict[str, Rows]:
    """Tables that a report reads to say what changed, by name."""
    difference = {"change_is": "difference"}
    orders = [
        {"season": season, "item_no": item, "kind": kind, "amount_usd": usd(amount)}
        for season, item, kind, amount in (
            (SEASON, "LL12", "light_line", 1200), (SEASON, "PLM", "plug", 41), (SEASON + 1, "LL12", "light_line", 1305),
            (SEASON + 1, "B9WW", "bulb", 1416),
        )
    ]  # fmt: skip
    offcuts = [
        {"season": season, "item_no": "LL12", "feet": Decimal(1000), "offcut_ft": Decimal(offcut)}
        for season, offcut in ((SEASON, 90), (SEASON - 1, 80))
    ]
    sheets = [
        {"season": season, "record_table": table, "accepted": accepted, "rejected": 2, "held": 1}
        for season, table, accepted in ((SEASON, "jobs", 60), (SEASON - 1, "jobs", 51), (SEASON - 1, "trips", 40))
    ]
    return {
        "decisions.season_changes": [
            change("pace", "as_they_came", "h/100 ft", 3.9, 3.7, (0.9, 1.0, False)),
            change("pace", "equal_houses", "h/100 ft", 4.1, 3.7, (0.86, 0.95, True)),
            change("faults", "plug", NIGHTS, 0.8, 0.9, (0.7, 1.9, False)),
            change("faults", "all", NIGHTS, 0.7, 0.8, (0.9, 1.5, False)),
            change("faults", "kinds_alone", NIGHTS, 0.7, 0.71, (None, None, None)),
            change("feeds", "over_a_limit", "of feeds", 0.05, 0.07, (-0.03, 0.06, False),
                   **difference | {"change": 0.02}),
            change("returning", "properties", "of properties", 0.8, 0.76, (-0.1, 0.02, False),
                   **difference | {"change": -0.04}),
        ],
        **_goods_and_hours(),
        "all:decisions.order_lines": orders,
        "all:decisions.offcut": offcuts,
        "all:audit.intake": sheets,
    }  # fmt: skip
