"""Column generation for cutting (Gilmore and Gomory 1961): fillings of spools made one by one as prices ask for them.

The linear programme is solved by HiGHS; the fillings that would improve it are found exactly by dynamic programming.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from pipeline.statistics.cutting_fill import fill, longest_fill
from pipeline.statistics.cutting_purchase import Rule, Stock, is_free

if TYPE_CHECKING:
    from scipy.optimize import OptimizeResult

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

WHOLE = 10_000_000
"""Prices of pieces are kept as whole parts of the dearest: rules made of them are then exact, not rounded."""
LEAST_GAIN = 1e-7
"""Share of a spool's price by which a filling must be worth more than the spool to be taken up."""
MOST_FIRST = 40
"""Full spools of a size that are made to begin with."""
MOST_ROUNDS = 150
"""Rounds of making fillings; a stop before the end leaves a bound that is valid, only lower."""
MOST_NODES = 200
"""Nodes of the search over whole numbers: a count and no clock, so that every machine finds the same."""
MOST_CELLS = 5_000
"""Lengths times fillings up to which whole numbers of all fillings are searched; beyond it takes minutes."""


@dataclass(frozen=True)
class Problem:
    """Pieces by length, longest first, with how many of each are needed, and the stocks to cut them from."""

    lengths: tuple[int, ...]
    counts: tuple[int, ...]
    stocks: tuple[Stock, ...]

    @property
    def largest(self) -> int:
        """The largest size of a spool."""
        return max(stock.size for stock in self.stocks)

    @property
    def free(self) -> frozenset[int]:
        """The places of stocks that are left from before, which are used first."""
        return frozenset(place for place, stock in enumerate(self.stocks) if is_free(stock))


@dataclass
class Columns:
    """Fillings that were made: the stock of each and its pieces by length."""

    stocks: list[int] = field(default_factory=list)
    pieces: list[Ints] = field(default_factory=list)
    _known: set[tuple[int, bytes]] = field(default_factory=set)

    def add(self, stock: int, pieces: Ints) -> bool:
        """Take up a filling; False where it is known."""
        new = (stock, pieces.tobytes())
        if new in self._known:
            return False
        self._known.add(new)
        self.stocks.append(stock)
        self.pieces.append(pieces)
        return True

    def matrix(self) -> Floats:
        """Lengths by fillings."""
        return np.column_stack(self.pieces).astype(float)

    def of_stock(self, kinds: int) -> Floats:
        """Stocks by fillings: 1 where a filling is of a stock."""
        return (np.arange(kinds)[:, None] == np.array(self.stocks)[None, :]).astype(float)


def first_columns(problem: Problem) -> Columns:
    """Fillings to begin with: each length alone, and spools filled as full as can be, one after the other."""
    columns = Columns()
    counts = np.array(problem.counts, dtype=np.int64)
    for size in sorted({stock.size for stock in problem.stocks}):
        made = [np.where(np.arange(len(counts)) == kind, np.minimum(counts, size // length), 0)
                for kind, length in enumerate(problem.lengths)]  # fmt: skip
        left = counts
        for _ in range(MOST_FIRST):
            pieces = longest_fill(problem.lengths, left.tolist(), size).counts(size)
            if not pieces.any():
                break
            made.append(pieces)
            left = left - pieces * whole_times(pieces, left)
        for place, stock in enumerate(problem.stocks):
            for pieces in made:
                if stock.size == size and pieces.any():
                    columns.add(place, pieces)
    return columns


def whole_times(pieces: Ints, left: Ints) -> int:
    """How often a filling can be cut before one of its pieces is wanted no more."""
    used = pieces > 0
    return int((left[used] // pieces[used]).min())


def whole_prices(prices: Floats) -> tuple[list[int], float]:
    """Prices of pieces as whole numbers, rounded down, and what one of their units is worth."""
    highest = float(prices.max(initial=0.0))
    if highest <= 0:
        return [0] * len(prices), 1.0
    unit = highest / WHOLE
    return np.floor(np.maximum(prices, 0) / unit + 1e-6).astype(np.int64).tolist(), unit


def rule_of(problem: Problem, prices: Sequence[int]) -> Rule:
    """The rule that whole prices of pieces make: a spool holds what its best filling is worth; all pieces are needed.

    Exact for any prices, since the best filling is.
    """
    best = fill(problem.lengths, problem.counts, prices, problem.largest)
    return Rule(
        tuple(int(best.value[stock.size]) for stock in problem.stocks),
        sum(price * count for price, count in zip(prices, problem.counts, strict=True)),
    )


def _improved(problem: Problem, columns: Columns, prices: Floats, spools_worth: Floats) -> bool:
    """Take up the best filling of each stock that is worth more than its spool; False where there is none."""
    whole, unit = whole_prices(prices)
    best = fill(problem.lengths, problem.counts, whole, problem.largest)
    any_new = False
    for place, stock in enumerate(problem.stocks):
        gain = float(best.value[stock.size]) * unit - spools_worth[place]
        if gain > LEAST_GAIN * max(1.0, abs(spools_worth[place])):
            any_new |= columns.add(place, best.counts(stock.size))
    return any_new


def cheapest_share(problem: Problem, columns: Columns) -> tuple[Floats, Rule]:
    """Solve the relaxation, in which spools may be bought in parts: spools of each filling, and the rule it leaves.

    Takes new fillings into `columns` until none improves it.
    """
    limits = np.array([np.inf if stock.most is None else float(stock.most) for stock in problem.stocks])
    bounded = np.isfinite(limits)
    paid = np.array([float(stock.price) for stock in problem.stocks])
    for _ in range(MOST_ROUNDS):
        done = _solve(
            np.array([paid[place] for place in columns.stocks]),
            np.vstack([-columns.matrix(), columns.of_stock(len(paid))[bounded]]),
            np.concatenate([-np.array(problem.counts, dtype=float), limits[bounded]]),
        )
        if done.x is None:
            raise ArithmeticError(done.message)
        worth = paid.copy()
        worth[bounded] -= done.ineqlin.marginals[len(problem.counts) :]
        prices = -done.ineqlin.marginals[: len(problem.counts)]
        if not _improved(problem, columns, prices, worth):
            break
    spools = np.zeros(len(columns.stocks))
    spools[: len(done.x)] = done.x
    return spools, rule_of(problem, whole_prices(prices)[0])


def _solve(costs: Floats, rows: Floats, most: Floats) -> OptimizeResult:
    from scipy.optimize import linprog

    return linprog(costs, A_ub=rows, b_ub=most, bounds=(0, None), method="highs")


def forbidding_rule(problem: Problem, columns: Columns, spools: Sequence[int]) -> tuple[Rule | None, Floats]:
    """A rule that a purchase breaks, or None where the pieces go into parts of its spools; and those parts by filling.

    Minimises the length that finds no room; its prices, where some finds none, say why (Farkas).
    """
    lengths = np.array(problem.lengths, dtype=float)
    kinds = len(problem.stocks)
    shares = np.zeros(0)
    for _ in range(MOST_ROUNDS):
        made = len(columns.stocks)
        done = _solve(
            np.concatenate([np.zeros(made), lengths]),
            np.vstack(
                [
                    np.hstack([-columns.matrix(), -np.eye(len(lengths))]),
                    np.hstack([columns.of_stock(kinds), np.zeros((kinds, len(lengths)))]),
                ]
            ),
            np.concatenate([-np.array(problem.counts, dtype=float), np.array(spools, dtype=float)]),
        )
        shares = np.zeros(made) if done.x is None else np.asarray(done.x[:made])
        if done.x is None or done.fun <= LEAST_GAIN:
            break
        marginals = done.ineqlin.marginals
        prices, worth = -marginals[: len(lengths)], -marginals[len(lengths) :]
        rule = rule_of(problem, whole_prices(prices)[0])
        if sum(hold * number for hold, number in zip(rule.holds, spools, strict=True)) < rule.needs:
            return rule, shares
        if not _improved(problem, columns, prices, worth):
            break
    return None, np.append(shares, np.zeros(len(columns.stocks) - len(shares)))


def whole_fillings(problem: Problem, columns: Columns, spools: Sequence[int]) -> Ints | None:
    """How many spools of each filling lay the most length into a purchase (HiGHS, at most MOST_NODES nodes).

    None where there are too many fillings to search.
    """
    from scipy.optimize import Bounds, LinearConstraint, milp

    if len(problem.lengths) * len(columns.stocks) > MOST_CELLS:
        return None

    lengths = np.array(problem.lengths, dtype=float)
    counts = np.array(problem.counts, dtype=float)
    kinds, made = len(problem.stocks), len(columns.stocks)
    done = milp(
        c=np.concatenate([np.zeros(made), lengths]),
        constraints=[
            LinearConstraint(np.hstack([columns.matrix(), np.eye(len(lengths))]), counts, np.inf),
            LinearConstraint(
                np.hstack([columns.of_stock(kinds), np.zeros((kinds, len(lengths)))]), 0, np.array(spools, dtype=float)
            ),
        ],
        bounds=Bounds(0, np.concatenate([np.full(made, np.inf), counts])),
        integrality=np.ones(made + len(lengths), dtype=np.int64),
        options={"mip_rel_gap": 0.0, "node_limit": MOST_NODES},
    )
    return None if done.x is None else np.rint(done.x[:made]).astype(np.int64)
