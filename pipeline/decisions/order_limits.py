"""Orders that share a limit: a budget, room for packs, least orders of suppliers. Solved exactly as whole choices."""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np

from pipeline.decisions.order_plan import Plan

SECONDS = 20.0
"""Seconds that the solver may take; a gap that is left is said."""


@dataclass(frozen=True)
class Limits:
    """What the orders of all items share: usd to spend now, packs to store, and the least order by supplier, usd."""

    budget: float | None = None
    packs: float | None = None
    least: dict[str, float] = field(default_factory=dict)


@dataclass(frozen=True)
class Choice:
    """A choice for each plan: places in its arrays, the cost of all of them, and how far it may be from the best."""

    places: list[int]
    cost: float
    gap: float = 0.0
    keeps_floor: bool = True


def _is_within(plans: list[Plan], suppliers: list[str], places: list[int], limits: Limits) -> bool:
    spent = [float(plan.usd[place]) for plan, place in zip(plans, places, strict=True)]
    packs = sum(int(plan.packs[place]) for plan, place in zip(plans, places, strict=True))
    if limits.budget is not None and sum(spent) > limits.budget + 1e-6:
        return False
    if limits.packs is not None and packs > limits.packs + 1e-9:
        return False
    for supplier, least in limits.least.items():
        own = sum(usd for usd, name in zip(spent, suppliers, strict=True) if name == supplier)
        if 0 < own < least - 1e-6:
            return False
    return True


def choose(plans: list[Plan], suppliers: list[str], limits: Limits) -> Choice:
    """The orders with the least cost in all within the limits, each keeping its floor where that can be.

    `suppliers` names each plan's. Without a limit that binds, each item's own best. Else a multiple-choice knapsack, in
    whole numbers by HiGHS. Where the floors cannot all be kept within the limits, they give way.
    """
    places = [plan.best() for plan in plans]
    cost = sum(float(plan.cost[place]) for plan, place in zip(plans, places, strict=True))
    if _is_within(plans, suppliers, places, limits):
        return Choice(places, cost)
    for keeps_floor in (True, False):
        found = _solved(plans, suppliers, limits, keeps_floor)
        if found is not None:
            return found
    return Choice([0] * len(plans), sum(float(plan.cost[0]) for plan in plans), keeps_floor=False)


def _solved(plans: list[Plan], suppliers: list[str], limits: Limits, keeps_floor: bool) -> Choice | None:
    from scipy.optimize import Bounds, LinearConstraint, milp
    from scipy.sparse import csr_array

    options = [
        [n for n in range(len(plan.cost)) if not keeps_floor or plan.is_enough[n]] or [len(plan.cost) - 1]
        for plan in plans
    ]
    item = np.array([n for n, own in enumerate(options) for _ in own])
    place = np.array([k for own in options for k in own])
    usd, packs, cost = (
        np.array([float(getattr(plans[n], name)[k]) for n, k in zip(item, place, strict=True)])
        for name in ("usd", "packs", "cost")
    )
    bound = sorted(limits.least)
    width = len(item) + len(bound)
    rows, low, high = [], [], []

    def constrain(values: np.ndarray, least: float, most: float, tail: dict[int, float] | None = None) -> None:
        row = np.zeros(width)
        row[: len(item)] = values
        for n, value in (tail or {}).items():
            row[len(item) + n] = value
        rows.append(row)
        low.append(least)
        high.append(most)

    for n in range(len(plans)):
        constrain((item == n).astype(float), 1, 1)
    if limits.budget is not None:
        constrain(usd, -np.inf, limits.budget)
    if limits.packs is not None:
        constrain(packs, -np.inf, limits.packs)
    for n, supplier in enumerate(bound):
        own = np.where([suppliers[k] == supplier for k in item], usd, 0.0)
        constrain(own, 0, np.inf, {n: -limits.least[supplier]})
        constrain(own, -np.inf, 0, {n: -float(own.sum())})
    solved = milp(
        np.concatenate([cost, np.zeros(len(bound))]),
        constraints=LinearConstraint(csr_array(np.array(rows)), low, high),
        integrality=np.ones(width, dtype=np.int64), bounds=Bounds(0, 1),
        options={"mip_rel_gap": 0.0, "time_limit": SECONDS},
    )  # fmt: skip
    if solved.x is None:
        return None
    taken = np.flatnonzero(solved.x[: len(item)] > 0.5)
    places = [int(place[k]) for k in taken]
    total = sum(float(plan.cost[k]) for plan, k in zip(plans, places, strict=True))
    return Choice(places, total, max(0.0, total - float(solved.mip_dual_bound)), keeps_floor)
