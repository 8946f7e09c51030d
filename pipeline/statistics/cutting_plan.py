"""A plan of cutting, and the ways in which one is made of whole spools."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import numpy as np

from pipeline.statistics.cutting_columns import Columns, Floats, Ints, Problem, whole_fillings, whole_times
from pipeline.statistics.cutting_fill import Cut, longest_fill, pack
from pipeline.statistics.cutting_purchase import NotEnoughStock, Stock, cost_of, purchase_for

Opened = list[tuple[int, Ints]]
"""Single spools: the stock of each and its pieces by length."""


@dataclass(frozen=True)
class CuttingPlan:
    """Spools to buy and how to cut them. `pieces` of a cut stand in the order of `lengths`, longest first.

    `bought` and `stocks` have one entry a stock; `cost` and `bound` are in the unit of the prices: no plan costs less
    than the bound.
    """

    lengths: tuple[int, ...]
    stocks: tuple[Stock, ...]
    cuts: tuple[Cut, ...]
    bought: tuple[int, ...]
    cost: int
    bound: int

    @property
    def is_proven(self) -> bool:
        """Whether no plan can cost less."""
        return self.cost <= self.bound

    @property
    def gap(self) -> float:
        """By which share of its cost the plan may at most be too dear; 0 where it is proven."""
        return 0.0 if self.is_proven else (self.cost - self.bound) / self.cost

    @property
    def bought_length(self) -> int:
        """Length of all spools of the plan."""
        return sum(number * stock.size for number, stock in zip(self.bought, self.stocks, strict=True))

    def used(self, cut: Cut) -> int:
        """Length of the pieces of one spool of a cut."""
        return sum(length * number for length, number in zip(self.lengths, cut.pieces, strict=True))

    @property
    def remnants(self) -> dict[int, int]:
        """Lengths left over on single spools, and on how many; spools that no piece is cut from are whole ones."""
        left: dict[int, int] = {}
        opened = [0] * len(self.stocks)
        for cut in self.cuts:
            opened[cut.stock] += cut.times
            over = self.stocks[cut.stock].size - self.used(cut)
            left[over] = left.get(over, 0) + cut.times
        for place, stock in enumerate(self.stocks):
            left[stock.size] = left.get(stock.size, 0) + self.bought[place] - opened[place]
        return {length: number for length, number in sorted(left.items()) if length and number}


def plan_of(problem: Problem, cuts: Sequence[Cut], spools: Sequence[int]) -> CuttingPlan:
    """The plan of cuts on a purchase; its bound is still 0."""
    opened = [sum(cut.times for cut in cuts if cut.stock == place) for place in range(len(problem.stocks))]
    # Spools that cost nothing and are not cut need not be taken.
    taken = tuple(
        number if stock.price else used for number, used, stock in zip(spools, opened, problem.stocks, strict=True)
    )
    return CuttingPlan(problem.lengths, problem.stocks, tuple(cuts), taken, cost_of(taken, problem.stocks), 0)


def cheapest_of(plans: Iterable[CuttingPlan | None]) -> CuttingPlan | None:
    """The plan that costs least, and of equal ones that with the least length bought; None where there is none."""
    known = [plan for plan in plans if plan is not None]
    return min(known, key=lambda plan: (plan.cost, plan.bought_length)) if known else None


def filled(problem: Problem, columns: Columns, spools: Sequence[int], shares: Floats) -> list[Cut] | None:
    """The pieces laid into a purchase, or None where no way is found that has room for all.

    `shares` are the spools of each filling by a relaxation, of which the whole ones are tried.
    """
    sizes = [stock.size for stock in problem.stocks]
    cuts = pack(problem.lengths, problem.counts, sizes, spools, problem.free)
    if cuts is not None:
        return cuts
    ways = [_rounded(problem, columns, shares, spools)]
    whole = whole_fillings(problem, columns, spools)
    if whole is not None:
        ways.append(_trimmed(problem, columns, whole))
    for opened, left in ways:
        begun = [sum(own == place for own, _ in opened) for place in range(len(sizes))]
        unopened = [number - used for number, used in zip(spools, begun, strict=True)]
        rest = pack(problem.lengths, left.tolist(), sizes, unopened, problem.free)
        if rest is not None:
            return merged(opened, rest)
    return None


def _trimmed(problem: Problem, columns: Columns, times: Ints) -> tuple[Opened, Ints]:
    """Single spools of fillings without the pieces that are too many, and the pieces that none holds."""
    left = np.array(problem.counts, dtype=np.int64)
    opened: Opened = []
    for place, pieces, number in zip(columns.stocks, columns.pieces, times, strict=True):
        for _ in range(int(number)):
            taken = np.minimum(pieces, left)
            left = left - taken
            opened.append((place, taken))
    return opened, left


def _rounded(
    problem: Problem, columns: Columns, shares: Floats, spools: Sequence[int] | None = None
) -> tuple[Opened, Ints]:
    """Whole spools of a relaxation's fillings, the most used first, as long as all their pieces are wanted."""
    left = np.array(problem.counts, dtype=np.int64)
    room = [sum(problem.counts)] * len(problem.stocks) if spools is None else list(spools)
    opened: Opened = []
    for rounding in (np.floor(shares + 1e-9), np.ceil(shares - 1e-9) - np.floor(shares + 1e-9)):
        for at in sorted(np.flatnonzero(rounding > 0), key=lambda at: (-shares[at] % 1, at)):
            place, pieces = columns.stocks[at], columns.pieces[at]
            times = min(int(rounding[at]), whole_times(pieces, left), room[place])
            opened += [(place, pieces)] * times
            room[place] -= times
            left = left - times * pieces
    return opened, left


def merged(opened: Iterable[tuple[int, Ints]], rest: Iterable[Cut] = ()) -> list[Cut]:
    """Spools that are cut alike as one, those without a piece left out."""
    alike: dict[tuple[int, tuple[int, ...]], int] = {}
    singles = [(place, tuple(pieces.tolist()), 1) for place, pieces in opened if pieces.any()]
    for place, pieces, times in [*singles, *((cut.stock, cut.pieces, cut.times) for cut in rest)]:
        alike[place, pieces] = alike.get((place, pieces), 0) + times
    return [Cut(place, pieces, times) for (place, pieces), times in alike.items()]


def rounded_plans(problem: Problem, columns: Columns, shares: Floats) -> list[CuttingPlan | None]:
    """A plan that begins with the relaxation's fillings, and one from each size alone, on the cheapest spools."""
    opened, left = _rounded(problem, columns, shares)
    plans = [_bought(problem, opened, left, problem.largest)]
    everything = np.array(problem.counts, dtype=np.int64)
    for size in sorted({stock.size for stock in problem.stocks}):
        plans.append(_bought(problem, [], everything, size))
    return plans


def _bought(problem: Problem, opened: Opened, left: Ints, size: int) -> CuttingPlan | None:
    """A plan of fillings, the pieces left over filled into spools of a size, all on the cheapest spools that do."""
    fillings = [pieces for _, pieces in opened]
    while left.any():
        taken = longest_fill(problem.lengths, left.tolist(), problem.largest)
        pieces = taken.counts(size)
        if not pieces.any():
            pieces = taken.counts(problem.largest)
        times = whole_times(pieces, left)
        fillings += [pieces] * times
        left = left - times * pieces
    lengths = np.array(problem.lengths)
    fillings.sort(key=lambda pieces: int(pieces @ lengths))
    used = [int(pieces @ lengths) for pieces in fillings]
    try:
        spools = purchase_for(used, problem.stocks)
    except NotEnoughStock:
        return None
    rooms = sorted((stock.size, place) for place, stock in enumerate(problem.stocks) for _ in range(spools[place]))
    placed: Opened = []
    at = 0
    for pieces, length in zip(fillings, used, strict=True):
        while rooms[at][0] < length:
            at += 1
        placed.append((rooms[at][1], pieces))
        at += 1
    return plan_of(problem, merged(placed), spools)
