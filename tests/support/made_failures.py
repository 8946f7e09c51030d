"""Failures of an invented firm, as the documents read them."""

from __future__ import annotations

from datetime import date
from decimal import Decimal
from typing import Any

SEASON = 2025
CREWS = (("Aspen", "north"), ("Birch", "north"), ("Cedar", "south"), ("Drift #2", "south"))
KINDS = (("plug", 1900, 41), ("inline_tap", 310, 19), ("splice", 120, 6), ("taped_socket", 60, 2), ("timer", 90, 0))


def usd(value: float | str) -> Decimal:
    return Decimal(str(value)).quantize(Decimal("0.01"))


def failure_tables() -> dict[str, list[dict[str, Any]]]:
    rows = []
    for kind, built, failed in (*KINDS, ("all", 2480, 71)):
        nights = built * 45
        rate = failed / nights * 1000
        rows.append(
            {"season": SEASON, "branch": "all", "kind": kind, "connections": built,
             "connection_nights": Decimal(nights), "failed_points": failed,
             "unknown_kind_points": 3, "per_connection": failed / built, "per_1000_connection_nights": rate,
             "low": rate * 0.6, "high": rate * 1.5 + 0.05, "widening": 1.2,
             "most_per_1000": (failed + 3) / nights * 1000,
             "pooled": None if kind == "all" else 0.5 + rate / 4, "pooled_low": None if kind == "all" else rate / 4,
             "pooled_high": None if kind == "all" else 1 + rate / 4}
        )  # fmt: skip
    causes = (("moisture", 24, 31), ("pulled_apart", 14, 16), ("unknown", 9, 9), ("animal", 5, 7))
    return {
        "measures.connection_failures": rows,
        "decisions.connection_price": [
            {"season": SEASON, "kind": kind, "connections": built, "failed_points": failed,
             "rate_per_connection": failed / built, "fault_usd": 74.4, "parts_usd": 0.8, "make_usd": None,
             "failure_usd": failed / built * 74.4, "low": failed / built * 50, "high": failed / built * 110 + 0.2,
             "price_usd": None, "price_low": None, "price_high": None, "place_in_order": place}
            for place, (kind, built, failed) in enumerate(KINDS, start=1)
        ],
        "measures.failure_causes": [
            {"season": SEASON, "branch": "all", "cause": cause, "calls": calls, "points": points, "share": calls / 52}
            for cause, calls, points in causes
        ],
        "measures.call_times": [
            {"season": SEASON, "branch": "all", "calls": 52, "open_calls": 2, "median_days": 1.0, "median_low": 1.0,
             "median_high": 2.0, "p90_days": 4.0, "p90_low": 3.0, "p90_high": None}
        ],
        "measures.service_cost": [
            {"season": SEASON, "branch": "all", "calls": 52, "chargeable_calls": 4, "failed_points": 71,
             "service_usd": usd(5282.4), "usd_per_call": 101.58, "usd_per_point": 74.4}
        ],
    }  # fmt: skip


def group_rows() -> list[dict[str, Any]]:
    """Crews and surfaces against what was due to them."""
    return [
        {"season": SEASON, "view": view, "branch": branch, "name": name, "jobs": 15, "connection_nights": 27900.0,
         "failed_points": failed, "per_1000_connection_nights": failed / 27.9, "low": failed / 60, "high": failed / 15,
         "widening": 1.3, "expected_points": 17.75, "ratio": failed / 17.75, "ratio_low": failed / 40,
         "ratio_high": failed / 9, "pooled_ratio": 0.5 + failed / 35.5, "pooled_low": 0.6, "pooled_high": 1.6}
        for view, branch, name, failed in (
            *(("crew", branch, crew, 14 + 2 * n) for n, (crew, branch) in enumerate(CREWS)),
            ("surface", "all", "gutter", 40), ("surface", "all", "ridge", 31),
        )
    ]  # fmt: skip


def failure_comparisons() -> dict[str, list[dict[str, Any]]]:
    """Splices can be told from timers alone; a week is beyond its limits; crews and surfaces; ways across a gap."""
    order = sorted(KINDS, key=lambda kind: -kind[2] / kind[1])
    ratios = [
        {"season": SEASON, "kind": one, "other": other, "failed_points": failed, "other_points": less,
         "ratio": None if not less else failed / built * many / less, "low": 1.1 if other == "timer" else 0.7,
         "high": None if not less else 9.0, "chance": 0.2, "chance_all_pairs": 0.004 if other == "timer" else 0.9,
         "told_apart": other == "timer"}
        for n, (one, built, failed) in enumerate(order) for other, many, less in order[n + 1 :]
    ]  # fmt: skip
    weeks = [
        {"season": SEASON, "week_start": date(2025, 11, 23 + 7 * n) if n == 0 else date(2025, 12, 7 * n - 7 + 1),
         "connection_nights": 9000.0, "failed_points": failed, "per_1000_connection_nights": failed / 9, "low": 0.1,
         "high": 3.0, "widening": 1.0, "centre": 2.2, "lower_limit": 0.7, "upper_limit": 3.7,
         "beyond": "above" if failed > 33 else "inside"}
        for n, failed in enumerate((12, 20, 39))
    ]  # fmt: skip
    gaps = [
        {"season": SEASON, "spacing_in": 12.0, "line_ft": 900.0, "gap_ft": gap, "way": way, "allowed": True,
         "sockets": gap, "seasons": 4.0, "goods_usd": 4.0, "labor_usd": 6.0, "failure_usd": cost - 10,
         "total_usd": cost, "low": cost - 5, "high": cost + 5, "chance_cheapest": chance}
        for gap, of_gap in ((2, ((28.0, 0.01), (11.0, 0.99))), (8, ((30.0, 0.5), (30.5, 0.5))),
                            (20, ((33.0, 0.99), (80.0, 0.01))))
        for way, (cost, chance) in zip(("cut", "cap"), of_gap, strict=True)
    ]  # fmt: skip
    return {
        "decisions.connection_ratios": ratios,
        "measures.failure_weeks": weeks,
        "measures.failure_groups": group_rows(),
        "measures.failure_dispersion": [
            {"season": SEASON, "view": "kind", "pearson": 310.5, "freedom": 270, "chance": 0.02, "draws": 999,
             "factor": 1.31}
        ],
        "measures.failure_repeats": [
            {"season": SEASON, "branch": "all", "kind": "all", "jobs_failed": 51, "jobs_failed_again": 6,
             "failed_points": 68, "later_points": 7, "sure_repeats": 2}
        ],
        "decisions.failure_terms": [
            {"season": SEASON, "term": "age", "level": "each season since the lines were cut",
             "against": "one season less", "failed_points": None, "multiplier": 1.15, "low": 1.02, "high": 1.3}
        ],
        "decisions.gap_crossings": gaps,
    }  # fmt: skip
