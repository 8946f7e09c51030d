"""The fewest lines of a rate card that say what jobs cost nearly as well as all that could be on it."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import combinations

import numpy as np
import polars as pl
from numpy.typing import NDArray

from pipeline.decisions.cost_groups import STORY_BANDS, band_of
from pipeline.decisions.policy import (
    ACCURACY_GIVEN_UP,
    LINE_ERROR,
    MIN_JOBS_A_KIND,
    MIN_JOBS_A_SEGMENT,
    STEEP_SLOPE,
)
from pipeline.statistics.least_squares import Moments, moments

Floats = NDArray[np.float64]
JOB = ("branch", "job_no")
ANY_SURFACE = "roofline"
FAMILIES = ("stories", "slope", "work")
"""Families of adders; lines of one family may stand together."""
FREE = "work"
"""The family whose adders may take something off: a repeat foot can be cheaper, a higher one is never."""


@dataclass(frozen=True)
class Houses:
    """What can be told of jobs before they are done.

    `surfaces` are the names of the columns of `surface_feet` (jobs x surfaces); `adders` has (family, name) of the
    columns of `adder_feet` (jobs x adders), feet to which an adder would apply; `base` is the kind of work without one.
    """

    feet: Floats
    surfaces: tuple[str, ...]
    surface_feet: Floats
    adders: tuple[tuple[str, str], ...]
    adder_feet: Floats
    base: str

    def alike(self) -> list[list[int]]:
        """Places of the adders in groups: of stories, of slope, and of each kind of work whoever owns the goods.

        Sold and leased repeat work are apart: one of the two is mostly the base, and needs no adder.
        """
        keys = [(family, name.split(",")[0] if family == "work" else "") for family, name in self.adders]
        return [[at for at, one in enumerate(keys) if one == key] for key in dict.fromkeys(keys)]

    @property
    def columns(self) -> Floats:
        """A start, feet by surface and feet by adder: a row a job."""
        return np.hstack([np.ones((len(self.feet), 1)), self.surface_feet, self.adder_feet])


def kind_of(work: str, terms: str) -> str:
    """A kind of work as the card names it."""
    return f"{work} work, goods {terms}"


def _surface_feet(jobs: pl.DataFrame, runs: pl.DataFrame) -> tuple[tuple[str, ...], Floats]:
    """Feet of each job by surface; a surface that few jobs have, and jobs without runs, go by `roofline`."""
    placed = jobs.select(*JOB, feet=pl.col("feet").cast(pl.Float64)).with_row_index("row")
    if runs.is_empty():
        return (ANY_SURFACE,), placed["feet"].to_numpy()[:, None]
    own = runs.select(*JOB, "surface", run_feet=pl.col("feet").cast(pl.Float64))
    pieces = placed.join(own, on=JOB, how="inner").sort("row", "surface")
    counts = pieces.group_by("surface").agg(jobs=pl.col("row").n_unique(), feet=pl.col("run_feet").sum())
    kept = counts.filter(pl.col("jobs") >= MIN_JOBS_A_KIND).sort("feet", "surface", descending=[True, False])
    names = tuple(kept["surface"].to_list())
    places = {name: at for at, name in enumerate(names)}
    feet = np.zeros((jobs.height, len(names) + 1))
    for row, surface, length in pieces.select("row", "surface", "run_feet").rows():
        feet[row, places.get(surface, len(names))] += length
    bare = feet.sum(axis=1) == 0
    feet[bare, -1] = placed["feet"].to_numpy()[bare]
    return (*names, "other surface"), feet


def houses_of(jobs: pl.DataFrame, runs: pl.DataFrame) -> Houses:
    """Jobs (measures.job_cost, with feet) and their runs (records.runs) as a card sees them, in the jobs' order."""
    feet = jobs["feet"].cast(pl.Float64).to_numpy()
    bands = np.array([band_of(stories or 1) for stories in jobs["stories"]])
    slope = jobs["slope"].cast(pl.Float64).fill_null(0).to_numpy()
    kinds = [kind_of(*pair) for pair in jobs.select("work", "terms").rows()]
    by_kind = {kind: float(feet[np.array(kinds) == kind].sum()) for kind in sorted(set(kinds))}
    base = max(by_kind, key=lambda kind: by_kind[kind])
    adders = [("stories", STORY_BANDS[band], bands == band) for band in (1, 2)]
    adders.append(("slope", f"slope {STEEP_SLOPE}/12 and over", slope >= STEEP_SLOPE))
    adders += [("work", kind, np.array(kinds) == kind) for kind in by_kind if kind != base]
    surfaces, surface_feet = _surface_feet(jobs, runs)
    return Houses(
        feet=feet,
        surfaces=surfaces,
        surface_feet=surface_feet,
        adders=tuple((family, name) for family, name, _ in adders),
        adder_feet=np.column_stack([np.where(has, feet, 0.0) for _, _, has in adders]),
        base=base,
    )


def as_seen(jobs: pl.DataFrame, runs: pl.DataFrame, card: Houses) -> Houses:
    """Jobs with the columns of a card that was made from other jobs: surfaces and adders that it does not know go by
    its other surface, or by its base kind of work; a job of a kind that was the base has no adder.
    """
    own = houses_of(jobs, runs)
    surfaces = np.zeros((jobs.height, len(card.surfaces)))
    for at, name in enumerate(own.surfaces):
        place = card.surfaces.index(name) if name in card.surfaces else len(card.surfaces) - 1
        surfaces[:, place] += own.surface_feet[:, at]
    kinds = [kind_of(*pair) for pair in jobs.select("work", "terms").rows()]
    columns = []
    for family, name in card.adders:
        if family == "work":
            columns.append(np.where(np.array(kinds) == name, own.feet, 0.0))
        else:
            columns.append(own.adder_feet[:, own.adders.index((family, name))])
    adders = np.column_stack(columns) if columns else np.zeros((jobs.height, 0))
    return Houses(own.feet, card.surfaces, surfaces, card.adders, adders, card.base)


@dataclass(frozen=True)
class Lines:
    """Which lines a card has: groups of surfaces with one rate, and groups of adders; an adder in none costs nothing.

    Members are places among the surfaces and the adders of the houses.
    """

    surfaces: tuple[tuple[int, ...], ...]
    adders: tuple[tuple[int, ...], ...]

    @property
    def count(self) -> int:
        """Lines with the start."""
        return 1 + len(self.surfaces) + len(self.adders)

    def summed(self, houses: Houses) -> Floats:
        """From the houses' columns to the card's: columns x lines, 0 or 1."""
        to = np.zeros((1 + len(houses.surfaces) + len(houses.adders), self.count))
        to[0, 0] = 1
        for at, members in enumerate(self.surfaces, start=1):
            to[[1 + member for member in members], at] = 1
        for at, members in enumerate(self.adders, start=1 + len(self.surfaces)):
            to[[1 + len(houses.surfaces) + member for member in members], at] = 1
        return to

    def free(self, houses: Houses) -> list[int]:
        """Lines that may be below nothing."""
        first = 1 + len(self.surfaces)
        return [first + at for at, members in enumerate(self.adders) if houses.adders[members[0]][0] == FREE]

    def fewer(self, houses: Houses) -> Iterator[Lines]:
        """Cards with a line less: two surfaces or two adders of a family together, or an adder left out."""
        for a, b in combinations(range(len(self.surfaces)), 2):
            yield Lines(_together(self.surfaces, a, b), self.adders)
        for a, b in combinations(range(len(self.adders)), 2):
            if houses.adders[self.adders[a][0]][0] == houses.adders[self.adders[b][0]][0]:
                yield Lines(self.surfaces, _together(self.adders, a, b))
        for a in range(len(self.adders)):
            yield Lines(self.surfaces, self.adders[:a] + self.adders[a + 1 :])


def _together(groups: tuple[tuple[int, ...], ...], a: int, b: int) -> tuple[tuple[int, ...], ...]:
    joined = tuple(sorted(groups[a] + groups[b]))
    return tuple(joined if at == a else group for at, group in enumerate(groups) if at != b)


@dataclass(frozen=True)
class CardFit:
    """The lines chosen, their rates before a margin (usd a job, usd a foot), and how far off they are.

    `error` and `full_error` are the root mean square errors a foot, weighted by feet, of this card and of the one with
    every line.
    """

    lines: Lines
    rates: Floats
    error: float
    full_error: float


def _all_lines(houses: Houses, seen: Sequence[int]) -> Lines:
    """Every surface that there is, and every adder with MIN_JOBS_A_KIND jobs of those `seen`; one with fewer stands
    with its like, a higher house with the next lower, sold new work with leased: to leave it out would be to charge it
    as if it cost nothing.
    """
    used = [at for at in range(len(houses.surfaces)) if houses.surface_feet[:, at].any()]
    groups: list[tuple[int, ...]] = []
    for alike in houses.alike():
        enough: list[tuple[int, ...]] = [(at,) for at in alike if seen[at] >= MIN_JOBS_A_KIND]
        few = tuple(at for at in alike if 0 < seen[at] < MIN_JOBS_A_KIND)
        if few:
            enough = [tuple(sorted((*enough[-1], *few))), *enough[:-1]] if enough else [few]
        groups += [one for one in sorted(enough) if sum(seen[at] for at in one) >= MIN_JOBS_A_KIND]
    return Lines(tuple((at,) for at in used), tuple(groups))


def solved(houses: Houses, lines: Lines, sums: Moments) -> Floats:
    """Rates of a card's lines from the sums over the houses' columns: samples x lines."""
    to = lines.summed(houses)
    reduced = Moments(to.T @ sums.gram @ to, to.T @ sums.cross)
    return reduced.solved(lines.free(houses))[:, :, 0]


def fit_card(houses: Houses, need: Floats, expected: Floats, segments: Floats, seen: Sequence[int]) -> CardFit:
    """The card with the fewest lines found: lines are joined or left out one by one, the one that costs least accuracy
    first, as long as the error stays within ACCURACY_GIVEN_UP of the full card's and no segment gets off by more than
    LINE_ERROR, or than the full card has it off.

    `need` is what each job will cost by its own records, usd, from which the error is; `expected` what jobs like it
    will, from which lines and rates are; `segments` the shares of jobs in each segment that counts, segments x jobs;
    `seen` with how many jobs each adder was seen, in all seasons that `expected` is told from.
    Weights are 1 / feet: each foot brings its own luck.
    """
    columns = houses.columns
    sums = moments(columns, np.column_stack([expected, need]), 1 / houses.feet)
    wanted, spent = Moments(sums.gram, sums.cross[:, :, :1]), sums.cross[0, :, 1]
    whole = float((need**2 / houses.feet).sum())
    by_segment, due = segments @ columns, segments @ expected

    def tried(lines: Lines) -> tuple[Floats, float, Floats]:
        rates = solved(houses, lines, wanted)[0]
        spread = lines.summed(houses) @ rates
        squares = whole - 2 * float(spread @ spent) + float(spread @ sums.gram[0] @ spread)
        off = np.abs(by_segment @ spread / due - 1)
        return rates, float(np.sqrt(max(squares, 0.0) / houses.feet.sum())), off

    lines = _all_lines(houses, seen)
    rates, full, off = tried(lines)
    error, allowed = full, np.maximum(LINE_ERROR, off)
    while True:
        options = [(*tried(fewer), fewer) for fewer in lines.fewer(houses)]
        fitting = [one for one in options if one[1] <= full * (1 + ACCURACY_GIVEN_UP) and (one[2] <= allowed).all()]
        if not fitting:
            return CardFit(lines, rates, error, full)
        rates, error, _, lines = min(fitting, key=lambda one: one[1])


def segment_weights(jobs: pl.DataFrame, houses: Houses, views: Sequence[str]) -> tuple[list[tuple[str, str]], Floats]:
    """Segments with MIN_JOBS_A_SEGMENT jobs: (view, segment), and each job's share in them, segments x jobs.

    A job is in a surface's segment by the share of its feet.
    """
    names: list[tuple[str, str]] = []
    weights: list[Floats] = []
    for view in views:
        values = jobs[view].cast(pl.String).to_list()
        for value in sorted({value for value in values if value is not None}):
            names.append((view, value))
            weights.append(np.array([float(one == value) for one in values]))
    if houses.surfaces != (ANY_SURFACE,):
        for at, surface in enumerate(houses.surfaces):
            names.append(("surface", surface))
            weights.append(houses.surface_feet[:, at] / houses.feet)
    enough = [at for at, weight in enumerate(weights) if (weight > 0).sum() >= MIN_JOBS_A_SEGMENT]
    chosen = np.array([weights[at] for at in enough]) if enough else np.zeros((0, jobs.height))
    return [names[at] for at in enough], chosen
