"""What a job costs before its first foot and what each foot adds, from the season's jobs."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import product

import numpy as np
import polars as pl
from numpy.typing import NDArray

from pipeline.decisions.cost_groups import band_of, group_sums, groups_to_fit, groups_told_apart
from pipeline.decisions.cost_lines import Fitted, Overhead, cost_frames
from pipeline.decisions.policy import COST_DRAWS, JOBS_A_COEFFICIENT, MIN_JOBS_A_KIND, MIN_JOBS_FOR_COST_FUNCTION
from pipeline.settings import Settings
from pipeline.statistics.least_squares import bootstrap_moments, condition_number, moments, widened

Floats = NDArray[np.float64]
JOB = ("branch", "job_no")
BEFORE_OVERHEAD = ("labor_usd", "materials_usd", "travel_usd", "equipment_usd", "service_usd")
ANY_SURFACE = "roofline"
"""What stands for the surface where no runs are kept."""
KINDS_OF_WORK = tuple(product(("new", "repeat"), ("leased", "sold")))


@dataclass(frozen=True)
class CostFunction:
    """Rows of decisions.cost_function, decisions.cost_limits and decisions.cost_by_size, and notes."""

    lines: pl.DataFrame
    limits: pl.DataFrame
    sizes: pl.DataFrame
    notes: list[str]


def _jobs(number: int) -> str:
    return "1 job is" if number == 1 else f"{number} jobs are"


def _usable(jobs: pl.DataFrame, runs: pl.DataFrame) -> tuple[pl.DataFrame, list[str]]:
    """The jobs that a cost function can be made from, and what to say of them; none with the reason."""
    if not jobs.is_empty() and not jobs["has_own_hours"].all():
        return jobs.clear(), [
            "What going to a house costs by itself cannot be told: hours are not written down by job, and what was "
            "spread by feet can only be found by feet."
        ]
    direct = pl.sum_horizontal(pl.col(name).cast(pl.Float64).fill_null(0) for name in BEFORE_OVERHEAD)
    costed = jobs.with_columns(direct_usd=direct).filter((pl.col("feet") > 0) & (pl.col("direct_usd") > 0))
    notes = []
    if (final := costed.filter(pl.col("is_final"))).height >= MIN_JOBS_FOR_COST_FUNCTION:
        if final.height < costed.height:
            notes.append(f"{_jobs(costed.height - final.height)} still to be taken down and left out.")
        costed = final
    with_runs = costed.join(runs.select(JOB).unique(), on=JOB, how="semi")
    if not with_runs.is_empty() and with_runs.height < costed.height:
        notes.append(f"{_jobs(costed.height - with_runs.height)} without runs, so without surfaces, and left out.")
        costed = with_runs
    if costed.height < MIN_JOBS_FOR_COST_FUNCTION:
        return costed.clear(), [
            f"What going to a house costs by itself needs {MIN_JOBS_FOR_COST_FUNCTION} jobs with feet, costs and hours "
            f"of their own; this season has {costed.height}."
        ]
    if costed["is_understated"].any():
        notes.append(f"The cost of {costed['is_understated'].sum()} of these jobs is understated, and so is this.")
    return costed.sort(JOB), notes


def _feet_by_kind(jobs: pl.DataFrame, runs: pl.DataFrame) -> tuple[list[tuple[str, int]], Floats]:
    """Kinds of roofline, each a surface and a band of stories, and feet: a row a job, a column a kind."""
    placed = jobs.select(*JOB, "stories", pl.col("feet").cast(pl.Float64)).with_row_index("row")
    if runs.is_empty():
        pieces = placed.with_columns(surface=pl.lit(ANY_SURFACE))
    else:
        pieces = placed.drop("feet").join(runs.select(*JOB, "surface", pl.col("feet").cast(pl.Float64)), on=JOB)
    rows = pieces.select("row", "surface", "stories", "feet").rows()
    kinds = sorted({(surface, band_of(stories)) for _, surface, stories, _ in rows}, key=lambda kind: kind[::-1])
    places = {kind: place for place, kind in enumerate(kinds)}
    feet = np.zeros((jobs.height, len(kinds)))
    for row, surface, stories, length in rows:
        feet[row, places[surface, band_of(stories)]] += length
    return kinds, feet


def _work_columns(jobs: pl.DataFrame, feet: Floats) -> tuple[list[tuple[str, str]], Floats, Floats]:
    """Kinds of work, their feet, and columns by which a foot of each costs more or less than the season's mean foot.

    The last kind has no column: the kinds' differences weighted by their feet add up to nothing. None for one kind, or
    where there are too few jobs for a start, a rate and these.
    """
    there = list(zip(jobs["work"], jobs["terms"], strict=True))
    kinds = [kind for kind in KINDS_OF_WORK if there.count(kind) >= MIN_JOBS_A_KIND]
    if len(kinds) < 2 or len(feet) < JOBS_A_COEFFICIENT * (1 + len(kinds)):
        return [], np.zeros(0), np.zeros((len(feet), 0))
    own = np.array([[kind == one for kind in kinds] for one in there]) * feet[:, None]
    totals = own.sum(axis=0)
    return kinds, totals, own[:, :-1] - own[:, -1:] * (totals[:-1] / totals[-1])


def _fit(jobs: pl.DataFrame, runs: pl.DataFrame, seed: int) -> Fitted:
    """Cost before overhead and hours of a job, as a start and rates a foot; weights of 1 / feet, as if each foot
    brought its own luck: then what the function gives adds up to what the jobs cost.
    """
    feet = jobs["feet"].cast(pl.Float64).to_numpy()
    kinds, by_kind = _feet_by_kind(jobs, runs)
    work, work_feet, differences = _work_columns(jobs, feet)
    ones, root = np.ones((len(feet), 1)), 1 / np.sqrt(feet)[:, None]
    groups = groups_to_fit(
        kinds, by_kind, 1 + differences.shape[1], lambda summed: np.hstack([ones, summed, differences]) * root
    )
    summed = group_sums(groups, by_kind)
    x = np.hstack([ones, summed, differences])
    y = np.column_stack([jobs["direct_usd"].to_numpy(), jobs["direct_hours"].cast(pl.Float64).to_numpy()])
    free = range(1 + len(groups), x.shape[1])
    found = moments(x, y, 1 / feet).solved(free)[0]
    draws = widened(found, bootstrap_moments(x, y, 1 / feet, COST_DRAWS, seed).solved(free), len(feet))
    draws[:, : 1 + len(groups)] = np.maximum(draws[:, : 1 + len(groups)], 0)
    group_feet = summed.sum(axis=0)
    shown = groups_told_apart(groups, draws[:, 1 : 1 + len(groups), 0], group_feet)
    shown.sort(key=lambda group: (-group_feet[list(group.members)].sum(), group.members))
    return Fitted(
        group_feet=group_feet,
        shown=tuple(shown),
        jobs=tuple((summed[:, list(group.members)].sum(axis=1) > 0).sum() for group in shown),
        work=tuple(work),
        work_feet=work_feet,
        feet=feet,
        found=found,
        draws=draws,
        condition=condition_number(x * root),
    )


def cost_function(
    jobs: pl.DataFrame, runs: pl.DataFrame, overheads: pl.DataFrame, settings: Settings, *, season: int, seed: int
) -> CostFunction:
    """A job's cost before overhead = a start + a rate a foot by surface and stories, none below nothing.

    `jobs` is measures.job_cost of the season, `runs` records.runs and `overheads` records.overheads of it. Kinds of
    work (new or repeat, leased or sold) have a difference from the mean foot beside that. Limits are 95 % percentile
    limits of a bootstrap over jobs; kinds of roofline that it does not tell apart are shown with one rate, whose limits
    do not count that they were chosen by the same jobs. Overhead is added afterwards by its basis, fixed and variable
    apart: an amount by hours goes by hours fitted in the same way.
    """
    usable, notes = _usable(jobs, runs)
    if usable.is_empty():
        return CostFunction(*cost_frames(None, Overhead.none(), 0.0, 0.0, season), notes)
    fitted = _fit(usable, runs, seed)
    whole = jobs.filter(pl.col("feet") > 0)
    invoiced, feet = float(whole["invoiced_usd"].fill_null(0).sum()), float(whole["feet"].sum())
    overhead = Overhead.of(overheads, jobs)
    margin = float(settings.number("target_margin") or 0)
    lines, limits, sizes = cost_frames(fitted, overhead, invoiced / feet, margin, season)
    return CostFunction(lines, limits, sizes, [*notes, *fitted.said()])
