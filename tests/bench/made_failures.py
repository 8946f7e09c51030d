"""Made seasons of failures whose truth is known, and which no fitted model made.

A job's luck is lognormal, not gamma; a failure takes a second point with it in one case of five; goods age; a storm
doubles the failures of a week; the crews differ in workmanship, and the better ones are given more of the bad kinds.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta

import numpy as np
import polars as pl
from numpy.typing import NDArray

Floats = NDArray[np.float64]

SEASON = 2031
JOBS = 150
WEEKS = 6
KINDS = {"plug": 0.8, "inline_tap": 1.2, "splice": 1.6, "taped_socket": 0.35, "timer": 0.65}
"""Failures per 1,000 connection-nights of new goods."""
POINTS_A_JOB = {"plug": 4.0, "inline_tap": 2.0, "splice": 1.5, "taped_socket": 3.0, "timer": 1.0}
LUCK = 0.8
"""Standard deviation of the log of a job's luck: its variance is .9, against .67 of the demo's."""
TWO_AT_ONCE = 0.2
AGEING = 0.15
STORM = 2.0
CALL_USD, POINT_USD = 40.0, 15.0


@dataclass(frozen=True)
class World:
    """What differs from season to season of a kind: clusters of failures, kinds that differ, how many crews."""

    crews: int
    clustered: bool = True
    kinds_differ: bool = True


@dataclass(frozen=True)
class Made:
    """A made season as the pipeline's facts have it, and its truth."""

    weeks: pl.DataFrame
    counts: pl.DataFrame
    costs: pl.DataFrame
    rates: dict[str, float]
    crew_ratios: dict[str, float]
    fault_usd: float


def _jobs(world: World, rng: np.random.Generator) -> pl.DataFrame:
    crew = np.arange(JOBS) % world.crews
    skill = rng.lognormal(0, 0.25, world.crews)
    luck = rng.lognormal(-LUCK * LUCK / 2, LUCK, JOBS) if world.clustered else np.ones(JOBS)
    return pl.DataFrame(
        {
            "job_no": [f"{n:04d}" for n in range(JOBS)], "crew": [f"crew {c}" for c in crew],
            "surface": np.where(rng.random(JOBS) < 0.6, "gutter", "shingle"),
            "age_seasons": rng.integers(0, 4, JOBS).astype(np.int32), "skill": skill[crew], "luck": luck,
            "first": rng.integers(0, 3, JOBS),
        }
    )  # fmt: skip


def _cells(world: World, jobs: pl.DataFrame, rng: np.random.Generator) -> pl.DataFrame:
    """A row a job, kind and week with its nights and its mean, without the job's luck."""
    storm = int(rng.integers(2, WEEKS))
    parts = []
    for kind, per_1000 in KINDS.items():
        # The skilled crews are sent where the bad kinds are needed.
        better = 1.3 if per_1000 > 1 else 0.8
        points = rng.poisson(POINTS_A_JOB[kind] * np.where(jobs["skill"].to_numpy() < 1, better, 1.0))
        rate = per_1000 if world.kinds_differ else 0.9
        for week in range(WEEKS):
            lit = np.where(jobs["first"].to_numpy() <= week, 7.0, 0.0) * points
            storming = STORM if week == storm and world.clustered else 1.0
            mean = rate / 1000 * lit * (1 + AGEING * jobs["age_seasons"].to_numpy()) * storming
            parts.append(
                jobs.with_columns(
                    kind=pl.lit(kind), week_start=pl.lit(date(SEASON, 11, 23) + timedelta(days=7 * week)),
                    connections=pl.Series(points.astype(np.int64)), connection_nights=pl.Series(lit),
                    base=pl.Series(mean), mean=pl.Series(mean) * pl.col("skill"),
                )
            )  # fmt: skip
    return pl.concat(parts).filter(pl.col("connection_nights") > 0)


def _drawn(world: World, cells: pl.DataFrame, rng: np.random.Generator) -> tuple[Floats, Floats]:
    """Calls and failed points of the cells."""
    means = (cells["mean"] * cells["luck"]).to_numpy()
    if not world.clustered:
        points = rng.poisson(means)
        return points, points
    calls = rng.poisson(means / (1 + TWO_AT_ONCE))
    return calls, calls + rng.binomial(calls, TWO_AT_ONCE)


def make_season(world: World, seed: int) -> Made:
    """A season of this world, and what was true of it."""
    rng = np.random.default_rng([seed, world.crews, world.clustered, world.kinds_differ])
    jobs = _jobs(world, rng)
    cells = _cells(world, jobs, rng)
    calls, points = _drawn(world, cells, rng)
    usd = rng.gamma(np.maximum(calls, 1) * 2.0, CALL_USD / 2.0) * (calls > 0) + POINT_USD * points
    cells = cells.with_columns(calls=pl.Series(calls), failed_points=pl.Series(points), usd=pl.Series(usd))
    kinds = cells.group_by("kind").agg(pl.col("mean", "connection_nights", "failed_points").sum())
    rates = {k: m / n for k, m, n, _ in kinds.iter_rows()}
    # What is due to a crew is what the same kinds had in the same weeks: each cell's mean over all crews.
    over = ["kind", "week_start"]
    rate = pl.col("mean").sum().over(over) / pl.col("connection_nights").sum().over(over)
    due = cells.with_columns(due=rate * pl.col("connection_nights"))
    crews = due.group_by("crew").agg(pl.col("mean", "due").sum())
    built = cells.select("job_no", "kind", "connections").unique()
    counts = kinds.join(built.group_by("kind").agg(pl.col("connections").sum()), on="kind").select(
        pl.lit(SEASON, pl.Int32).alias("season"), pl.lit("all").alias("branch"), "kind", "connections",
        pl.col("connection_nights").cast(pl.Int64), pl.col("failed_points").cast(pl.Int64),
        pl.lit(0, pl.Int64).alias("unknown_kind_points"),
    )  # fmt: skip
    costs = cells.group_by("job_no").agg(pl.col("calls", "failed_points", "usd").sum()).filter(pl.col("calls") > 0)
    share = TWO_AT_ONCE if world.clustered else 0.0
    return Made(
        cells.select(
            pl.lit(SEASON, pl.Int32).alias("season"), pl.lit("main").alias("branch"), "job_no", "crew", "surface",
            "age_seasons", "kind", "week_start", "connections", "connection_nights",
            pl.col("failed_points").cast(pl.Int64),
        ),
        counts,
        costs.select(
            pl.lit("main").alias("branch"), "job_no", "calls", pl.col("failed_points").alias("points"),
            pl.col("usd").alias("service_usd"),
        ),
        rates,
        {crew: m / d for crew, m, d in crews.iter_rows()},
        POINT_USD + CALL_USD / (1 + share),
    )  # fmt: skip
