"""Kinds of roofline: those with too few jobs are fitted together; those that the fit cannot tell apart are shown so."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from itertools import combinations

import numpy as np
from numpy.typing import NDArray

from pipeline.decisions.policy import JOBS_A_COEFFICIENT, LARGEST_CONDITION, MIN_JOBS_A_KIND
from pipeline.statistics.bootstrap import percentile_limits
from pipeline.statistics.least_squares import condition_number

Floats = NDArray[np.float64]

STORY_BANDS = ("1 story", "2 stories", "3 stories or more")
"""Bands of stories: an extension ladder, a longer one, and work that needs more than a ladder."""


def band_of(stories: int) -> int:
    """The band of a house: 0 for one story, 1 for two, 2 for more."""
    return min(max(stories, 1), len(STORY_BANDS)) - 1


@dataclass(frozen=True)
class Group:
    """Kinds of roofline that stand together: each a surface and a band of stories. `members` are places in a list."""

    kinds: frozenset[tuple[str, int]]
    members: tuple[int, ...]

    @property
    def surfaces(self) -> frozenset[str]:
        """Its surfaces."""
        return frozenset(surface for surface, _ in self.kinds)

    @property
    def bands(self) -> frozenset[int]:
        """Its bands of stories."""
        return frozenset(band for _, band in self.kinds)

    def joined(self, other: Group) -> Group:
        """Both as one."""
        return Group(self.kinds | other.kinds, tuple(sorted(self.members + other.members)))


def comparable(one: Group, other: Group) -> bool:
    """Whether two groups may stand together: equal bands of stories, or equal surfaces and neighbouring bands."""
    if one.bands == other.bands:
        return True
    reach = sorted(one.bands | other.bands)
    return one.surfaces == other.surfaces and len(reach) == reach[-1] - reach[0] + 1


def _join(groups: Sequence[Group], a: int, b: int) -> list[Group]:
    return [group.joined(groups[b]) if at == a else group for at, group in enumerate(groups) if at != b]


def _smallest(groups: Sequence[Group], jobs: Sequence[int]) -> tuple[int, int]:
    """The group with fewest jobs and the one that it goes to: the same surface first, then the one with most jobs."""
    place = min(range(len(groups)), key=lambda at: (jobs[at], at))

    def nearness(at: int) -> tuple[bool, bool, int, int]:
        fits = comparable(groups[place], groups[at])
        return (not fits, groups[at].surfaces != groups[place].surfaces, -jobs[at], at)

    other = min((at for at in range(len(groups)) if at != place), key=nearness)
    return (min(place, other), max(place, other))


def groups_to_fit(
    kinds: Sequence[tuple[str, int]], feet: Floats, others: int, columns: Callable[[Floats], Floats]
) -> list[Group]:
    """Kinds of roofline with a rate of their own in the fit; the others stand with the nearest. What a job cost is not
    looked at, so that limits hold as if the groups had been given.

    `feet` is jobs x kinds; the fit has `others` coefficients besides, and `columns` gives its weighted columns from the
    groups' feet. Each group has MIN_JOBS_A_KIND jobs, each coefficient JOBS_A_COEFFICIENT, and the columns do not all
    but depend on each other.
    """
    groups = [Group(frozenset({kind}), (at,)) for at, kind in enumerate(kinds)]
    while len(groups) > 1:
        summed = group_sums(groups, feet)
        jobs = (summed > 0).sum(axis=0).tolist()
        enough = len(feet) >= JOBS_A_COEFFICIENT * (len(groups) + others)
        if min(jobs) >= MIN_JOBS_A_KIND and enough and condition_number(columns(summed)) <= LARGEST_CONDITION:
            break
        groups = _join(groups, *_smallest(groups, jobs))
    return groups


def group_sums(groups: Sequence[Group], feet: Floats) -> Floats:
    """Feet of each group: rows x groups, from rows x kinds."""
    return np.column_stack([feet[:, list(group.members)].sum(axis=1) for group in groups])


def groups_told_apart(groups: Sequence[Group], draws: Floats, feet: Floats) -> list[Group]:
    """Groups of the fitted groups: as long as there is one, the pair whose rates differ least, in widths of their
    difference's bootstrap interval, of those whose interval holds 0, are shown together.

    `draws` has the fitted rates, samples x groups, and `feet` their feet; the rate of some together is their mean by
    feet. The result's members are places among the fitted groups.
    """
    found = [Group(group.kinds, (at,)) for at, group in enumerate(groups)]
    while True:
        rates = mean_rates(found, draws, feet)
        best: tuple[float, int, int] | None = None
        for a, b in combinations(range(len(found)), 2):
            if not comparable(found[a], found[b]):
                continue
            difference = rates[:, a] - rates[:, b]
            low, high = percentile_limits(difference)
            if low <= 0 <= high:
                distance = abs(float(np.median(difference))) / max(high - low, np.finfo(float).tiny)
                best = min(best or (np.inf, a, b), (distance, a, b))
        if best is None:
            return found
        found = _join(found, best[1], best[2])


def mean_rates(shown: Sequence[Group], rates: Floats, feet: Floats) -> Floats:
    """Mean rate of each shown group by feet: the last axis is fitted groups, then shown groups."""
    to = np.zeros((len(feet), len(shown)))
    for place, group in enumerate(shown):
        members = list(group.members)
        to[members, place] = feet[members] / feet[members].sum()
    return rates @ to


def listed(words: Sequence[str]) -> str:
    """`a`, `a and b`, `a, b and c`."""
    return words[0] if len(words) == 1 else f"{', '.join(words[:-1])} and {words[-1]}"


def in_words(group: Group, everything: Sequence[Group]) -> str:
    """A group as it is spoken of: `gutter and trim, 1 story`; a side that takes in all there is is said so."""
    kinds = set().union(*(other.kinds for other in everything))
    surfaces, bands = sorted(group.surfaces), sorted(group.bands)
    if {kind for kind in kinds if kind[0] in group.surfaces and kind[1] in group.bands} != group.kinds:
        return "; ".join(f"{surface}, {STORY_BANDS[band]}" for surface, band in sorted(group.kinds))
    all_bands = {band for surface, band in kinds if surface in group.surfaces} == group.bands
    all_surfaces = {surface for surface, band in kinds if band in group.bands} == group.surfaces
    what = "any surface" if all_surfaces and len(surfaces) > 1 else listed(surfaces)
    return f"{what}, {'any height' if all_bands and len(bands) > 1 else _height(bands)}"


def _height(bands: Sequence[int]) -> str:
    """Neighbouring bands as one: `1 and 2 stories`, `2 stories or more`."""
    if len(bands) == 1:
        return STORY_BANDS[bands[0]]
    return f"{bands[0] + 1} stories or more" if bands[-1] == len(STORY_BANDS) - 1 else "1 and 2 stories"
