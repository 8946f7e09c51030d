"""Whether counts come in clusters, and by how much their limits must be widened for it."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Whole = NDArray[np.int64]

MOST_DRAWS = 999
"""Draws of the reference distribution: a chance of .05 is known to .007."""
LEAST_DRAWS = 99
MOST_PICKS = 4_000_000
"""Events drawn in all; with more of them fewer draws are taken, whose distribution is then narrow anyway."""
_SAME = 1e-9
"""Share by which two sums of the same terms may differ in floating point."""
MIN_OWN_COUNT = 5
"""Events of a group from which its own clustering is looked at; fewer can say nothing about it."""


@dataclass(frozen=True)
class Clustering:
    """How counts of cells spread within their groups, against Poisson counts of the same totals.

    `pearson` is Pearson's chi-square over the cells on `freedom` degrees; `factor` how many times the squares of the
    deviations exceed those of Poisson counts over all groups, not cut at 1; `widening` the factor of each group by
    which its limits are widened, 1 or more.
    """

    pearson: float
    freedom: int
    factor: float
    widening: Floats


@dataclass(frozen=True)
class _Cells:
    """Cells of groups that can say something: a total over 0, and two cells or more."""

    counts: Floats
    mean: Floats
    share: Floats
    groups: Whole
    totals: Floats


def _cells(counts: Floats, weights: Floats, groups: Whole, size: int) -> _Cells:
    known = weights > 0
    counts, weights, groups = counts[known], weights[known], groups[known]
    totals = np.bincount(groups, counts, size).astype(np.float64)
    whole = np.bincount(groups, weights, size)
    used = (totals > 0)[groups] & (np.bincount(groups, minlength=size) > 1)[groups]
    counts, weights, groups = counts[used], weights[used], groups[used]
    share = weights / whole[groups]
    return _Cells(counts, totals[groups] * share, share, groups, totals)


def measure_clustering(counts: Floats, weights: Floats, groups: Whole) -> Clustering:
    """Measure how counts of cells (jobs, say) cluster within groups (kinds, crews, surfaces, weeks).

    `counts`, `weights` (what a cell's count is in proportion to: its exposure, or what is expected of it) and `groups`
    (0, 1, ...) have one value a cell. A group's factor is the sum of (count - expected)^2 over that of Poisson counts
    of the same total, which weighs a cell by what it adds to the group's variance (as the score test of Dean and
    Lawless 1989, JASA 84, does); its limits are widened by the largest of 1, the factor over all groups and, from
    MIN_OWN_COUNT events on, its own.
    """
    size = int(groups.max()) + 1 if len(groups) else 0
    cells = _cells(counts, weights, groups, size)
    if not len(cells.counts):
        return Clustering(0.0, 0, 1.0, np.ones(size))
    above = np.bincount(cells.groups, (cells.counts - cells.mean) ** 2, size)
    usual = np.bincount(cells.groups, cells.mean * (1 - cells.share), size)
    factor = float(above.sum() / usual.sum())
    own = np.divide(above, usual, out=np.ones(size), where=(usual > 0) & (cells.totals >= MIN_OWN_COUNT))
    pearson = float((((cells.counts - cells.mean) ** 2) / cells.mean).sum())
    freedom = len(cells.counts) - len(np.unique(cells.groups))
    return Clustering(pearson, freedom, factor, np.maximum(1.0, np.maximum(factor, own)))


def chance_of_clustering(counts: Floats, weights: Floats, groups: Whole, *, seed: int) -> tuple[float, int]:
    """The chance of a chi-square as large were the counts Poisson, and the draws from which it is known.

    Given a group's total its cells' Poisson counts are multinomial by their weights, whatever its rate. The reference
    is drawn from that, for the table of chi-square does not hold where most cells expect less than one event. The
    season itself is one of the draws (Barnard 1963). 1 and no draws where nothing happened.
    """
    size = int(groups.max()) + 1 if len(groups) else 0
    cells = _cells(counts, weights, groups, size)
    if not len(cells.counts):
        return 1.0, 0
    rng = np.random.default_rng(seed)
    order = np.argsort(cells.groups, kind="stable")
    mean, ends = cells.mean[order], np.cumsum(cells.share[order])
    present = np.unique(cells.groups)
    # Each group's shares sum to 1, so that the cells of the n-th group present end between n and n + 1.
    starts = np.repeat(np.arange(len(present), dtype=float), cells.totals[present].astype(np.int64))
    seen = float(((cells.counts[order] - mean) ** 2 / mean).sum())
    draws = int(np.clip(MOST_PICKS // max(len(starts), 1), LEAST_DRAWS, MOST_DRAWS))
    as_much = 1
    for _ in range(draws):
        picks = np.searchsorted(ends, starts + rng.random(len(starts)), side="right")
        drawn = np.bincount(np.minimum(picks, len(ends) - 1), minlength=len(ends))
        as_much += float(((drawn - mean) ** 2 / mean).sum()) >= seen * (1 - _SAME)
    return as_much / (draws + 1), draws
