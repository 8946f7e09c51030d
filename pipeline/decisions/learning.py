"""What crews gain with practice: hours a foot against the feet that a crew has hung since its start."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import polars as pl
from numpy.typing import NDArray

from pipeline.decisions.crews_design import design
from pipeline.decisions.crews_fit import numbered
from pipeline.decisions.policy import MIN_DOUBLINGS, MIN_JOBS_A_CREW, MIN_JOBS_TO_LEARN, WILD_BOUND

Floats = NDArray[np.float64]

SCHEMA = {
    "season": pl.Int32, "crew": pl.String, "first_season": pl.Int32, "jobs": pl.Int64, "first_feet": pl.Float64,
    "feet": pl.Float64, "progress_ratio": pl.Float64, "low": pl.Float64, "high": pl.Float64,
    "now_over_start": pl.Float64, "told": pl.String,
}  # fmt: skip
LEARNS, SLOWS, UNTOLD = "learns", "slows", "cannot be told"
"""What is told of a crew: its interval of the progress ratio lies below 1, above 1, or about it."""


@dataclass(frozen=True)
class _Starts:
    """Jobs with the cumulative feet of their crew at the middle of each, and the crews whose start is known."""

    jobs: pl.DataFrame
    known: list[str]


def _starts(job_hours: pl.DataFrame, season: int) -> _Starts:
    """A crew's start is in the records where its first season in the store is later than the store's first one."""
    from pipeline.statistics.learning import lot_middles

    led = job_hours.with_columns(pl.col("feet").cast(pl.Float64)).filter(pl.col("feet") > 0)
    led = led.sort("crew", "install_date", "branch", "job_no")
    begun = led.group_by("crew", maintain_order=True).agg(first_season=pl.col("season").min())
    known = begun.filter(pl.col("first_season") > job_hours["season"].min())["crew"].to_list()
    here = set(led.filter(pl.col("season") == season)["crew"])
    middles = [lot_middles(own["feet"].to_numpy()) for own in led.partition_by("crew", maintain_order=True)]
    feet = np.concatenate(middles) if middles else np.empty(0)
    columns = led.select("season", "branch", "job_no").with_columns(cumulative_feet=pl.Series(feet, dtype=pl.Float64))
    return _Starts(columns, sorted(here & set(known)))


def _practice(jobs: pl.DataFrame, crew: str) -> Floats | None:
    """log(cumulative feet) on the crew's jobs, less its mean, and 0 on the others'; None where it spans too little."""
    own = (jobs["crew"] == crew).to_numpy()
    feet = jobs["cumulative_feet"].to_numpy()
    if own.sum() < MIN_JOBS_TO_LEARN or feet[own].max() < 2**MIN_DOUBLINGS * feet[own].min():
        return None
    logs = np.log(feet)
    return np.where(own, logs - logs[own].mean(), 0.0)


def crew_learning(job_hours: pl.DataFrame, jobs: pl.DataFrame, season: int) -> tuple[pl.DataFrame, list[str]]:
    """Rows of decisions.crew_learning, and notes.

    `job_hours` is facts.job_hours of the season and those before it, `jobs` what `usable_jobs` gives of it. Hours are
    those of the model with an effect a crew, so that houses, seasons and weeks are taken out; the slope is on the log
    of the crew's cumulative feet at the middle of each job, all its jobs counted (Wright 1936, unit model). Jobs of a
    day share its weather, and the limits allow for that.
    """
    nothing = pl.DataFrame(schema=SCHEMA)
    if job_hours["season"].n_unique() < 2:
        return nothing, ["What crews gain with practice cannot be told from one season: no crew's start is in it."]
    starts = _starts(job_hours, season)
    if not starts.known:
        return nothing, ["What crews gain with practice cannot be told: every crew of the season worked in the first "
                         "season of the records already, so nobody's start is in them."]  # fmt: skip
    enough = jobs.group_by("crew", maintain_order=True).agg(n=pl.len()).filter(pl.col("n") >= MIN_JOBS_A_CREW)
    fitted, groups = numbered(jobs, enough.select("crew"))
    fitted = fitted.join(starts.jobs, on=["season", "branch", "job_no"], how="left", maintain_order="left")
    practice = {crew: _practice(fitted, crew) for crew in starts.known}
    slopes = {crew: column for crew, column in practice.items() if column is not None}
    few = [crew for crew in starts.known if crew not in slopes]
    notes = [f"{crew} began in the records and has too few jobs or feet since to tell what practice gains: it takes "
             f"{MIN_JOBS_TO_LEARN} jobs and four times the first feet." for crew in few]  # fmt: skip
    if not slopes:
        return nothing, notes
    return _fitted(fitted, groups, slopes, season), notes


def _fitted(jobs: pl.DataFrame, groups: NDArray[np.int64], slopes: dict[str, Floats], season: int) -> pl.DataFrame:
    from scipy.stats import t as student

    from pipeline.statistics.learning import progress_ratio, unit_hours
    from pipeline.statistics.mixed import errors_beside_groups, fit_mixed
    from pipeline.statistics.robust import tame

    x = np.column_stack([*slopes.values(), design(jobs, groups).matrix])
    tamed = tame(np.log(jobs["hours"].to_numpy()), x, groups, WILD_BOUND)
    fit = tamed.fit
    days = jobs["install_date"].rank("dense").to_numpy().astype(np.int64) - 1
    columns = np.column_stack([x, np.eye(len(fit.effects))[groups]])
    by_day = fit_mixed(tamed.y, columns, days, days)
    reach = student.ppf(0.975, fit.freedom) * errors_beside_groups(columns, days, by_day)
    rows = []
    for n, crew in enumerate(slopes):
        own = jobs.filter(pl.col("crew") == crew)
        slope = float(fit.coefficients[n])
        low, high = progress_ratio(slope - reach[n]), progress_ratio(slope + reach[n])
        first, last = own["cumulative_feet"].min(), own["cumulative_feet"].max()
        ratio = progress_ratio(slope)
        rows.append(
            {
                "season": season, "crew": crew, "first_season": own["season"].min(), "jobs": own.height,
                "first_feet": first, "feet": last, "progress_ratio": ratio, "low": low, "high": high,
                "now_over_start": float(unit_hours(1.0, ratio, np.array(last / first))),  # type: ignore[operator]
                "told": LEARNS if high < 1 else SLOWS if low > 1 else UNTOLD,
            }
        )  # fmt: skip
    return pl.DataFrame(rows, schema=SCHEMA, orient="row")
