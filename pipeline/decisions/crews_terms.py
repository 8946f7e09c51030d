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
    share its weather, so limits count days and not jobs; with one day alone jobs are counted. A term that rests on one
    day has no limits and is left out.
    """
    from scipy.stats import t as student

    from pipeline.statistics.mixed_groups import fit_errors_by_cluster

    found = fit.tamed.fit
    days = fit.jobs["install_date"].rank("dense").to_numpy().astype(np.int64) - 1
    if days.max() > 0:
        by_day = fit_errors_by_cluster(found, fit.design.matrix, fit.groups, days)
        reach = by_day.errors * student.ppf(0.975, by_day.freedom)
    else:
        reach = np.sqrt(np.diag(found.coefficient_covariance)) * student.ppf(0.975, found.freedom)
    rows = [
        {
            "season": fit.jobs["season"][0], "term": term.key, "what": term.what,
            "multiplier": np.exp(term.step * b), "low": np.exp(term.step * (b - off)),
            "high": np.exp(term.step * (b + off)), "jobs": fit.jobs.height,
        }
        for term, b, off in zip(fit.design.terms, found.coefficients, reach, strict=True)
        if term.what and np.isfinite(off)
    ]  # fmt: skip
    return pl.DataFrame(rows, schema=SCHEMA, orient="row")
