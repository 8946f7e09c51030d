"""Faults on the jobs that a crew built, against what the average crew would have had."""

from __future__ import annotations

import polars as pl

from pipeline.decisions.policy import CLEAR_OVERDISPERSION

SCHEMA = {
    "faults": pl.Float64, "expected_faults": pl.Float64, "fault_ratio": pl.Float64, "fault_low": pl.Float64,
    "fault_high": pl.Float64,
}  # fmt: skip


def _with_expected(exposure: pl.DataFrame) -> pl.DataFrame:
    """Connections with the faults due to them: each kind's rate over all crews times their connection-nights.

    A kind without connection-nights has no rate; where service calls were not handed in faults are not known.
    """
    floats = exposure.with_columns(pl.col("connection_nights", "failed_points").cast(pl.Float64))
    # Sums of floats depend on their order in the last digit, so every group keeps a fixed order.
    known = floats.filter(pl.col("failed_points").is_not_null()).sort("branch", "crew", "kind", "job_no")
    rates = known.group_by("kind", maintain_order=True).agg(
        rate=pl.col("failed_points").sum() / pl.col("connection_nights").sum(),
        nights=pl.col("connection_nights").sum(),
    )
    usable = known.join(rates.filter(pl.col("nights") > 0), on="kind", maintain_order="left")
    return usable.with_columns(expected=pl.col("rate") * pl.col("connection_nights"))


def _dispersion(due: pl.DataFrame) -> float:
    """How many times more than Poisson counts the faults of jobs spread; 1 at least."""
    from pipeline.statistics.intervals import dispersion

    jobs = due.group_by("branch", "job_no", maintain_order=True).agg(pl.col("failed_points", "expected").sum())
    jobs = jobs.filter(pl.col("expected") > 0)
    kinds = due["kind"].n_unique()
    if jobs.height <= kinds:
        return 1.0
    return max(1.0, dispersion(jobs["failed_points"].to_numpy(), jobs["expected"].to_numpy(), kinds))


def crew_faults(exposure: pl.DataFrame, crews: pl.DataFrame) -> tuple[pl.DataFrame, list[str]]:
    """Observed and expected failed points of `crews` (branch, crew), a row each in their order, and notes.

    `exposure` is facts.connection_exposure of one season. Limits are exact Poisson limits, widened by the dispersion
    of the jobs' counts.
    """
    from pipeline.statistics.intervals import widened_ratio_limits

    due = _with_expected(exposure)
    if due.is_empty():
        reason = "Faults of crews are not compared: connections or service calls were not handed in."
        return pl.DataFrame([pl.Series(name, [None] * crews.height, dtype=kind) for name, kind in SCHEMA.items()]), [
            reason
        ]
    spread = _dispersion(due)
    by_crew = due.group_by("branch", "crew", maintain_order=True).agg(
        faults=pl.col("failed_points").sum(), expected_faults=pl.col("expected").sum()
    )
    joined = crews.select("branch", "crew").join(by_crew, on=["branch", "crew"], how="left", maintain_order="left")
    assert joined.height == crews.height
    rows: list[dict[str, float | None]] = []
    for faults, expected in zip(joined["faults"], joined["expected_faults"], strict=True):
        row: dict[str, float | None] = {"faults": faults, "expected_faults": expected}
        if faults is not None and expected:
            low, high = widened_ratio_limits(faults, expected, spread)
            row |= {"fault_ratio": faults / expected, "fault_low": low, "fault_high": high}
        rows.append(row)
    notes = []
    if spread > CLEAR_OVERDISPERSION:
        notes.append(
            f"Faults come in clusters on jobs: they spread {spread:.1f} times as much as chance alone would spread "
            "them, and the limits of the fault ratios are widened for it."
        )
    return pl.DataFrame(rows, schema=SCHEMA), notes
