"""Crews compared on the houses they had: observed against expected hours, and faults against expected faults."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import polars as pl
from numpy.typing import NDArray

from pipeline.decisions import contrasts as pairs
from pipeline.decisions import crews_jobs, crews_residuals, crews_terms, learning
from pipeline.decisions.contrasts import contrasts
from pipeline.decisions.crew_faults import crew_faults
from pipeline.decisions.crews_design import usable_jobs
from pipeline.decisions.crews_fit import CrewFit, fit_crews, pooled
from pipeline.decisions.crews_seasons import lasting_pace
from pipeline.decisions.policy import MIN_CREWS, MIN_JOBS_A_CREW, WRONG_CREW_CHANCE

Floats = NDArray[np.float64]

SCHEMA = {
    "season": pl.Int32, "branch": pl.String, "crew": pl.String, "jobs": pl.Int32, "feet": pl.Float64,
    "observed_hours": pl.Float64, "expected_hours": pl.Float64, "ratio": pl.Float64, "low": pl.Float64,
    "high": pl.Float64, "all_low": pl.Float64, "all_high": pl.Float64, "adjusted_chance": pl.Float64,
    "told_apart": pl.Boolean, "fair_hours_per_100_ft": pl.Float64, "without_wild_ratio": pl.Float64,
    "pooled_ratio": pl.Float64, "pooled_low": pl.Float64, "pooled_high": pl.Float64, "lasting_seasons": pl.Int32,
    "lasting_ratio": pl.Float64, "lasting_low": pl.Float64, "lasting_high": pl.Float64, "faults": pl.Int32,
    "expected_faults": pl.Float64, "fault_ratio": pl.Float64, "fault_low": pl.Float64, "fault_high": pl.Float64,
    "note": pl.String,
}  # fmt: skip


@dataclass(frozen=True)
class CrewComparison:
    """Rows of decisions.crew_comparison, crew_contrasts, hours_multipliers, crew_jobs, crew_residuals, crew_model and
    crew_learning, and what is to be said beside them."""

    crews: pl.DataFrame
    contrasts: pl.DataFrame
    multipliers: pl.DataFrame
    jobs: pl.DataFrame
    residuals: pl.DataFrame
    model: pl.DataFrame
    learning: pl.DataFrame
    notes: list[str]
    learning_notes: list[str]

    @property
    def tables(self) -> dict[str, pl.DataFrame]:
        """The rows by the name of their table in the schema decisions."""
        return {
            "crew_comparison": self.crews, "crew_contrasts": self.contrasts, "hours_multipliers": self.multipliers,
            "crew_jobs": self.jobs, "crew_residuals": self.residuals,
            "crew_model": self.model, "crew_learning": self.learning,
        }  # fmt: skip


def _note(row: dict) -> str:
    if row["ratio"] is None and row["jobs"] < MIN_JOBS_A_CREW:
        return f"fewer than {MIN_JOBS_A_CREW} jobs: raw hours only"
    if row["ratio"] is None:
        return f"no other crew of the branch has {MIN_JOBS_A_CREW} jobs: raw hours only"
    if row["told_apart"]:
        pace = "fewer" if row["ratio"] < 1 else "more"
        return f"took {pace} hours than the average crew would have on the same houses"
    return "cannot be told from the average crew on these houses"


def _per_100_ft(fit: CrewFit, expected: Floats, ratio: Floats) -> Floats:
    """Each crew's ratio x the hours that the average crew of its branch takes for 100 ft of all the branch's houses."""
    branch = fit.branches.argmax(axis=1)
    place = branch[fit.groups]
    hours = np.bincount(place, weights=expected)
    feet = np.bincount(place, weights=fit.jobs["feet"].to_numpy())
    return np.asarray(ratio * (hours / feet)[branch] * 100)


def _measured(fit: CrewFit, drawn: Floats, *, seed: int) -> pl.DataFrame:
    """Ratios of the comparable crews, a row each."""
    limits = fit.limits(fit.average)
    expected = crews_jobs.expected_hours(fit)
    middle = np.quantile(drawn, [0.5, 0.025, 0.975], axis=0)
    wild = crews_jobs.without_wild_jobs(fit, seed=seed)
    return fit.crews.with_columns(
        expected_hours=pl.Series(np.bincount(fit.groups, weights=expected)),
        ratio=pl.Series(limits.ratio), low=pl.Series(limits.low), high=pl.Series(limits.high),
        all_low=pl.Series(limits.all_low), all_high=pl.Series(limits.all_high),
        adjusted_chance=pl.Series(limits.adjusted), told_apart=pl.Series(limits.adjusted < WRONG_CREW_CHANCE),
        fair_hours_per_100_ft=pl.Series(_per_100_ft(fit, expected, limits.ratio)),
        without_wild_ratio=pl.Series(wild).fill_nan(None),
        pooled_ratio=pl.Series(np.exp(middle[0])), pooled_low=pl.Series(np.exp(middle[1])),
        pooled_high=pl.Series(np.exp(middle[2])),
    )  # fmt: skip


def _said_of(fit: CrewFit) -> list[str]:
    """What went into a fit, in words."""
    said = ", ".join(dict.fromkeys(term.group for term in fit.design.terms))
    notes = [
        f"Expected hours take out what the records hold of a house: {said}. What they do not hold, such as plants in "
        "the way, stays in the ratios. Where two crews worked on a job, its hours stand with the crew that led it."
    ]
    if fit.design.left_out:
        notes.append(f"Too few jobs to take out as well: {', '.join(fit.design.left_out)}.")
    return notes


def _in_order(table: pl.DataFrame) -> pl.DataFrame:
    missing = [pl.lit(None, dtype=kind).alias(name) for name, kind in SCHEMA.items() if name not in table.columns]
    table = table.with_columns(missing)
    table = table.with_columns(pl.Series("note", [_note(row) for row in table.to_dicts()], dtype=pl.String))
    return table.select(pl.col(name).cast(kind) for name, kind in SCHEMA.items())


def _without_model(
    crews: pl.DataFrame, learned: pl.DataFrame, notes: list[str], learning_notes: list[str]
) -> CrewComparison:
    """Raw hours alone: nobody can be compared."""
    return CrewComparison(
        crews=crews,
        contrasts=pl.DataFrame(schema=pairs.SCHEMA),
        multipliers=pl.DataFrame(schema=crews_terms.SCHEMA),
        jobs=pl.DataFrame(schema=crews_jobs.SCHEMA),
        residuals=pl.DataFrame(schema=crews_residuals.SCHEMA),
        model=pl.DataFrame(schema=crews_jobs.MODEL_SCHEMA),
        learning=learned,
        notes=notes,
        learning_notes=learning_notes,
    )


def compare_crews(job_hours: pl.DataFrame, exposure: pl.DataFrame, *, season: int, seed: int) -> CrewComparison:
    """Compare crews with the average of their branch's crews and with each other.

    `job_hours` is facts.job_hours of `season` and of those before it, `exposure` facts.connection_weeks of the
    season alone. Hours in h, ratios of observed to expected, limits of 95 %. Expected hours are those of the average
    crew, in the geometric mean of the branch's crews, on the same jobs. Crews with too few jobs have raw hours.
    """
    every = usable_jobs(job_hours)
    learned, learning_notes = learning.crew_learning(job_hours, every, season)
    jobs = every.filter(pl.col("season") == season)
    if jobs.is_empty():
        reason = "No job has feet and hours of prep or install of its own, so crews cannot be compared."
        return _without_model(pl.DataFrame(schema=SCHEMA), learned, [reason], learning_notes)
    table = jobs.group_by("season", "branch", "crew", maintain_order=True).agg(
        jobs=pl.len(), feet=pl.col("feet").sum(), observed_hours=pl.col("hours").sum()
    )
    fit = fit_crews(jobs, seed=seed)
    faults, fault_notes = crew_faults(exposure, table)
    if fit is None:
        why = (
            f"Crews are compared where {MIN_CREWS} crews of a branch have {MIN_JOBS_A_CREW} jobs each: raw hours only."
        )
        crews = _in_order(pl.concat([table, faults], how="horizontal"))
        return _without_model(crews, learned, [why, *fault_notes], learning_notes)
    drawn = pooled(fit, seed=seed)
    lasting, spreads = lasting_pace(every, season, seed=seed)
    more = pl.DataFrame({"season": season, "what": list(spreads), "value": list(spreads.values())},
                        schema=crews_jobs.MODEL_SCHEMA)  # fmt: skip
    measured = _measured(fit, drawn, seed=seed).join(lasting, on=["branch", "crew"], how="left", maintain_order="left")
    table = table.join(measured, on=["branch", "crew"], how="left", maintain_order="left")
    behind = crews_jobs.crew_jobs(fit)
    return CrewComparison(
        crews=_in_order(pl.concat([table, faults], how="horizontal")),
        contrasts=contrasts(fit, drawn),
        multipliers=crews_terms.multipliers(fit),
        jobs=behind,
        residuals=crews_residuals.residual_classes(behind),
        model=pl.concat([crews_jobs.crew_model(fit), more]),
        learning=learned,
        notes=[*_said_of(fit), *fault_notes],
        learning_notes=learning_notes,
    )
