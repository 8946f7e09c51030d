"""What makes a foot slow: the model's terms as multipliers of hours."""

from __future__ import annotations

import numpy as np
import polars as pl

from pipeline.decisions.crews_fit import CrewFit

SCHEMA = {
    "season": pl.Int32, "term": pl.String, "what": pl.String, "multiplier": pl.Float64, "low": pl.Float64,
    "high": pl.Float64, "jobs": pl.Int64,
}  # fmt: skip


def multipliers(fit: CrewFit) -> pl.DataFrame:
    """Rows of decisions.hours_multipliers: what each term multiplies a job's hours by, all else equal, with t limits.

    Comparisons are within crews: a term says what the same crew took on such a house against another. Jobs of a day
    share its weather, so limits count days and not jobs; with one day alone jobs are counted.
    """
    from scipy.stats import t as student

    from pipeline.statistics.mixed_groups import covariance_by_cluster

    found = fit.tamed.fit
    days = fit.jobs["install_date"].rank("dense").to_numpy().astype(np.int64) - 1
    covariance, freedom = found.coefficient_covariance, found.freedom
    if days.max() > 0:
        covariance = covariance_by_cluster(found, fit.design.matrix, fit.groups, days)
        freedom = min(freedom, int(days.max()))
    factor = student.ppf(0.975, freedom)
    errors = np.sqrt(np.diag(covariance))
    rows = [
        {
            "season": fit.jobs["season"][0], "term": term.key, "what": term.what,
            "multiplier": np.exp(term.step * b), "low": np.exp(term.step * (b - factor * error)),
            "high": np.exp(term.step * (b + factor * error)), "jobs": fit.jobs.height,
        }
        for term, b, error in zip(fit.design.terms, found.coefficients, errors, strict=True)
        if term.what
    ]  # fmt: skip
    return pl.DataFrame(rows, schema=SCHEMA, orient="row")
