"""What new jobs of next season take: how many there will be, and which."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass

import numpy as np
import polars as pl
from numpy.typing import NDArray

from pipeline.decisions.policy import DEMAND_DRAWS, EARLIER_WORTH, NEW_JOBS_CHANGE, NEW_JOBS_LUCK
from pipeline.settings import Settings
from pipeline.statistics.counts import Belief, next_counts

Floats = NDArray[np.float64]
Counts = NDArray[np.int64]
JOB = ("season", "branch", "job_no")


@dataclass(frozen=True)
class NewWork:
    """New jobs to draw from: `jobs` names them in order, `use` has a row a job and a column an item, `worth` is how
    likely each is drawn against the others."""

    jobs: pl.DataFrame
    use: Floats
    worth: Floats

    @property
    def mean(self) -> Floats:
        """What one of them takes on average, by item."""
        if not len(self.use):
            return np.zeros(self.use.shape[1])
        return np.asarray(self.worth @ self.use / self.worth.sum())


def new_jobs(
    by_season: list[int], settings: Settings, rng: np.random.Generator, signed: int = 0
) -> tuple[Counts, list[str]]:
    """Draws of the number of new jobs, and where it comes from.

    `by_season` has the new jobs of each season in the store, the last one closed. Triangular between the settings
    new_jobs_low, new_jobs_likely and new_jobs_high where they are given; else what the seasons tell (`next_counts`).
    Never fewer than the `signed` ones.
    """
    low, likely, high = (settings.number(f"new_jobs_{name}") for name in ("low", "likely", "high"))
    sure = "1 new job of next season is" if signed == 1 else f"{signed} new jobs of next season are"
    notes = [f"{sure} signed already: never fewer are drawn."] if signed else []
    if low is not None and likely is not None and high is not None:
        if low < high and low <= likely <= high:
            drawn = rng.triangular(float(low), float(likely), float(high), DEMAND_DRAWS)
            said = f"New jobs lie between {low:.0f} and {high:.0f}, most likely {likely:.0f}, as the settings say."
            return np.maximum(np.rint(drawn).astype(np.int64), signed), [*notes, said]
        if low == likely == high:
            return np.full(DEMAND_DRAWS, max(int(low), signed)), [
                *notes,
                f"New jobs are {low:.0f}, as the settings say.",
            ]
        notes.append("new_jobs_low, new_jobs_likely and new_jobs_high do not rise in that order and are not used.")
    count = next_counts(by_season, Belief(*NEW_JOBS_CHANGE), Belief(*NEW_JOBS_LUCK), DEMAND_DRAWS, rng)
    count = np.maximum(count, signed)
    return count, [*notes, _as_seasons_tell(by_season, count)]


def _as_seasons_tell(by_season: list[int], count: Counts) -> str:
    """Where the number of new jobs comes from when the settings do not say it."""
    better = "give new_jobs_low, new_jobs_likely and new_jobs_high to do better"
    last = by_season[-1] if by_season else 0
    if not last:
        return f"This season had no new job, so none is expected of the next; {better}."
    low, middle, high = np.quantile(count, [0.1, 0.5, 0.9])
    earlier = {1: "", 2: ", the season before it"}.get(len(by_season), ", the seasons before it")
    return (
        f"New jobs lie between {low:.0f} and {high:.0f} in four seasons of five, {middle:.0f} in the middle: from this "
        f"season's {last}{earlier} and what seasons usually differ by (common practice, no source); {better}."
    )


def usual_offcut(new: pl.DataFrame) -> dict[str, float]:
    """What new work uses of an item over what it builds, as a ratio; never under 1. Over jobs with both."""
    rows = new.with_columns(pl.col("net", "built").cast(pl.Float64))
    both = rows.filter((pl.col("net") > 0) & (pl.col("built") > 0)).sort(*JOB, "item_no")
    ratio = (pl.col("net").sum() / pl.col("built").sum()).clip(lower_bound=1)
    return dict(both.group_by("item_no", maintain_order=True).agg(ratio).iter_rows())


def used(new: pl.DataFrame) -> pl.DataFrame:
    """New jobs' rows with `use`: the net issue, offcut and all; without one the built quantity and the usual offcut."""
    rows = new.with_columns(pl.col("net", "built").cast(pl.Float64))
    usual = pl.col("item_no").replace_strict(usual_offcut(new), default=1.0, return_dtype=pl.Float64)
    unissued = pl.col("net").fill_null(0) <= 0
    return rows.with_columns(use=pl.when(unissued).then(pl.col("built").fill_null(0) * usual).otherwise("net"))


def matrix(rows: pl.DataFrame, index: tuple[str, ...], items: list[str], column: str) -> tuple[pl.DataFrame, Floats]:
    """Rows as a matrix of sums, a row a value of the `index` columns and a column an item; and those values."""
    if rows.is_empty():
        return rows.select(index), np.zeros((0, len(items)))
    wide = rows.sort(*index, "item_no").pivot("item_no", index=index, values=column, aggregate_function="sum")
    missing = [pl.lit(0.0).alias(name) for name in items if name not in wide.columns]
    values = wide.with_columns(missing).select(pl.col(items).cast(pl.Float64).fill_null(0.0)).to_numpy()
    return wide.select(index), values


def new_work(job_items: pl.DataFrame, items: list[str], season: int, listed: Collection[str]) -> NewWork:
    """New jobs whole: the season's, and those of each season before at EARLIER_WORTH of the next one's worth.

    An earlier job that took what is no longer `listed` is left out: it would be built of other goods today.
    """
    new = job_items.filter((pl.col("work") == "new") & (pl.col("season") <= season))
    gone = (pl.col("season") < season) & ~pl.col("item_no").is_in(list(listed))
    jobs, use = matrix(used(new.filter(~gone.any().over(JOB))), JOB, items, "use")
    age = (season - jobs["season"]).cast(pl.Float64).to_numpy()
    return NewWork(jobs, use, np.asarray(EARLIER_WORTH**age))


def counts_by_season(job_items: pl.DataFrame, season: int) -> list[int]:
    """New jobs of each season with records of goods, the last one `season`; 0 where it has none."""
    new = job_items.filter((pl.col("work") == "new") & (pl.col("season") <= season))
    seasons = job_items.filter(pl.col("season") <= season)["season"].unique().sort().to_list()
    counts = dict(new.group_by("season").agg(pl.struct("branch", "job_no").n_unique()).iter_rows())
    return [counts.get(one, 0) for one in sorted({*seasons, season})]
