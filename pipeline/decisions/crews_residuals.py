"""Whether jobs scatter about what the model of hours says evenly, the small ones as the large ones."""

from __future__ import annotations

import numpy as np
import polars as pl

from pipeline.decisions.policy import HOUSE_CLASSES, MIN_JOBS_A_CREW, WILD_BOUND

SCHEMA = {
    "season": pl.Int32, "class": pl.Int32, "jobs": pl.Int64, "least_hours": pl.Float64, "most_hours": pl.Float64,
    "middle_hours": pl.Float64, "score": pl.Float64, "low": pl.Float64, "high": pl.Float64, "told": pl.String,
}  # fmt: skip
LEVEL = 0.95
EVEN, MORE, FEWER = "even", "more hours", "fewer hours"
"""What is told of a class: limits of its mean score about 0, above it, below it."""


def residual_classes(jobs: pl.DataFrame) -> pl.DataFrame:
    """Rows of decisions.crew_residuals from those of decisions.crew_jobs: classes by the hours that the model says.

    HOUSE_CLASSES classes with equally many jobs, or as many as have MIN_JOBS_A_CREW jobs each. Scores are bounded as
    the fit bounds them; limits are Student's, for all classes at once (Bonferroni).
    """
    from scipy.stats import t as student

    count = min(HOUSE_CLASSES, jobs.height // MIN_JOBS_A_CREW)
    if count < 2:
        return pl.DataFrame(schema=SCHEMA)
    rows = []
    ordered = jobs.sort("fitted_hours", "branch", "job_no")
    for number, place in enumerate(np.array_split(np.arange(jobs.height), count), start=1):
        own = ordered[place]
        scores = np.clip(own["score"].to_numpy(), -WILD_BOUND, WILD_BOUND)
        middle, size = float(scores.mean()), len(scores)
        reach = student.ppf(1 - (1 - LEVEL) / 2 / count, size - 1) * scores.std(ddof=1) / np.sqrt(size)
        low, high = middle - float(reach), middle + float(reach)
        fitted = own["fitted_hours"]
        rows.append(
            {
                "season": own["season"][0], "class": number, "jobs": size, "least_hours": fitted.min(),
                "most_hours": fitted.max(), "middle_hours": fitted.median(), "score": middle, "low": low, "high": high,
                "told": MORE if low > 0 else FEWER if high < 0 else EVEN,
            }
        )  # fmt: skip
    return pl.DataFrame(rows, schema=SCHEMA, orient="row")
