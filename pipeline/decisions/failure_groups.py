"""Failures of crews and surfaces against those that the same kinds had in the same weeks."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import polars as pl
from numpy.typing import NDArray

from pipeline.statistics.dispersion import Clustering, chance_of_clustering, measure_clustering
from pipeline.statistics.intervals import part_ratio_limits, widened_ratio_limits
from pipeline.statistics.pooling import pool_parts, pool_rates, pooled_means
from pipeline.statistics.rates import NIGHTS

Floats = NDArray[np.float64]

JOB = ["branch", "job_no"]
POOLED_DRAWS = 8_000
"""Draws of pooled ratios: limits move by about 1 % of their width from seed to seed."""
NEARLY_ALL = 1 - 1e-9
"""Share of all expected failures from which a group has nobody to be held against."""


def known_weeks(weeks: pl.DataFrame) -> pl.DataFrame:
    """The rows of facts.connection_weeks whose failures are known, of kinds that were lit, in a fixed order.

    A kind without connection-nights has no rate. Sums of floats depend on their order in the last digit, so every group
    keeps one.
    """
    known = weeks.filter(pl.col("failed_points").is_not_null())
    floats = known.with_columns(pl.col("connection_nights", "failed_points").cast(pl.Float64))
    ordered = floats.sort("branch", "job_no", "kind", "week_start")
    return ordered.filter(pl.col("connection_nights").sum().over("kind") > 0)


def with_expected(weeks: pl.DataFrame) -> pl.DataFrame:
    """Rows of `known_weeks` with the failures due to them: nights x the kind's rate x the week's factor.

    A week's factor is its failures over those of the same kinds at their season's rates, drawn toward 1 by how few they
    are, so that a storm is nobody's fault. All expected failures add up to all that were seen.
    """
    kinds = weeks.group_by("kind", maintain_order=True).agg(
        rate=pl.col("failed_points").sum() / pl.col("connection_nights").sum()
    )
    rated = weeks.join(kinds, on="kind", maintain_order="left").with_columns(
        due=pl.col("rate") * pl.col("connection_nights")
    )
    by_week = rated.group_by("week_start", maintain_order=True).agg(
        pl.col("due").sum().alias("week_due"), pl.col("failed_points").sum().alias("week_points")
    )
    lit = by_week.filter(pl.col("week_due") > 0).sort("week_start")
    factors = np.ones(lit.height)
    if lit.height > 1 and lit["week_points"].sum() > 0:
        factors = pooled_means(lit["week_points"].to_numpy(), lit["week_due"].to_numpy())
    lit = lit.select("week_start", factor=pl.Series(factors))
    expected = rated.join(lit, on="week_start", how="left", maintain_order="left").with_columns(
        expected=pl.col("due") * pl.col("factor").fill_null(0)
    )
    seen, whole = float(expected["failed_points"].sum()), float(expected["expected"].sum())
    return expected.with_columns(pl.col("expected") * (seen / whole if whole else 1.0))


@dataclass(frozen=True)
class Groups:
    """Groups of jobs: a frame with their counts, and the cells (a job's share in a group) that they were made of."""

    frame: pl.DataFrame
    counts: Floats
    weights: Floats
    groups: NDArray[np.int64]
    clustering: Clustering

    def chance(self, seed: int) -> tuple[float, int]:
        """The chance of as much clustering without any, and the draws behind it."""
        return chance_of_clustering(self.counts, self.weights, self.groups, seed=seed)


def group_failures(rows: pl.DataFrame, by: list[str], weight: str) -> Groups:
    """Failures by the columns `by`, with the factor by which the limits of each group are widened.

    `rows` has a row a job and kind and week, or coarser; `weight` names what a job's count is in proportion to within
    its group. Columns of the frame: `by`, jobs, connection_nights, failed_points, the weight's sum, widening.
    """
    sums = [pl.col(name).sum() for name in dict.fromkeys(("connection_nights", "failed_points", weight))]
    cells = rows.group_by(list(dict.fromkeys([*by, *JOB])), maintain_order=True).agg(sums)
    frame = cells.group_by(by, maintain_order=True).agg(pl.len().alias("jobs"), *sums).sort(by)
    index = frame.select(by).with_row_index("g")
    numbered = cells.join(index, on=by, maintain_order="left")
    assert numbered.height == cells.height
    counts, weights = numbered["failed_points"].to_numpy(), numbered[weight].to_numpy()
    groups = numbered["g"].to_numpy().astype(np.int64)
    clustering = measure_clustering(counts, weights, groups)
    return Groups(frame.with_columns(widening=clustering.widening), counts, weights, groups, clustering)


def _limits(counts: pl.Series, exposures: pl.Series, widening: pl.Series) -> tuple[pl.Series, pl.Series]:
    pairs = [
        widened_ratio_limits(count, exposure, wide) if exposure > 0 else (None, None)
        for count, exposure, wide in zip(counts, exposures, widening, strict=True)
    ]
    return (
        pl.Series([low for low, _ in pairs], dtype=pl.Float64),
        pl.Series([high for _, high in pairs], dtype=pl.Float64),
    )


def with_rates(frame: pl.DataFrame) -> pl.DataFrame:
    """Add failures per 1,000 connection-nights with limits widened by the frame's widening."""
    nights = frame["connection_nights"] / NIGHTS
    low, high = _limits(frame["failed_points"], nights, frame["widening"])
    rate = pl.when(pl.col("connection_nights") > 0).then(pl.col("failed_points") / pl.col("connection_nights") * NIGHTS)
    return frame.with_columns(per_1000_connection_nights=rate, low=low, high=high)


def with_ratios(groups: Groups) -> pl.DataFrame:
    """The frame with failed_points / expected and its limits; null where nothing is expected of a group or its like.

    Expected failures are shares of the failures of all groups (`with_expected`), and the limits allow for that. Groups
    are parts of one firm's jobs, so the clustering of all of them widens each.
    """
    wide, total = max(1.0, groups.clustering.factor), float(groups.frame["expected"].sum())
    limits = [
        part_ratio_limits(min(seen, total), due, total, wide) if 0 < due < total * NEARLY_ALL else (None, None)
        for seen, due in groups.frame.select("failed_points", "expected").iter_rows()
    ]
    return groups.frame.with_columns(
        ratio=pl.when(pl.col("expected") > 0).then(pl.col("failed_points") / pl.col("expected")),
        ratio_low=pl.Series([low for low, _ in limits], dtype=pl.Float64),
        ratio_high=pl.Series([high for _, high in limits], dtype=pl.Float64),
    )


def with_pooled_ratios(groups: Groups, *, seed: int) -> pl.DataFrame:
    """`with_ratios`, with the ratios drawn toward each other too; null where two groups cannot be pooled."""
    frame = with_ratios(groups)
    wide = max(1.0, groups.clustering.factor)
    usable = np.flatnonzero(frame["expected"].to_numpy() > 0)
    counts, due = (frame[name].to_numpy()[usable] / wide for name in ("failed_points", "expected"))
    columns = np.full((3, frame.height), np.nan)
    if len(usable) > 1 and counts.sum() > 0:
        found = pool_parts(counts, due, draws=POOLED_DRAWS, seed=seed)
        columns[:, usable] = found.rate, found.low, found.high
    names = ("pooled_ratio", "pooled_low", "pooled_high")
    known = [pl.Series(name, column).fill_nan(None) for name, column in zip(names, columns, strict=True)]
    return frame.with_columns(known)


def pooled_rates(frame: pl.DataFrame, count: str, exposure: str) -> dict[str, pl.Series]:
    """Columns pooled, pooled_low, pooled_high: counts / exposures drawn toward their common rate.

    A count in clusters counts as so many times fewer events. Null where fewer than two groups can be pooled or nothing
    happened, and for groups without an exposure.
    """
    columns = {name: [None] * frame.height for name in ("pooled", "pooled_low", "pooled_high")}
    usable = [i for i, e in enumerate(frame[exposure]) if e is not None and e > 0 and frame[count][i] is not None]
    wide = frame["widening"].to_numpy()[usable]
    counts = frame[count].cast(pl.Float64).to_numpy()[usable]
    if len(usable) > 1 and counts.sum() > 0:
        exposures = frame[exposure].cast(pl.Float64).to_numpy()[usable]
        found = pool_rates(counts / wide, exposures / wide)
        for column, values in zip(columns.values(), (found.rate, found.low, found.high), strict=True):
            for place, value in zip(usable, values, strict=True):
                column[place] = float(value)  # type: ignore[call-overload]
    return {name: pl.Series(values, dtype=pl.Float64) for name, values in columns.items()}
