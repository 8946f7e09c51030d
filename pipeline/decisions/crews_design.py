"""What of a house makes its hours: the terms of the model of hours, and what each is called."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
import polars as pl
from numpy.typing import NDArray

from pipeline.decisions.policy import MIN_JOBS_A_TERM, MIN_SHARE_SPREAD, SLOPE_MISSING_SHARE, STEEP_FROM

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

SURFACES = ("gutter", "shingle", "ridge", "masonry", "trim", "ground", "other")
"""Surfaces whose share of a job's feet is a term; the first that the jobs have is what the others stand against."""
SLOPE_STEP, LOW_SLOPE_STEP = 4.0, 2.0
"""Inches of rise in 12 in the multipliers of a slope, above STEEP_FROM and below it."""
SAME = 1e-6
"""Share of a column's spread within crews that must be its own; less is said by the terms before it."""


@dataclass(frozen=True)
class Term:
    """A term of the model: `what` says what its multiplier, exp(`step` x coefficient), is of; blank where it has none.

    `group` is what the term belongs to when terms are listed.
    """

    key: str
    group: str
    what: str
    step: float
    column: Floats


@dataclass(frozen=True)
class Design:
    """The terms taken in, their matrix (a row a job), and the groups of those for which there were too few jobs."""

    terms: tuple[Term, ...]
    left_out: tuple[str, ...]
    jobs: int

    @property
    def matrix(self) -> Floats:
        """A row a job and a column a term."""
        return np.column_stack([t.column for t in self.terms]) if self.terms else np.empty((self.jobs, 0))


def usable_jobs(job_hours: pl.DataFrame) -> pl.DataFrame:
    """Jobs of facts.job_hours with feet and hours of prep or install, their sum as `hours`, in a fixed order."""
    floats = ["feet", "prep_hours", "install_hours", "slope"]
    jobs = job_hours.with_columns(pl.col(floats).cast(pl.Float64)).with_columns(
        hours=pl.col("prep_hours").fill_null(0) + pl.col("install_hours").fill_null(0)
    )
    return jobs.filter((pl.col("hours") > 0) & (pl.col("feet") > 0)).sort("season", "branch", "crew", "job_no")


def _filled(column: pl.Series, key: str, group: str) -> tuple[Floats, Iterator[Term]]:
    """A column with its gaps at the mean, and a term for the gaps where they are more than a few."""
    gaps = column.is_null()
    many = gaps.sum() > SLOPE_MISSING_SHARE * len(column)
    extra = [Term(f"{key}_not_recorded", group, "", 1.0, gaps.cast(pl.Float64).to_numpy())] if many else []
    return column.fill_null(column.mean()).to_numpy(), iter(extra)


def _slope_terms(jobs: pl.DataFrame) -> Iterator[Term]:
    if jobs["slope"].null_count() == jobs.height:
        return
    slope, gaps = _filled(jobs["slope"], "slope", "slope")
    above, low = STEEP_FROM + SLOPE_STEP, STEEP_FROM - LOW_SLOPE_STEP
    yield Term("steep", "slope", f"a {above:.0f}/12 slope in place of {STEEP_FROM:.0f}/12", SLOPE_STEP,
               np.clip(slope - STEEP_FROM, 0, None))  # fmt: skip
    yield Term("slope", "slope", f"a {STEEP_FROM:.0f}/12 slope in place of {low:.0f}/12", LOW_SLOPE_STEP,
               np.clip(slope, None, STEEP_FROM))  # fmt: skip
    yield from gaps


def _surface_terms(jobs: pl.DataFrame) -> Iterator[Term]:
    shares = {name: jobs[f"share_{name}"].cast(pl.Float64) for name in SURFACES}
    there = [name for name, share in shares.items() if share.null_count() < jobs.height and (share.mean() or 0) > 0]  # type: ignore[operator]
    for name in there[1:]:
        column, gaps = _filled(shares[name], "surfaces", "surfaces")
        if float(column.std()) > MIN_SHARE_SPREAD:
            yield Term(f"on_{name}", "surfaces", f"{name} in place of {there[0]}", 1.0, column)
        yield from gaps


def _story_terms(jobs: pl.DataFrame) -> Iterator[Term]:
    said = {2: "a second story", 3: "a third story, on top of the second", 4: "a fourth story, on top of the third"}
    for stories, what in said.items():
        column = (jobs["stories"] >= stories).cast(pl.Float64).to_numpy()
        if min(column.sum(), jobs.height - column.sum()) >= MIN_JOBS_A_TERM:
            yield Term(f"story_{stories}", "stories", what, 1.0, column)


def _terms(jobs: pl.DataFrame) -> Iterator[Term]:
    """What may tell jobs apart, the weightiest first."""
    yield Term("feet", "feet", "twice the feet on one job", float(np.log(2)), np.log(jobs["feet"].to_numpy()))
    repeat = (jobs["work"] == "repeat").cast(pl.Float64).to_numpy()
    yield Term("repeat", "new or repeat", "a repeat job in place of a new one", 1.0, repeat)
    yield from _story_terms(jobs)
    yield from _slope_terms(jobs)
    workers = jobs["workers"].cast(pl.Float64)
    if workers.null_count() == 0 and bool((workers > 0).all()):
        yield Term("workers", "crew size", "twice the workers on the job", float(np.log(2)), np.log(workers.to_numpy()))
    yield from _surface_terms(jobs)
    for season in jobs["season"].unique().sort().to_list()[1:]:
        yield Term(f"season_{season}", "season", "", 1.0, (jobs["season"] == season).cast(pl.Float64).to_numpy())
    first = jobs.select((pl.col("install_date") - pl.col("install_date").min().over("season")).dt.total_days())
    yield Term("week", "week", "each later week of the season", 1.0, first.to_series().cast(pl.Float64).to_numpy() / 7)


def design(jobs: pl.DataFrame, groups: Ints) -> Design:
    """The terms that vary within the groups (crews, numbered from 0), as many as there are jobs for.

    A term that others already say (a slope that never varies, a crew's own size) is left out silently.
    """
    from pipeline.statistics.mixed_groups import group_means

    count = int(groups.max()) + 1
    most = jobs.height // MIN_JOBS_A_TERM - count
    kept: list[Term] = []
    left_out: list[str] = []
    basis = np.empty((jobs.height, 0))
    for term in _terms(jobs):
        inner = term.column - group_means(term.column, groups, count)[groups]
        own = inner - basis @ (basis.T @ inner)
        own = own - basis @ (basis.T @ own)
        spread = np.linalg.norm(term.column - term.column.mean())
        if np.linalg.norm(own) <= SAME * max(spread, SAME * np.linalg.norm(term.column)):
            continue
        if len(kept) >= max(1, most):
            left_out.append(term.group)
            continue
        kept.append(term)
        basis = np.column_stack([basis, own / np.linalg.norm(own)])
    return Design(tuple(kept), tuple(dict.fromkeys(left_out)), jobs.height)
