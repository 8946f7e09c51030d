"""Failure rates with exact limits."""

from __future__ import annotations

import polars as pl
from scipy.special import bdtrc

from pipeline.statistics.intervals import rate_limits

NIGHTS = 1_000
"""Rates are given per 1,000 connection-nights."""


def add_failure_limits(counts: pl.DataFrame) -> pl.DataFrame:
    """Add rates and exact 95 % limits to counts of failures.

    `counts` has connections, connection_nights and failed_points. Adds per_connection (failed points a connection),
    per_1000_connection_nights, and its limits low and high; null where there are no connections or nights.
    """
    low: list[float | None] = []
    high: list[float | None] = []
    for points, nights in zip(counts["failed_points"], counts["connection_nights"], strict=True):
        if points is None or not nights:
            low.append(None)
            high.append(None)
            continue
        limits = rate_limits(float(points), float(nights) / NIGHTS)
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


def chance_of_more(count: int, exposure: float, other: int, other_exposure: float) -> float:
    """The chance of at least so many events out of both, were the two rates equal.

    The exact conditional test of two Poisson rates: given the sum, `count` is binomial with the share exposure /
    (exposure + other_exposure) (Przyborowski and Wilenski 1940). 1 where nothing happened.
    """
    if count == 0:
        return 1.0
    return float(bdtrc(count - 1, count + other, exposure / (exposure + other_exposure)))
