"""Orders of light line as they are cut: what runs that do not go on the spools add to the cost of an order."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from pipeline.decisions.order_limits import Choice
from pipeline.decisions.order_plan import Plan
from pipeline.decisions.spools_line import on_spool, to_feet
from pipeline.decisions.spools_lists import CutList

Floats = NDArray[np.float64]


@dataclass(frozen=True)
class Cutting:
    """Drawn seasons of a light line beyond its stock, its spacing in inches, and what is foreseen to be short in each
    when the top-up is bought, ft."""

    lists: tuple[CutList, ...]
    spacing_in: float
    foreseen: Floats

    def spools(self, plan: Plan, place: int) -> list[int]:
        """The spools of an order, in sockets."""
        bought = plan.ladder.bought(int(plan.place[place]))
        return [on_spool(offer.pack_size, self.spacing_in) for offer, packs in bought for _ in range(packs)]

    def with_top_up(self, plan: Plan, place: int) -> list[list[int]]:
        """The spools of each drawn season, those that are bought later with them."""
        now = self.spools(plan, place)
        if plan.top_up is None:
            return [now] * len(self.lists)
        size = on_spool(plan.top_up.pack_size, self.spacing_in)
        later = [round(plan.topped_up(place, float(one)) / plan.top_up.pack_size) for one in self.foreseen]
        return [now + [size] * number for number in later]

    def covered(self, plan: Plan, place: int) -> float:
        """Share of the drawn seasons whose runs can be cut from stock, the order and its top-up."""
        seasons = zip(self.lists, self.with_top_up(plan, place), strict=True)
        return sum(one.missing(spools) == 0 for one, spools in seasons) / len(self.lists)

    def extra_usd(self, plan: Plan, place: int) -> float:
        """What runs that do not go on the spools cost on average beyond what a shortage of feet does: they are bought
        in a hurry, and the ends that were too short for them are worth nothing more."""
        seasons = zip(self.lists, self.with_top_up(plan, place), strict=True)
        sockets = [one.missing(spools) - one.short(spools) for one, spools in seasons]
        return plan.outcome.rush * to_feet(float(np.mean(sockets)), self.spacing_in)


def choose_cut(
    plans: Sequence[Plan], cuttings: Mapping[int, Cutting], choose: Callable[[list[Plan]], Choice]
) -> tuple[list[Plan], Choice]:
    """The plans with what cutting adds to their costs, as far as it decides, and the choice among them.

    `cuttings` has the light lines by their place among the plans. A cost without cutting is never above the one with
    it, so an order that is the cheapest with cutting counted is so among all: only those that are chosen on the way
    need be cut.
    """
    priced, known = list(plans), set()
    while True:
        choice = choose(priced)
        fresh = [(n, place) for n, place in enumerate(choice.places) if n in cuttings and (n, place) not in known]
        if not fresh:
            return priced, choice
        for n, place in fresh:
            known.add((n, place))
            cost = priced[n].cost.copy()
            cost[place] += cuttings[n].extra_usd(priced[n], place)
            priced[n] = replace(priced[n], cost=cost)
