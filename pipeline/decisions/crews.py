"""Crews compared on the houses they had: observed against expected hours, and faults against expected faults."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
import polars as pl
from numpy.typing import NDArray

from pipeline.decisions.crew_faults import crew_faults
from pipeline.decisions.policy import (
    BOOTSTRAP_DRAWS,
    MIN_CREWS,
    MIN_JOBS_A_CREW,
    MIN_JOBS_A_TERM,
    MIN_SHARE_SPREAD,
    SLOPE_MISSING_SHARE,
)

Floats = NDArray[np.float64]

SCHEMA = {
    "season": pl.Int32, "branch": pl.String, "crew": pl.String, "jobs": pl.Int32, "feet": pl.Float64,
    "observed_hours": pl.Float64, "expected_hours": pl.Float64, "ratio": pl.Float64, "low": pl.Float64,
    "high": pl.Float64, "pooled_ratio": pl.Float64, "pooled_low": pl.Float64, "pooled_high": pl.Float64,
    "told_apart": pl.Boolean, "faults": pl.Int32, "expected_faults": pl.Float64, "fault_ratio": pl.Float64,
    "fault_low": pl.Float64, "fault_high": pl.Float64, "note": pl.String,
}  # fmt: skip
SURFACES = ("shingle", "ridge", "masonry", "trim", "ground", "other")
"""Surfaces whose share of a job's feet is a term; gutter is what they are compared with."""


@dataclass(frozen=True)
class _Ratios:
    ratio: Floats
    limits: Floats
    pooled: Floats
    pooled_limits: Floats
    expected: Floats


def _usable(job_hours: pl.DataFrame) -> pl.DataFrame:
    floats = ["feet", "prep_hours", "install_hours", "slope"]
    jobs = job_hours.with_columns(pl.col(floats).cast(pl.Float64)).with_columns(
        hours=pl.col("prep_hours").fill_null(0) + pl.col("install_hours").fill_null(0)
    )
    return jobs.filter((pl.col("hours") > 0) & (pl.col("feet") > 0)).sort("branch", "crew", "job_no")


def _terms(jobs: pl.DataFrame) -> Iterator[tuple[str, Floats]]:
    """What may tell jobs apart, the weightiest first."""
    yield "intercept", np.ones(jobs.height)
    yield "feet", np.log(jobs["feet"].to_numpy())
    for branch in jobs["branch"].unique().sort().to_list()[1:]:
        yield f"branch {branch}", (jobs["branch"] == branch).cast(pl.Float64).to_numpy()
    yield "new or repeat", (jobs["work"] == "repeat").cast(pl.Float64).to_numpy()
    yield "stories", jobs["stories"].cast(pl.Float64).to_numpy()
    slope = jobs["slope"]
    if slope.null_count() < jobs.height:
        yield "slope", slope.fill_null(slope.mean()).to_numpy()
        if slope.null_count() > SLOPE_MISSING_SHARE * jobs.height:
            yield "slope not recorded", slope.is_null().cast(pl.Float64).to_numpy()
    workers = jobs["workers"].cast(pl.Float64)
    if workers.null_count() == 0 and bool((workers > 0).all()):
        yield "crew size", np.log(workers.to_numpy())
    for surface in SURFACES:
        share = jobs[f"share_{surface}"].cast(pl.Float64)
        if share.null_count() == 0 and float(share.to_numpy().std()) > MIN_SHARE_SPREAD:
            yield f"share on {surface}", share.to_numpy()
    days = (jobs["install_date"] - jobs["install_date"].min()).dt.total_days().cast(pl.Float64)
    yield "week", (days / 7).to_numpy()


def design(jobs: pl.DataFrame) -> tuple[Floats, list[str], list[str]]:
    """The fixed part of the model: its columns, their names, and the names of what there were too few jobs for.

    A column that others already say (one branch's crew size, a slope that never varies) is left out silently.
    """
    kept: list[str] = []
    left_out: list[str] = []
    columns: list[Floats] = []
    for name, column in _terms(jobs):
        if np.linalg.matrix_rank(np.column_stack([*columns, column])) <= len(columns):
            continue
        if len(columns) + 1 > max(2, jobs.height // MIN_JOBS_A_TERM):
            left_out.append(name)
            continue
        kept.append(name)
        columns.append(column)
    return np.column_stack(columns), kept, left_out


def _ratios(hours: Floats, expected: Floats, groups: NDArray[np.int64], count: int) -> Floats:
    seen = np.stack([hours[..., groups == g].sum(axis=-1) for g in range(count)], axis=-1)
    due = np.stack([expected[..., groups == g].sum(axis=-1) for g in range(count)], axis=-1)
    return np.asarray(seen / due)


def _centred(values: Floats, branches: Floats) -> Floats:
    """Values a crew less the mean of its branch's crews; `branches` has a row a branch of equal weights."""
    return values - (values @ branches.T) @ (branches > 0).astype(float)


def _fit(jobs: pl.DataFrame, x: Floats, groups: NDArray[np.int64], branches: Floats, seed: int) -> _Ratios:
    """Ratios, raw and pooled, with their limits.

    Limits of the raw ratios: a bootstrap draws crews and residuals and fits each drawn season anew; the variance ratio
    stays as fitted, so each refit is linear and all draws are solved at once. Limits of the pooled ones come from
    posterior draws in which the variance ratio is uncertain too. The average crew is the mean of the branch's own
    crews, so its uncertainty is not added to theirs.
    """
    from pipeline.statistics.mixed import draw_effects, fit_random_intercept

    count = branches.shape[1]
    y = np.log(jobs["hours"].to_numpy())
    fit = fit_random_intercept(y, x, groups)
    sizes = np.bincount(groups, minlength=count).astype(float)
    variance_ratio = fit.group_variance / fit.residual_variance
    shrink = variance_ratio / (1 + variance_ratio * sizes)
    member = np.eye(count)[groups]
    weighted = x - (member * shrink) @ (member.T @ x)
    solve = np.linalg.solve(x.T @ weighted, weighted.T)

    def estimates(log_hours: Floats) -> tuple[Floats, Floats]:
        fitted = (log_hours @ solve.T) @ x.T
        effects = ((log_hours - fitted) @ member) * shrink
        hours = np.exp(log_hours)
        medians = np.exp(fitted)
        smear = hours.sum(axis=-1) / (medians * np.exp(effects @ member.T)).sum(axis=-1)
        expected = medians * smear[..., None]
        log_ratio = np.log(_ratios(hours, expected, groups, count))
        centred = _centred(log_ratio, branches)
        return centred, expected * np.exp((log_ratio - centred)[..., groups])

    rng = np.random.default_rng(seed)
    residuals = y - fit.fitted - fit.effects[groups]
    residuals = (residuals - residuals.mean()) * np.sqrt(fit.residual_variance / residuals.var())
    true = rng.normal(0, np.sqrt(fit.group_variance), (BOOTSTRAP_DRAWS, count))
    drawn = fit.fitted + true[:, groups] + rng.choice(residuals, (BOOTSTRAP_DRAWS, len(y)))
    log_ratio, expected = (part[0] for part in estimates(y[None, :]))
    miss = np.quantile(estimates(drawn)[0] - _centred(true, branches), [0.975, 0.025], axis=0)
    posterior = _centred(draw_effects(y, x, groups, BOOTSTRAP_DRAWS, seed), branches)
    pooled = np.quantile(posterior, [0.5, 0.025, 0.975], axis=0)
    return _Ratios(np.exp(log_ratio), np.exp(log_ratio - miss), np.exp(pooled[0]), np.exp(pooled[1:]), expected)


def _note(row: dict) -> str:
    if row["ratio"] is None and row["jobs"] < MIN_JOBS_A_CREW:
        return f"fewer than {MIN_JOBS_A_CREW} jobs: raw hours only"
    if row["ratio"] is None:
        return f"no other crew of the branch has {MIN_JOBS_A_CREW} jobs: raw hours only"
    if row["told_apart"]:
        pace = "fewer" if row["ratio"] < 1 else "more"
        return f"took {pace} hours than the average crew would have on the same houses"
    return "cannot be told from the average crew on these houses"


def _comparable(crews: pl.DataFrame) -> pl.DataFrame:
    """Crews with jobs enough, in a branch where another crew has them too."""
    enough = crews.filter(pl.col("jobs") >= MIN_JOBS_A_CREW)
    return enough.filter(pl.len().over("branch") >= MIN_CREWS)


def _spoken(terms: list[str]) -> list[str]:
    """Terms as they are spoken of: all surfaces are one, all branches are one."""
    words = ["surfaces" if t.startswith("share on") else "branch" if t.startswith("branch ") else t for t in terms]
    return [word for word in dict.fromkeys(words) if word != "intercept"]


def _measured(jobs: pl.DataFrame, enough: pl.DataFrame, seed: int) -> tuple[pl.DataFrame, list[str]]:
    """Ratios of the comparable crews, a row each, and what went into them in words."""
    fitted = jobs.join(enough.select("branch", "crew"), on=["branch", "crew"], how="semi", maintain_order="left")
    order = enough.select("branch", "crew").with_row_index("g")
    groups = fitted.join(order, on=["branch", "crew"], maintain_order="left")["g"].to_numpy().astype(np.int64)
    assert len(groups) == fitted.height
    branches = enough.select("branch").to_dummies().to_numpy().T.astype(float)
    branches /= branches.sum(axis=1, keepdims=True)
    x, kept, left_out = design(fitted)
    found = _fit(fitted, x, groups, branches, seed)
    expected = [float(found.expected[groups == g].sum()) for g in range(enough.height)]
    measured = enough.select("branch", "crew").with_columns(
        pl.Series("expected_hours", expected),
        pl.Series("ratio", found.ratio), pl.Series("low", found.limits[0]), pl.Series("high", found.limits[1]),
        pl.Series("pooled_ratio", found.pooled),
        pl.Series("pooled_low", found.pooled_limits[0]), pl.Series("pooled_high", found.pooled_limits[1]),
    ).with_columns(told_apart=(pl.col("low") > 1) | (pl.col("high") < 1))  # fmt: skip
    said = ", ".join(_spoken(kept))
    notes = [
        f"Expected hours take out what the records hold of a house: {said}. What they do not hold, such as plants in "
        "the way, stays in the ratios. Where two crews worked on a job, its hours stand with the crew that led it."
    ]
    if left_out:
        notes.append(f"Too few jobs to take out as well: {', '.join(_spoken(left_out))}.")
    return measured, notes


def compare_crews(job_hours: pl.DataFrame, exposure: pl.DataFrame, *, seed: int) -> tuple[pl.DataFrame, list[str]]:
    """Compare crews with the average of their branch's crews.

    `job_hours` is facts.job_hours and `exposure` facts.connection_exposure of one season. Returns the rows of
    decisions.crew_comparison (hours in h, ratios of observed to expected, 95 % limits) and notes. Expected hours are
    those of the average crew on the same jobs, from log(prep + install hours) on what `design` takes in, with a random
    intercept a crew (REML) and Duan's smearing to the mean (1983, JASA 78). Crews with too few jobs have raw hours.
    """
    jobs = _usable(job_hours)
    if jobs.is_empty():
        reason = "No job has feet and hours of prep or install of its own, so crews cannot be compared."
        return pl.DataFrame(schema=SCHEMA), [reason]
    table = jobs.group_by("season", "branch", "crew", maintain_order=True).agg(
        jobs=pl.len(), feet=pl.col("feet").sum(), observed_hours=pl.col("hours").sum()
    )
    notes = []
    enough = _comparable(table)
    if enough.is_empty():
        notes.append(
            f"Crews are compared where {MIN_CREWS} crews of a branch have {MIN_JOBS_A_CREW} jobs each: raw hours only."
        )
    else:
        measured, notes = _measured(jobs, enough, seed)
        table = table.join(measured, on=["branch", "crew"], how="left", maintain_order="left")
    faults, fault_notes = crew_faults(exposure, table)
    table = pl.concat([table, faults], how="horizontal")
    missing = [pl.lit(None, dtype=kind).alias(name) for name, kind in SCHEMA.items() if name not in table.columns]
    table = table.with_columns(missing)
    table = table.with_columns(pl.Series("note", [_note(row) for row in table.to_dicts()], dtype=pl.String))
    return table.select(pl.col(name).cast(kind) for name, kind in SCHEMA.items()), notes + fault_notes
