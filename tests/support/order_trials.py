"""An advised order against every season that may follow, beside the best order and two rules of thumb."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import polars as pl
from numpy.typing import NDArray
from support.made_orders import ITEMS, History, make_history
from support.season_frames import SEASON, settings

from pipeline.decisions.demand import Demand, next_season
from pipeline.decisions.order_plan import Plan
from pipeline.decisions.reorder import Order, place_order
from pipeline.statistics.newsvendor import needs_of

Floats = NDArray[np.float64]
CONTRIBUTION = 3.0
"""usd a foot."""
SHIFTS = (-0.3, -0.2, -0.1, -0.05, 0.0, 0.05, 0.1, 0.2, 0.3)
"""What all orders of an item are moved by, to see whether another rule on the same records would do better."""


@dataclass(frozen=True)
class Trial:
    """Of one history and item, over the seasons that may follow: the promised and true chance of running out, whether
    the first of them ran out, the share of them between the 10th and 90th percentile of the forecast, and mean costs,
    usd: of the advised order, of the best for those very seasons, of both rules of thumb, of the advised order moved
    by each of SHIFTS."""

    item: str
    promised: float
    happens: float
    ran_out: bool
    inside_80: float
    advised: float
    best: float
    plus_10: float
    as_last: float
    shifted: tuple[float, ...]


def costs(plan: Plan, place: int, later: Floats, short: Floats) -> Floats:
    """The cost of an order and its later units in each season, as the plan counts it."""
    have = plan.quantities[place] + later
    price = plan.top_up.pack_price / plan.top_up.pack_size if plan.top_up else 0.0
    left = np.minimum(have, np.maximum(0, have - short))
    return plan.usd[place] + later * price + plan.outcome.rush * np.maximum(0, short - have) - plan.outcome.kept * left


def advise(made: History, floor: str, seed: int) -> tuple[Demand, Order]:
    """The order advised on a history."""
    known = settings(service_floor=floor)
    demand = next_season(made.records, known, season=SEASON, seed=seed)
    return demand, place_order(
        demand, made.records, made.offered, made.stock, known, contribution_usd_per_ft=CONTRIBUTION, season=SEASON
    )


def trials(seed: int, futures: int, *, early: bool = False, floor: str = "0.9") -> list[Trial]:
    """The trials of a made history, one an item."""
    made = make_history(seed, futures, early=early)
    demand, order = advise(made, floor, seed)
    assert order.choice is not None
    net = made.records.job_items.filter(pl.col("season") == SEASON).group_by("item_no").agg(pl.col("net").sum())
    last = {item: float(used) for item, used in net.iter_rows()}
    at = [made.names.index(name) for name in demand.model.properties]
    forecasts = np.array([demand.model.of(int(n), c) for n, c in zip(made.new, made.comes[:, at], strict=True)])
    out = []
    for want, plan, place in zip(order.wanted, order.plans, order.choice.places, strict=True):
        item = want.item["item_no"]
        used = made.used[:, ITEMS.index(item)]
        short = np.maximum(0, used - made.back[:, ITEMS.index(item)]) - want.on_hand
        foreseen = forecasts[:, want.columns].sum(axis=1) - want.on_hand
        nothing = np.zeros(len(short))

        def mean(n: int, later: Floats, plan: Plan = plan, short: Floats = short) -> float:
            return float(costs(plan, n, later, short).mean())

        def later(n: int, plan: Plan = plan, foreseen: Floats = foreseen) -> Floats:
            return np.array([plan.topped_up(n, one) for one in foreseen])

        moved = [plan.at_least(plan.quantities[place] * (1 + shift)) for shift in SHIFTS]
        rules = [plan.at_least(times * last.get(item, 0.0) - want.on_hand) for times in (1.1, 1.0)]
        runs_out = short > plan.quantities[place] + later(place) + 1e-9
        low, high = np.quantile(want.sum_of(demand.taken), [0.1, 0.9])
        best = plan.usd + plan.outcome.cost(plan.quantities, needs_of(short))
        out.append(
            Trial(item, float(plan.chance_short[place]), float(runs_out.mean()), bool(runs_out[0]),
                  float(((low <= used) & (used <= high)).mean()), mean(place, later(place)), float(best.min()),
                  mean(rules[0], nothing), mean(rules[1], nothing), tuple(mean(n, later(n)) for n in moved))
        )  # fmt: skip
    return out


def summary(found: list[list[Trial]]) -> dict[str, float]:
    """What histories of trials come to; an error is the Monte Carlo error of a mean over histories."""

    def by_history(name: str) -> Floats:
        return np.array([np.mean([getattr(one, name) for one in trials_]) for trials_ in found])

    def total(name: str) -> float:
        return float(by_history(name).sum())

    def error(values: Floats) -> float:
        return float(values.std(ddof=1) / len(values) ** 0.5)

    promised = by_history("promised")
    shifted = np.array([np.mean([one.shifted for one in trials_], axis=0) for trials_ in found]).sum(axis=0)
    return {
        "promised": float(promised.mean()), "ran_out": float(by_history("ran_out").mean()),
        "ran_out_less_promised_error": error(by_history("ran_out") - promised),
        "happens": float(by_history("happens").mean()),
        "happens_less_promised_error": error(by_history("happens") - promised),
        "inside_80": float(by_history("inside_80").mean()), "inside_80_error": error(by_history("inside_80")),
        "over_best_knowing_all": total("advised") / total("best") - 1,
        "over_best_shift": total("advised") / float(shifted.min()) - 1,
        "best_shift": SHIFTS[int(np.argmin(shifted))],
        "last_year_plus_10_over_advised": total("plus_10") / total("advised") - 1,
        "last_year_over_advised": total("as_last") / total("advised") - 1,
    }  # fmt: skip
