"""Made seasons: variances add up, to the cent, to what a season cost less what the one before did."""

from __future__ import annotations

from collections import defaultdict
from decimal import ROUND_HALF_UP, Decimal
from fractions import Fraction
from itertools import pairwise
from random import Random

from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from support.seasons_by_chance import made_seasons
from support.tables import Season, measures

PARTS = ("labor", "materials", "travel", "equipment", "service", "overhead")


def in_cents(usd: Fraction) -> Decimal:
    """Rounded half away from zero; what division leaves below a billionth is no half."""
    clean = round(usd, 9)
    return (Decimal(clean.numerator) / Decimal(clean.denominator)).quantize(Decimal("0.01"), ROUND_HALF_UP)


def differences(*seasons: Season) -> dict[tuple[int, str], tuple[Decimal, Decimal]]:
    """By season and part, what the season cost less its standard at its feet, and less the season before."""
    (costs,) = measures(["measures.season_cost"], *seasons)
    rows = sorted((r for r in costs.to_dicts() if r["branch"] == "all" and r["feet"]), key=lambda r: r["season"])
    found = {}
    for before, now in pairwise(rows):
        for part in PARTS:
            old, new = before[f"{part}_usd"] or Decimal(0), now[f"{part}_usd"] or Decimal(0)
            standard = in_cents(Fraction(old) * Fraction(now["feet"]) / Fraction(before["feet"]))
            found[now["season"], part] = new - standard, new - old
    return found


@settings(max_examples=12, suppress_health_check=list(HealthCheck))
@given(chance=st.randoms(use_true_random=False), count=st.integers(2, 3))
def test_variances_are_the_whole_difference(chance: Random, count: int) -> None:
    seasons = made_seasons(chance, count)
    (variances,) = measures(["measures.variances"], *seasons)
    apart: dict[tuple[int, str], Decimal] = defaultdict(Decimal)
    whole: dict[tuple[int, str], Decimal] = defaultdict(Decimal)
    for row in variances.to_dicts():
        key = row["season"], row["part"]
        whole[key] += row["variance_usd"]
        apart[key] += row["variance_usd"] if row["kind"] != "volume" else 0
    assert {key: (apart[key], whole[key]) for key in whole} == differences(*seasons)
