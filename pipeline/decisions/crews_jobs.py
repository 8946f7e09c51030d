"""The jobs behind a comparison of crews: what was expected of each, how far off it was, and what it moves."""

from __future__ import annotations

import numpy as np
import polars as pl
from numpy.typing import NDArray

from pipeline.decisions.crews_fit import CrewFit, fit_crews
from pipeline.decisions.policy import WILD_BOUND, WRONG_CREW_CHANCE

Floats = NDArray[np.float64]

SCHEMA = {
    "season": pl.Int32, "branch": pl.String, "crew": pl.String, "job_no": pl.String, "feet": pl.Float64,
    "hours": pl.Float64, "expected_hours": pl.Float64, "fitted_hours": pl.Float64, "score": pl.Float64,
    "moves": pl.Float64, "is_wild": pl.Boolean,
}  # fmt: skip
MODEL_SCHEMA = {"season": pl.Int32, "what": pl.String, "value": pl.Float64}


def expected_hours(fit: CrewFit) -> Floats:
    """Hours that the average crew would have taken for each job, h.

    The fit's hours are medians; a crew's are raised so that they add up to its observed hours (Duan's smearing, by
    crew), and divided by its ratio.
    """
    typical = np.exp(fit.tamed.y - fit.tamed.fit.residuals)
    hours = fit.jobs["hours"].to_numpy()
    level = np.bincount(fit.groups, weights=hours) / np.bincount(fit.groups, weights=typical)
    ratio = np.exp(fit.average @ fit.tamed.fit.effects)
    return np.asarray(typical * (level / ratio)[fit.groups])


def _moves(fit: CrewFit) -> Floats:
    """By how much each job moves its own crew's ratio, as a share of what it would be without the job."""
    from pipeline.statistics.mixed_groups import effects_without

    moved = effects_without(fit.tamed.fit, fit.design.matrix, fit.groups) @ fit.average.T
    return np.expm1(moved[np.arange(len(fit.groups)), fit.groups])


def crew_jobs(fit: CrewFit) -> pl.DataFrame:
    """Rows of decisions.crew_jobs."""
    fitted = np.exp(fit.tamed.y - fit.tamed.fit.residuals)
    return fit.jobs.select("season", "branch", "crew", "job_no", "feet", "hours").with_columns(
        expected_hours=pl.Series(expected_hours(fit)), fitted_hours=pl.Series(fitted),
        score=pl.Series(fit.tamed.scores), moves=pl.Series(_moves(fit)), is_wild=pl.Series(fit.is_wild),
    ).select(pl.col(name).cast(kind) for name, kind in SCHEMA.items())  # fmt: skip


def without_wild_jobs(fit: CrewFit, *, seed: int) -> Floats:
    """The crews' ratios without the wild jobs; NaN for a crew that has too few jobs then."""
    ratios = np.exp(fit.average @ fit.tamed.fit.effects)
    if not fit.is_wild.any():
        return ratios
    again = fit_crews(fit.jobs.filter(~pl.Series(fit.is_wild)), seed=seed)
    if again is None:
        return np.full(fit.crews.height, np.nan)
    found = again.crews.with_columns(again_ratio=pl.Series(np.exp(again.average @ again.tamed.fit.effects)))
    joined = fit.crews.join(found, on=["branch", "crew"], how="left", maintain_order="left")
    return joined["again_ratio"].fill_null(float("nan")).to_numpy()


def crew_model(fit: CrewFit) -> pl.DataFrame:
    """Rows of decisions.crew_model: how the fit came out, a figure a row."""
    from pipeline.statistics.mixed import fit_mixed

    branches = fit.branches[fit.groups]
    columns = np.column_stack([branches, fit.design.matrix])
    mixed = fit_mixed(fit.tamed.y, columns, fit.groups, fit.groups)
    scores = fit.tamed.scores
    figures = {
        "jobs": fit.jobs.height, "crews": fit.crews.height, "terms": len(fit.design.terms), "pairs": len(fit.pair_of),
        "job_spread": np.expm1(np.sqrt(mixed.residual_variance)),
        "crew_spread": np.expm1(np.sqrt(mixed.inner_variance)),
        "factor_alone": _factor_alone(fit),
        "factor_together": float(np.quantile(fit.largest, 1 - WRONG_CREW_CHANCE)),
        "bounded_jobs": int((np.abs(scores) > WILD_BOUND).sum()), "wild_jobs": int(fit.is_wild.sum()),
        "most_moved": float(np.nanmax(np.abs(_moves(fit)))),
    }  # fmt: skip
    rows = [{"season": fit.jobs["season"][0], "what": what, "value": float(value)} for what, value in figures.items()]
    return pl.DataFrame(rows, schema=MODEL_SCHEMA, orient="row")


def _factor_alone(fit: CrewFit) -> float:
    from scipy.stats import t as student

    return float(student.ppf(0.975, fit.tamed.fit.freedom))
