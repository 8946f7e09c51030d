"""What goes with more failures, the rest equal: the kind, the surface and the age of what was built."""

from __future__ import annotations

import math

import numpy as np
import polars as pl
from numpy.typing import NDArray

from pipeline.decisions.policy import MIN_FAULTS_A_TERM

Floats = NDArray[np.float64]

SCHEMA = {
    "season": pl.Int32, "term": pl.String, "level": pl.String, "against": pl.String, "failed_points": pl.Int64,
    "multiplier": pl.Float64, "low": pl.Float64, "high": pl.Float64,
}  # fmt: skip
LEAST_FREEDOM = 1.0
"""Degrees of freedom of limits whose own cannot be told, since a term rests on one job: the widest that there are."""


def _levels(cells: pl.DataFrame, term: str) -> list[str]:
    """Levels with failures enough, the one with most connection-nights first."""
    sums = cells.group_by(term, maintain_order=True).agg(pl.col("failed_points", "connection_nights").sum())
    enough = sums.filter((pl.col("failed_points") >= MIN_FAULTS_A_TERM) & (pl.col("connection_nights") > 0))
    return enough.sort(["connection_nights", term], descending=[True, False])[term].to_list()


def failure_terms(weeks: pl.DataFrame, *, season: int) -> tuple[pl.DataFrame, list[str]]:
    """Rows of decisions.failure_terms, and notes.

    A Poisson regression of failed points on kind, surface and age with connection-nights as exposure, over the jobs and
    kinds of `known_weeks`; standard errors allow for failures that go together on a job. Kinds and surfaces with fewer
    than MIN_FAULTS_A_TERM failed points, and rows whose age is not known, are left out.
    """
    from scipy.stats import t as student

    from pipeline.statistics.poisson import clustered_errors, fit_poisson

    empty = pl.DataFrame(schema=SCHEMA)
    cells = (
        weeks.filter(pl.col("age_seasons").is_not_null())
        .group_by("branch", "job_no", "kind", "surface", "age_seasons", maintain_order=True)
        .agg(pl.col("failed_points", "connection_nights").sum())
    )
    kinds, surfaces = _levels(cells, "kind"), _levels(cells, "surface")
    used = cells.filter(
        pl.col("kind").is_in(kinds) & pl.col("surface").is_in(surfaces) & (pl.col("connection_nights") > 0)
    ).sort("branch", "job_no", "kind")
    names, columns = _design(used, kinds, surfaces)
    count = used["failed_points"].sum() if used.height else 0
    if not names:
        return empty, []
    if count < MIN_FAULTS_A_TERM * (len(names) + 1):
        return empty, [
            f"{count:.0f} failed points are too few to tell the part of kind, surface and age ({len(names)} terms)."
        ]
    points = used["failed_points"].to_numpy()
    try:
        fit = fit_poisson(columns, points, used["connection_nights"].to_numpy())
    except ValueError:
        return empty, ["Kind, surface and age go together too closely here for their parts in failures to be told."]
    by_level = {
        (term, level): int(used.filter(pl.col(term) == level)["failed_points"].sum())
        for term, level, _ in names if term != "age"
    }  # fmt: skip
    jobs = used.select(pl.struct("branch", "job_no").rank("dense").cast(pl.Int64) - 1).to_series().to_numpy()
    by_job = clustered_errors(fit, columns, points, jobs)
    reach = by_job.errors * student.ppf(0.975, np.fmax(by_job.freedom, LEAST_FREEDOM))
    rows = [
        {"season": season, "term": term, "level": level, "against": against,
         "failed_points": by_level.get((term, level)),
         "multiplier": math.exp(b), "low": math.exp(b - off), "high": math.exp(b + off)}
        for (term, level, against), b, off in zip(names, fit.coefficients[1:], reach[1:], strict=True)
    ]  # fmt: skip
    return pl.DataFrame(rows, schema=SCHEMA), []


def _design(cells: pl.DataFrame, kinds: list[str], surfaces: list[str]) -> tuple[list[tuple[str, str, str]], Floats]:
    """Terms (term, level, against) and their columns after the first one, which is the base's."""
    names: list[tuple[str, str, str]] = []
    columns = [np.ones(cells.height)]
    for term, levels in (("kind", kinds), ("surface", surfaces)):
        present = [level for level in levels if cells.filter(pl.col(term) == level).height]
        for level in present[1:]:
            names.append((term, level, present[0]))
            columns.append((cells[term] == level).to_numpy().astype(float))
    if cells["age_seasons"].n_unique() > 1:
        names.append(("age", "each season since the lines were cut", "one season less"))
        columns.append(cells["age_seasons"].cast(pl.Float64).to_numpy())
    return names, np.column_stack(columns)
