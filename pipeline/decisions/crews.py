"""Crews compared on the houses they had: observed against expected hours, and faults against expected faults."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import polars as pl
from numpy.typing import NDArray

from pipeline.decisions.policy import (
    BOOTSTRAP_DRAWS,
    MIN_CREWS,
    MIN_JOBS_A_CREW,
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


def design(jobs: pl.DataFrame) -> tuple[Floats, list[str]]:
    """The fixed part of the model: its columns and their names; columns that say nothing new are left out."""
    terms: dict[str, Floats] = {"intercept": np.ones(jobs.height), "log feet": np.log(jobs["feet"].to_numpy())}
    terms["stories"] = jobs["stories"].cast(pl.Float64).to_numpy()
    slope = jobs["slope"]
    if slope.null_count() < jobs.height:
        terms["slope"] = slope.fill_null(slope.mean()).to_numpy()
        if slope.null_count() > SLOPE_MISSING_SHARE * jobs.height:
            terms["slope not recorded"] = slope.is_null().cast(pl.Float64).to_numpy()
    terms["repeat"] = (jobs["work"] == "repeat").cast(pl.Float64).to_numpy()
    for surface in SURFACES:
        share = jobs[f"share_{surface}"].cast(pl.Float64)
        if share.null_count() == 0 and float(share.to_numpy().std()) > MIN_SHARE_SPREAD:
            terms[f"share on {surface}"] = share.to_numpy()
    days = (jobs["install_date"] - jobs["install_date"].min()).dt.total_days().cast(pl.Float64)
    terms["week"] = (days / 7).to_numpy()
    workers = jobs["workers"].cast(pl.Float64)
    if workers.null_count() == 0 and float(workers.min() or 0) > 0:  # type: ignore[arg-type]
        terms["log crew size"] = np.log(workers.to_numpy())
    for branch in jobs["branch"].unique().sort().to_list()[1:]:
        terms[f"branch {branch}"] = (jobs["branch"] == branch).cast(pl.Float64).to_numpy()
    kept: list[str] = []
    columns: list[Floats] = []
    for name, column in terms.items():
        if np.linalg.matrix_rank(np.column_stack([*columns, column])) > len(columns):
            kept.append(name)
            columns.append(column)
    return np.column_stack(columns), kept


def _ratios(hours: Floats, expected: Floats, groups: NDArray[np.int64], count: int) -> Floats:
    seen = np.stack([hours[..., groups == g].sum(axis=-1) for g in range(count)], axis=-1)
    due = np.stack([expected[..., groups == g].sum(axis=-1) for g in range(count)], axis=-1)
    return np.asarray(seen / due)


def _centred(values: Floats, branches: Floats) -> Floats:
    """Values a crew less the mean of its branch's crews; `branches` has a row a branch of equal weights."""
    return values - (values @ branches.T) @ (branches > 0).astype(float)


def _fit(jobs: pl.DataFrame, groups: NDArray[np.int64], branches: Floats, seed: int) -> _Ratios:
    """Ratios and their limits by a bootstrap that draws crews and residuals and fits each drawn season anew.

    The variance ratio stays as fitted, so each refit is linear and all draws are solved at once. The average crew is
    the mean of the branch's own crews, so its uncertainty is not added to theirs.
    """
    count = branches.shape[1]
    from pipeline.statistics.mixed import fit_random_intercept

    x, _ = design(jobs)
    y = np.log(jobs["hours"].to_numpy())
    fit = fit_random_intercept(y, x, groups)
    sizes = np.bincount(groups, minlength=count).astype(float)
    variance_ratio = fit.group_variance / fit.residual_variance
    shrink = variance_ratio / (1 + variance_ratio * sizes)
    member = np.eye(count)[groups]
    weighted = x - (member * shrink) @ (member.T @ x)
    solve = np.linalg.solve(x.T @ weighted, weighted.T)

    def estimates(log_hours: Floats) -> tuple[Floats, Floats, Floats]:
        fitted = (log_hours @ solve.T) @ x.T
        effects = ((log_hours - fitted) @ member) * shrink
        hours = np.exp(log_hours)
        medians = np.exp(fitted)
        smear = hours.sum(axis=-1) / (medians * np.exp(effects @ member.T)).sum(axis=-1)
        expected = medians * smear[..., None]
        log_ratio = np.log(_ratios(hours, expected, groups, count))
        centred = _centred(log_ratio, branches)
        return centred, _centred(effects, branches), expected * np.exp((log_ratio - centred)[..., groups])

    rng = np.random.default_rng(seed)
    residuals = y - fit.fitted - fit.effects[groups]
    residuals = (residuals - residuals.mean()) * np.sqrt(fit.residual_variance / residuals.var())
    true = rng.normal(0, np.sqrt(fit.group_variance), (BOOTSTRAP_DRAWS, count))
    drawn = fit.fitted + true[:, groups] + rng.choice(residuals, (BOOTSTRAP_DRAWS, len(y)))
    log_ratio, effect, expected = (part[0] for part in estimates(y[None, :]))
    drawn_ratio, drawn_effect, _ = estimates(drawn)
    true = _centred(true, branches)
    miss = np.quantile(drawn_ratio - true, [0.975, 0.025], axis=0)
    pooled_miss = np.quantile(drawn_effect - true, [0.975, 0.025], axis=0)
    return _Ratios(np.exp(log_ratio), np.exp(log_ratio - miss), np.exp(effect), np.exp(effect - pooled_miss), expected)


def _faults(exposure: pl.DataFrame, crews: pl.DataFrame) -> pl.DataFrame:
    """Observed and expected faults a crew: each kind's rate over all crews, on the crew's connection-nights."""
    from pipeline.statistics.intervals import observed_over_expected

    # Sums of floats depend on their order in the last digit, so every group keeps a fixed order.
    floats = exposure.with_columns(pl.col("connection_nights", "failed_points").cast(pl.Float64))
    floats = floats.sort("branch", "crew", "kind", "job_no")
    sums = floats.group_by("branch", "crew", "kind", maintain_order=True).agg(
        pl.col("connection_nights", "failed_points").sum()
    )
    rates = sums.group_by("kind", maintain_order=True).agg(
        rate=pl.col("failed_points").sum() / pl.col("connection_nights").sum()
    )
    by_crew = (
        sums.join(rates, on="kind", maintain_order="left")
        .group_by("branch", "crew", maintain_order=True)
        .agg(faults=pl.col("failed_points").sum(), expected_faults=(pl.col("rate") * pl.col("connection_nights")).sum())
    )
    joined = crews.select("branch", "crew").join(by_crew, on=["branch", "crew"], how="left", maintain_order="left")
    rows: list[dict[str, float | None]] = []
    for faults, expected in zip(joined["faults"], joined["expected_faults"], strict=True):
        row: dict[str, float | None] = {"faults": faults, "expected_faults": expected}
        if faults is not None and expected:
            ratio, (low, high) = observed_over_expected(faults, expected)
            row |= {"fault_ratio": ratio, "fault_low": low, "fault_high": high}
        rows.append(row)
    names = ("faults", "expected_faults", "fault_ratio", "fault_low", "fault_high")
    return pl.DataFrame(rows, schema=dict.fromkeys(names, pl.Float64))


def _note(row: dict) -> str:
    if row["low"] is None:
        return f"fewer than {MIN_JOBS_A_CREW} jobs a crew, or one crew: raw hours only"
    if row["told_apart"]:
        pace = "fewer" if row["ratio"] < 1 else "more"
        return f"took {pace} hours than the average crew would have on the same houses"
    return "cannot be told from the average crew on these houses"


def compare_crews(job_hours: pl.DataFrame, exposure: pl.DataFrame, *, seed: int) -> tuple[pl.DataFrame, list[str]]:
    """Compare crews with the average of their branch's crews.

    `job_hours` is facts.job_hours and `exposure` facts.connection_exposure of one season. Returns the rows of
    decisions.crew_comparison (hours in h, ratios of observed to expected, 95 % limits) and notes. Expected hours are
    those of the average crew on the same jobs, from log(prep + install hours) on feet, stories, slope, work, surfaces,
    week and crew size, with a random intercept a crew (REML) and Duan's smearing to the mean (1983, JASA 78).
    """
    jobs = _usable(job_hours)
    empty = pl.DataFrame(schema=SCHEMA)
    if jobs.is_empty():
        return empty, ["No job has hours of prep or install of its own, so crews cannot be compared."]
    crews = (
        jobs.group_by("season", "branch", "crew", maintain_order=True)
        .agg(jobs=pl.len(), feet=pl.col("feet").sum(), observed_hours=pl.col("hours").sum())
        .with_row_index("group")
    )
    notes = []
    enough = crews.filter(pl.col("jobs") >= MIN_JOBS_A_CREW)
    fitted = jobs.join(enough.select("branch", "crew"), on=["branch", "crew"], how="semi", maintain_order="left")
    if enough.height < MIN_CREWS:
        notes.append(f"Crews are compared from {MIN_CREWS} crews with {MIN_JOBS_A_CREW} jobs each: raw hours only.")
        table = crews
    else:
        order = enough.select("branch", "crew").with_row_index("g")
        groups = fitted.join(order, on=["branch", "crew"], maintain_order="left")["g"].to_numpy().astype(np.int64)
        branches = enough.select("branch").to_dummies().to_numpy().T.astype(float)
        branches /= branches.sum(axis=1, keepdims=True)
        found = _fit(fitted, groups, branches, seed)
        expected = [float(found.expected[groups == g].sum()) for g in range(enough.height)]
        measured = enough.select("branch", "crew").with_columns(
            pl.Series("expected_hours", expected),
            pl.Series("ratio", found.ratio), pl.Series("low", found.limits[0]), pl.Series("high", found.limits[1]),
            pl.Series("pooled_ratio", found.pooled),
            pl.Series("pooled_low", found.pooled_limits[0]), pl.Series("pooled_high", found.pooled_limits[1]),
        ).with_columns(told_apart=(pl.col("low") > 1) | (pl.col("high") < 1))  # fmt: skip
        table = crews.join(measured, on=["branch", "crew"], how="left", maintain_order="left")
        notes.append(
            "Expected hours take out what the records hold of a house (feet, stories, slope, surfaces, new or repeat, "
            "week, crew size). What they do not hold, such as plants in the way, stays in the ratios."
        )
    table = pl.concat([table, _faults(exposure, table)], how="horizontal")
    missing = [pl.lit(None, dtype=kind).alias(name) for name, kind in SCHEMA.items() if name not in table.columns]
    table = table.with_columns(missing)
    table = table.with_columns(pl.Series("note", [_note(row) for row in table.to_dicts()], dtype=pl.String))
    return table.select(pl.col(name).cast(kind) for name, kind in SCHEMA.items()), notes
