"""Failure rates with limits, and rates held against each other."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import polars as pl
from scipy import special

from pipeline.statistics.intervals import CONFIDENCE, widened_ratio_limits

NIGHTS = 1_000
"""Rates are given per 1,000 connection-nights."""


def add_failure_limits(counts: pl.DataFrame) -> pl.DataFrame:
    """Add rates and 95 % limits to counts of failures.

    `counts` has connections, connection_nights, failed_points, and widening (1 or more: by how much clusters widen the
    limits; 1 leaves them exact). Adds per_connection (failed points a connection), per_1000_connection_nights, and its
    limits low and high; null where there are no connections or nights, or where failures are not known.
    """
    low: list[float | None] = []
    high: list[float | None] = []
    for points, nights, widening in counts.select("failed_points", "connection_nights", "widening").iter_rows():
        known = points is not None and bool(nights)
        limits = widened_ratio_limits(float(points), float(nights) / NIGHTS, widening) if known else (None, None)
        low.append(limits[0])
        high.append(limits[1])
    points = pl.col("failed_points").cast(pl.Float64)
    connections, nights = pl.col("connections").cast(pl.Float64), pl.col("connection_nights").cast(pl.Float64)
    return counts.with_columns(
        per_connection=pl.when(connections > 0).then(points / connections),
        per_1000_connection_nights=pl.when(nights > 0).then(points / nights * NIGHTS),
        low=pl.Series(low, dtype=pl.Float64),
        high=pl.Series(high, dtype=pl.Float64),
    )


def chance_of_more(count: float, exposure: float, other: float, other_exposure: float) -> float:
    """The chance of at least so many events out of both, were the two rates equal.

    The exact conditional test of two Poisson rates: given the sum, `count` is binomial with the share exposure /
    (exposure + other_exposure) (Przyborowski and Wilenski 1940). 1 where nothing happened. Counts need not be whole:
    the binomial's tail is continued as the beta integral that it is.
    """
    if count <= 0:
        return 1.0
    return float(special.betainc(count, other + 1, exposure / (exposure + other_exposure)))


@dataclass(frozen=True)
class RateRatio:
    """A rate over another, its limits, and the two-sided chance of a difference like it were they equal.

    `ratio` is None where the other has no events, `high` where it could be without end.
    """

    ratio: float | None
    low: float
    high: float | None
    chance: float


def compare_rates(
    count: float,
    exposure: float,
    other: float,
    other_exposure: float,
    *,
    widening: float = 1.0,
    confidence: float = CONFIDENCE,
) -> RateRatio:
    """Hold a rate against another by the exact conditional test.

    Limits are those of the binomial share (Clopper and Pearson 1934) turned into a ratio; the two-sided chance is twice
    the smaller tail. Where counts come in clusters they count as `widening` times fewer.
    """
    if exposure <= 0 or other_exposure <= 0:
        raise ValueError("an exposure is more than 0")
    a, b, tail = count / widening, other / widening, (1 - confidence) / 2
    more = chance_of_more(a, exposure, b, other_exposure)
    fewer = chance_of_more(b, other_exposure, a, exposure)
    ratio = (count / exposure) / (other / other_exposure) if other else None
    scale = other_exposure / exposure
    low_share = float(special.betaincinv(a, b + 1, tail)) if a > 0 else 0.0
    high_share = float(special.betaincinv(a + 1, b, 1 - tail)) if b > 0 else None
    high = None if high_share is None else scale * high_share / (1 - high_share)
    return RateRatio(ratio, scale * low_share / (1 - low_share), high, min(1.0, 2 * min(more, fewer)))


def holm(chances: Sequence[float]) -> list[float]:
    """Chances adjusted for as many comparisons as there are (Holm 1979, Scandinavian Journal of Statistics 6).

    Calling apart what lies below a level errs in any comparison at most that often.
    """
    order = sorted(range(len(chances)), key=lambda i: chances[i])
    adjusted, reached = [0.0] * len(chances), 0.0
    for place, index in enumerate(order):
        reached = max(reached, min(1.0, chances[index] * (len(chances) - place)))
        adjusted[index] = reached
    return adjusted
