"""Which spools to buy: the cheapest whole number of each that no known rule forbids.

A rule says that spools of sizes which can hold so much of something must together hold at least so much. Every plan
obeys every rule, so what the cheapest purchase costs is a bound under which no plan can fall.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass


@dataclass(frozen=True)
class Stock:
    """Spools of one size at one price.

    `size` in the unit of the lengths, `price` in whole cents (or any whole unit). At least `least` are taken, or none;
    at most `most`, where it is given.
    """

    size: int
    price: int
    least: int = 0
    most: int | None = None


@dataclass(frozen=True)
class Rule:
    """sum(holds x spools) >= needs, in whole numbers."""

    holds: tuple[int, ...]
    needs: int


class NotEnoughStock(Exception):
    """The spools that can be had do not hold the pieces."""


def cost_of(spools: Sequence[int], stocks: Sequence[Stock]) -> int:
    """Price of a purchase, in the unit of the prices."""
    return sum(number * stock.price for number, stock in zip(spools, stocks, strict=True))


def is_free(stock: Stock) -> bool:
    """Whether a stock is what is left from before: it costs nothing, there is only so much, and it is used first."""
    return stock.price == 0 and stock.most is not None


def _most(rules: Sequence[Rule], place: int, stock: Stock) -> int:
    """Spools of a stock beyond which more are never needed."""
    needed = [math.ceil(rule.needs / rule.holds[place]) for rule in rules if rule.holds[place] > 0 < rule.needs]
    enough = max([*needed, stock.least])
    if is_free(stock):
        return stock.most or 0
    return enough if stock.most is None else min(enough, stock.most)


def cheapest_purchase(rules: Sequence[Rule], stocks: Sequence[Stock]) -> tuple[int, ...]:
    """The numbers of spools that cost least and obey every rule (a small whole-number programme, solved by HiGHS).

    Raises NotEnoughStock where the limits leave none.
    """
    import numpy as np
    from scipy.optimize import Bounds, LinearConstraint, milp

    kinds = len(stocks)
    most = [_most(rules, place, stock) for place, stock in enumerate(stocks)]
    # A second column a stock says whether any is taken, where a least number is asked for.
    switched = [place for place, stock in enumerate(stocks) if stock.least > 1]
    width = kinds + len(switched)
    rows, low = [], []
    for rule in rules:
        # In numbers about 1: a tolerance of the solver then stays far under one unit of the rule.
        rows.append([*(hold / max(rule.needs, 1) for hold in rule.holds), *[0.0] * len(switched)])
        low.append(min(rule.needs, 1) - _TOLERANCE)
    for number, place in enumerate(switched):
        for sign, times in ((1.0, -float(stocks[place].least)), (-1.0, float(most[place]))):
            row = [0.0] * width
            row[place], row[kinds + number] = sign, times
            rows.append(row)
            low.append(0.0)
    done = milp(
        c=[*(float(stock.price) for stock in stocks), *[0.0] * len(switched)],
        constraints=LinearConstraint(np.array(rows), np.array(low), np.inf),
        bounds=Bounds(
            np.array(
                [
                    *(number if is_free(stock) else 0 for number, stock in zip(most, stocks, strict=True)),
                    *[0] * len(switched),
                ],
                dtype=float,
            ),
            np.array([*most, *[1] * len(switched)], dtype=float),
        ),
        integrality=np.ones(width, dtype=np.int64),
        options={"mip_rel_gap": 0.0},
    )
    if done.x is None:
        raise NotEnoughStock
    return tuple(round(number) for number in done.x[:kinds])


_TOLERANCE = 1e-9
"""Share of a rule's need by which rounding may fall short of it; it only ever lowers a bound."""


def purchase_for(used: Sequence[int], stocks: Sequence[Stock]) -> tuple[int, ...]:
    """The cheapest spools into which fillings of these lengths go, one spool a filling.

    Enough that for each size as many spools are that large as there are fillings that need it: then each filling
    has a spool of its own. Raises NotEnoughStock.
    """
    sizes = sorted({stock.size for stock in stocks})
    rules = []
    for below, size in zip([0, *sizes], sizes, strict=False):
        needed = sum(length > below for length in used)
        if needed:
            rules.append(Rule(tuple(int(stock.size >= size) for stock in stocks), needed))
    if used and max(used) > sizes[-1]:
        raise NotEnoughStock
    return cheapest_purchase(rules, stocks) if rules else tuple(0 for _ in stocks)
