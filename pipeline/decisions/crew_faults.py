"""Faults on the jobs that a crew built, against what the average crew would have had."""

from __future__ import annotations

import polars as pl

from pipeline.decisions.policy import CLEAR_OVERDISPERSION

SCHEMA = {
    "faults": pl.Float64, "expected_faults": pl.Float64, "fault_ratio": pl.Float64, "fault_low": pl.Float64,
    "fault_high": pl.Float64,
}  # fmt: skip


def crew_faults(weeks: pl.DataFrame, crews: pl.DataFrame) -> tuple[pl.DataFrame, list[str]]:
    """Observed and expected failed points of `crews` (branch, crew), a row each in their order, and notes.

    `weeks` is facts.connection_weeks of one season. Expected are the failures that the same kinds of connection had in
    the same weeks over all crews, so that the window is the same for all. Limits are those of a crew's share of
    all failures, widened by how far the jobs' counts spread.
    """
    from pipeline.decisions.failure_groups import group_failures, known_weeks, with_expected, with_ratios

    known = known_weeks(weeks)
    if not known["connection_nights"].sum() > 0:
        reason = "Faults of crews are not compared: connections or service calls were not handed in."
        return pl.DataFrame([pl.Series(name, [None] * crews.height, dtype=kind) for name, kind in SCHEMA.items()]), [
            reason
        ]
    groups = group_failures(with_expected(known), ["branch", "crew"], "expected")
    names = {"failed_points": "faults", "expected": "expected_faults", "ratio": "fault_ratio",
             "ratio_low": "fault_low", "ratio_high": "fault_high"}  # fmt: skip
    by_crew = with_ratios(groups).rename(names).select("branch", "crew", *SCHEMA)
    joined = crews.select("branch", "crew").join(by_crew, on=["branch", "crew"], how="left", maintain_order="left")
    assert joined.height == crews.height
    notes = []
    if groups.clustering.factor > CLEAR_OVERDISPERSION:
        notes.append(
            f"Faults come in clusters on jobs: they spread {groups.clustering.factor:.1f} times as much as chance "
            "alone would spread them, and the limits of the fault ratios are widened for it."
        )
    return joined.select(pl.col(name).cast(kind) for name, kind in SCHEMA.items()), notes
