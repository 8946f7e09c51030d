"""Every order that an item may have, and what each costs in the end: exact on the draws, with a top-up where one can be
had in the season."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from pipeline.decisions.order_offers import Ladder
from pipeline.decisions.policy import TOP_UP_GROUPS
from pipeline.statistics.newsvendor import Floats, Needs, Outcome, needs_of

Counts = NDArray[np.int64]


@dataclass(frozen=True)
class TopUp:
    """Packs that can still be had once the season's jobs are known: units in one and its price then, usd."""

    pack_size: float
    pack_price: float


@dataclass(frozen=True)
class Plan:
    """The orders that an item may have.

    Of each quantity that can be bought now: `usd` its price, `packs` how many, `cost` what the item costs on average in
    the end (what is bought now and later, less the worth of what is left), `chance_short` the chance of running out
    after the top-up, `is_enough` whether that keeps the floor, `place` its place on the ladder. `top_ups` has the packs
    bought later, a row a quantity and a column a group of equal chance, by rising forecast; none without a top-up.
    `edges` part the groups by the forecast of what is short.
    """

    ladder: Ladder
    quantities: Floats
    usd: Floats
    packs: Counts
    cost: Floats
    chance_short: Floats
    is_enough: NDArray[np.bool_]
    place: Counts
    top_ups: Counts
    edges: Floats
    top_up: TopUp | None
    outcome: Outcome

    def best(self) -> int:
        """The order with the least cost that keeps the floor; the first of equals."""
        cost = np.where(self.is_enough, self.cost, np.inf)
        return int(np.argmin(cost)) if self.is_enough.any() else len(cost) - 1

    def at_least(self, units: float) -> int:
        """The cheapest order of so many units or more; the largest where there is none."""
        enough = np.where(self.quantities >= units - 1e-9, self.usd, np.inf)
        return int(np.argmin(enough)) if np.isfinite(enough).any() else len(enough) - 1

    def topped_up(self, choice: int, forecast: float) -> float:
        """The units bought later when the forecast of what is short has become this."""
        if self.top_up is None:
            return 0.0
        group = int(np.searchsorted(self.edges, forecast, side="right"))
        return float(self.top_ups[choice, group]) * self.top_up.pack_size


def _later(cost: Floats, stride: int, price: float, floor_at: int) -> tuple[Floats, Counts]:
    """The least of cost at a position or at any whole number of packs above it, with those packs' price; and how many.

    `cost` has a value a position; positions under `floor_at` do not keep the floor and must be left where they can be.
    """
    padded = -(-len(cost) // stride) * stride
    open_cost = np.full(padded, np.inf)
    open_cost[: len(cost)] = cost
    open_cost[:floor_at] = np.inf
    rows = open_cost.reshape(-1, stride) + price * np.arange(padded // stride)[:, None]
    back = rows[::-1]
    least = np.minimum.accumulate(back, axis=0)
    at = np.maximum.accumulate(np.where(back == least, np.arange(len(back))[:, None], 0), axis=0)
    number = np.arange(len(rows))[:, None]
    target = len(rows) - 1 - at[::-1]
    return (least[::-1] - price * number).reshape(-1)[: len(cost)], (target - number).reshape(-1)[: len(cost)]


def plan_of(
    short: Floats,
    weights: Floats | None,
    ladder: Ladder,
    outcome: Outcome,
    floor: float,
    forecast: Floats | None = None,
    top_up: TopUp | None = None,
) -> Plan:
    """All orders of an item on draws of what is `short` of its stock, in units (under 0: stock to spare).

    Without a top-up an order's cost is its price and `outcome`'s cost, and the floor is the least chance of having
    enough. With one (two stages): draws are parted into TOP_UP_GROUPS of equal size by `forecast`, what is known of
    the shortfall when the top-up is bought; in each group the packs that cost least on its draws are added, never
    leaving less than the floor within the group.
    """
    can = np.flatnonzero(np.isfinite(ladder.usd))
    base = {
        "ladder": ladder, "quantities": ladder.quantities[can], "usd": ladder.usd[can],
        "packs": ladder.packs[:, can].sum(axis=0), "place": can, "top_up": top_up, "outcome": outcome,
    }  # fmt: skip
    if top_up is None or forecast is None:
        needs = needs_of(short, weights)
        cost = ladder.usd[can] + outcome.cost(base["quantities"], needs)
        chance = needs.chance_above(base["quantities"])
        enough = base["quantities"] >= _least(needs, floor) - 1e-9
        return Plan(cost=cost, chance_short=chance, is_enough=enough, edges=np.zeros(0),
                    top_ups=np.zeros((len(can), 0), dtype=np.int64), **base)  # fmt: skip
    step = ladder.quantities[1]
    stride = max(1, round(top_up.pack_size / step))
    beyond = int(np.ceil(max(0.0, float(short.max())) / step)) + 2 * stride + 1
    positions = np.arange(max(len(ladder.quantities), beyond)) * step
    order = np.argsort(forecast, kind="stable")
    groups = np.array_split(order, TOP_UP_GROUPS)
    cost, chance, later = ladder.usd[can].copy(), np.zeros(len(can)), np.zeros((len(can), len(groups)), dtype=np.int64)
    for column, group in enumerate(groups):
        needs = needs_of(short[group])
        floor_at = int(np.ceil(_least(needs, floor) / step - 1e-9))
        least, number = _later(outcome.cost(positions, needs), stride, top_up.pack_price, floor_at)
        share = len(group) / len(short)
        cost += share * least[can]
        later[:, column] = number[can]
        chance += share * needs.chance_above(positions[can] + number[can] * top_up.pack_size)
    edges = np.array([(forecast[a[-1]] + forecast[b[0]]) / 2 for a, b in pairwise(groups)])
    enough = np.ones(len(can), dtype=bool)
    return Plan(cost=cost, chance_short=chance, is_enough=enough, edges=edges, top_ups=later, **base)


def _least(needs: Needs, floor: float) -> float:
    """The least quantity with the floor's chance of enough; 0 where the floor is 0 or stock covers it."""
    return max(0.0, needs.quantile(floor)) if floor > 0 else 0.0
