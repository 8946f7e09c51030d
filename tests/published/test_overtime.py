"""Overtime against the worked examples of the federal rules."""

from __future__ import annotations

from decimal import Decimal

import polars as pl
import pytest
from support.tables import Season

NO_BURDEN = {"social_security": "0", "medicare": "0", "futa": "0"}
DAYS = ("2025-11-09", "2025-11-10", "2025-11-11", "2025-11-12", "2025-11-13", "2025-11-14", "2025-11-15")
"""Sunday to Saturday: one workweek."""


def week(hours: list[str], workers: str, pay: str | None = None) -> pl.DataFrame:
    """The loaded hours of a worker's week with these hours from Sunday on."""
    rows = "\n".join(f"| 1 | W1 | {day} | {one} |" for day, one in zip(DAYS, hours, strict=False))
    tables = {"pay": pay} if pay else {}
    season = Season(
        settings=NO_BURDEN,
        jobs="| job_no | feet |\n| 1 | 100 |",
        hours=f"| job_no | worker_no | work_date | hours |\n{rows}",
        workers=workers,
        **tables,
    )
    return season.measure("facts.loaded_hours")


def paid(frame: pl.DataFrame) -> Decimal:
    """What the week was paid, in cents."""
    return frame["loaded_usd"].sum().quantize(Decimal("0.01"))


TWELVE = "| worker_no | hourly_wage |\n| W1 | 12 |"
FORTY_SIX = ["0.5", "8", "8", "8", "8", "8", "5.5"]


def test_46_hours_at_12_are_588() -> None:
    """29 CFR 778.110(a): 46 h at $12 -> $588."""
    assert paid(week(FORTY_SIX, TWELVE)) == Decimal("588.00")


def test_a_bonus_of_46_lifts_the_rate_to_13_and_the_week_to_637() -> None:
    """29 CFR 778.110(b): and a bonus of $46 -> rate $13, $637."""
    bonus = "| worker_no | from_date | to_date | kind | amount |\n| W1 | 2025-11-09 | 2025-11-15 | bonus | 46 |"
    frame = week(FORTY_SIX, TWELVE, bonus)
    assert paid(frame) == Decimal("637.00")
    assert frame["premium_usd"].sum() == pytest.approx(Decimal("39"))  # 6 h x 13 / 2


def test_piece_work_of_491_and_32_by_the_hour_make_575_30() -> None:
    """29 CFR 778.111(a): 50 h, $491 piece work and 4 h at $8, $523 in all; rate $10.46, premium $52.30, $575.30.

    The records pay every hour, so the $32 stand as 50 h at $0.64; the rule sees the week's pay and hours alone.
    """
    piece = "| worker_no | from_date | to_date | kind | amount |\n| W1 | 2025-11-09 | 2025-11-15 | piece | 491 |"
    frame = week(["2", "8", "8", "8", "8", "8", "8"], "| worker_no | hourly_wage |\n| W1 | 0.64 |", piece)
    assert frame["premium_usd"].sum().quantize(Decimal("0.01")) == Decimal("52.30")
    assert paid(frame) == Decimal("575.30")


def test_a_week_of_two_rates_is_exact_to_the_end() -> None:
    """29 CFR 778.115 gives the rule: 16 h at $10 and 30 h at $12 are $520 / 46 h; half of it for 6 h -> $553.91.

    A published column rounds the rate to $11.30 first and reaches $553.90; exact to the end it is 553.913...
    """
    two_rates = "| worker_no | hourly_wage | from_date |\n| W1 | 10 | |\n| W1 | 12 | 2025-11-11 |"
    frame = week(["8", "8", "6", "6", "6", "6", "6"], two_rates)
    assert frame["straight_usd"].sum() == 520
    assert paid(frame) == Decimal("553.91")
    rounded_first = 520 + (Decimal("520") / 46).quantize(Decimal("0.01")) / 2 * 6
    assert rounded_first == Decimal("553.90")


def test_40_hours_bear_no_premium_and_a_quarter_more_does() -> None:
    exactly = week(["0.5", "8", "8", "8", "8", "7.5"], TWELVE)
    over = week(["0.5", "8", "8", "8", "8", "7.75"], TWELVE)
    assert exactly["premium_usd"].sum() == 0
    assert over["premium_usd"].sum() == pytest.approx(Decimal("1.5"))  # a quarter hour x 12 / 2
