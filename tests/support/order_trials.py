"""An advised order against every season that may follow, beside the best order and two rules of thumb."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from functools import lru_cache
from typing import Any

import numpy as np
import polars as pl
from numpy.typing import NDArray
from support.made_orders import ITEMS, History, make_history, new_counts_seen
from support.season_frames import SEASON, settings

from pipeline.decisions.demand import Demand, next_season
from pipeline.decisions.demand_new import counts_by_season, new_work
from pipeline.decisions.order_items import Wanted
from pipeline.decisions.order_plan import Plan, plan_of
from pipeline.decisions.reorder import Order, place_order
from pipeline.statistics.counts import times_picked

Floats = NDArray[np.float64]
CONTRIBUTION = 3.0
"""usd a foot."""
SHIFTS = (-0.3, -0.2, -0.1, -0.05, 0.0, 0.05, 0.1, 0.2, 0.3)
"""What all orders of an item are moved by, to see whether another rule on the same records would do better."""


KNOWN = ("number_of_new_jobs", "new_work", "returning_and_replacing", "how_firms_come_about")
"""What an order is told of the truth, the rest as it is forecast, to see what not knowing it costs: the distribution of
the firm's number of new jobs; of all that they take; of the rest; and no more of this firm than two seasons show, but
how the number of new jobs of all such firms comes about."""
TIMES = (1.0, 1.1, 1.2, 1.3, 1.4, 1.5, 1.6, 1.8)
"""Rules of thumb: times last season's use."""


@dataclass(frozen=True)
class Trial:
    """Of one history and item, over the seasons that may follow: the promised and true chance of running out, whether
    the first of them ran out, the share of them between the 10th and 90th percentile of the forecast, and mean costs of
    supplying the season, usd (all that is bought, now, later and in a hurry, and the feet that shortage stops, less
    what leftovers are worth): of the advised order, of the best for those very seasons with the same floor and without
    one, of the advised order moved by each of SHIFTS, of orders told KNOWN, and of the rules of thumb TIMES, with their
    chance of running out."""

    item: str
    promised: float
    happens: float
    ran_out: bool
    inside_80: float
    advised: float
    best: float
    best_without_floor: float
    shifted: tuple[float, ...]
    told: tuple[float, ...]
    rules: tuple[float, ...]
    rules_happen: tuple[float, ...]


def costs(plan: Plan, place: int, later: Floats, short: Floats) -> Floats:
    """The cost of an order and its later units in each season, as the plan counts it."""
    have = plan.quantities[place] + later
    price = plan.top_up.pack_price / plan.top_up.pack_size if plan.top_up else 0.0
    left = np.minimum(have, np.maximum(0, have - short))
    return plan.usd[place] + later * price + plan.outcome.rush * np.maximum(0, short - have) - plan.outcome.kept * left


@lru_cache(maxsize=1)
def drawn(seed: int, futures: int, early: bool) -> tuple[History, Demand]:
    """A history and its need as it is drawn, which does not depend on a floor."""
    made = make_history(seed, futures, early=early)
    return made, next_season(made.records, settings(), season=SEASON, seed=seed)


def advise(made: History, demand: Demand, floor: str) -> Order:
    """The order advised on a history."""
    known = settings(service_floor=floor)
    return place_order(
        demand, made.records, made.offered, made.stock, known, contribution_usd_per_ft=CONTRIBUTION, season=SEASON
    )


def told(made: History, demand: Demand, seed: int) -> dict[str, Floats]:
    """Draws of what is used less what comes back where the truth of some of it is known: by KNOWN."""
    own = [ITEMS.index(name) for name in demand.items]
    rest = demand.net - demand.new
    work = new_work(made.records.job_items, demand.items, SEASON, demand.items)
    rng = np.random.default_rng(seed)
    seen = counts_by_season(made.records.job_items, SEASON)
    alike = new_counts_seen(seen[0], seen[1], len(rest), rng)
    by_number, by_firms = (
        times_picked(work.worth, number, rng) @ work.use + rest[: len(number)] for number in (made.new, alike)
    )
    others = demand.new[: len(made.new)] + (made.used - made.fresh - made.back)[:, own]
    return dict(zip(KNOWN, (by_number, made.fresh[:, own] + rest[: len(made.new)], others, by_firms), strict=True))


def trials(seed: int, futures: int, *, early: bool = False, floor: str = "0.9") -> list[Trial]:
    """The trials of a made history, one an item."""
    made, demand = drawn(seed, futures, early)
    order = advise(made, demand, floor)
    assert order.choice is not None
    net = made.records.job_items.filter(pl.col("season") == SEASON).group_by("item_no").agg(pl.col("net").sum())
    last = {item: float(used) for item, used in net.iter_rows()}
    at = [made.names.index(name) for name in demand.model.properties]
    forecasts = np.array([demand.model.of(int(n), c) for n, c in zip(made.new, made.comes[:, at], strict=True)])
    known = told(made, demand, seed)
    out = []
    for want, plan, place in zip(order.wanted, order.plans, order.choice.places, strict=True):
        item = want.item["item_no"]
        used = made.used[:, ITEMS.index(item)]
        short = np.maximum(0, used - made.back[:, ITEMS.index(item)]) - want.on_hand
        foreseen = forecasts[:, want.columns].sum(axis=1) - want.on_hand
        nothing = np.zeros(len(short))

        def planned(needs: Floats, floor: float, plan: Plan = plan, foreseen: Floats = foreseen) -> Plan:
            return plan_of(needs, None, plan.ladder, plan.outcome, floor, foreseen, plan.top_up)

        def mean(n: int, later: Floats, plan: Plan = plan, short: Floats = short) -> float:
            return float(costs(plan, n, later, short).mean())

        def later(n: int, plan: Plan = plan, foreseen: Floats = foreseen) -> Floats:
            return np.array([plan.topped_up(n, one) for one in foreseen])

        def told_cost(draws: Floats, want: Wanted = want, later: Callable[[int], Floats] = later) -> float:
            best = planned(np.maximum(0, want.sum_of(draws)) - want.on_hand, float(floor)).best()
            return mean(best, later(best))

        moved = [plan.at_least(plan.quantities[place] * (1 + shift)) for shift in SHIFTS]
        rules = [plan.at_least(times * last.get(item, 0.0) - want.on_hand) for times in TIMES]
        runs_out = short > plan.quantities[place] + later(place) + 1e-9
        low, high = np.quantile(want.sum_of(demand.taken), [0.1, 0.9])
        true = [planned(short, level) for level in (float(floor), 0.0)]
        out.append(
            Trial(item, float(plan.chance_short[place]), float(runs_out.mean()), bool(runs_out[0]),
                  float(((low <= used) & (used <= high)).mean()), mean(place, later(place)),
                  *(float(one.cost[one.best()]) for one in true), tuple(mean(n, later(n)) for n in moved),
                  () if early else tuple(told_cost(known[name]) for name in KNOWN),
                  tuple(mean(n, nothing) for n in rules),
                  tuple(float((short > plan.quantities[n] + 1e-9).mean()) for n in rules))
        )  # fmt: skip
    return out


def summary(found: list[list[Trial]]) -> dict[str, Any]:
    """What histories of trials come to; an error is the Monte Carlo error of a mean over histories."""

    def by_history(name: str) -> Floats:
        return np.array([np.mean([getattr(one, name) for one in trials_]) for trials_ in found])

    def total(name: str) -> float:
        return float(by_history(name).sum())

    def error(values: Floats) -> float:
        return float(values.std(ddof=1) / len(values) ** 0.5)

    def over(name: str, base: str) -> float:
        """The error of a ratio of sums."""
        top, bottom = by_history(name), by_history(base)
        ratio = float(top.sum() / bottom.sum())
        return error(top - ratio * bottom) / float(bottom.mean())

    def sums(name: str) -> Floats:
        return np.array([getattr(one, name) for trials_ in found for one in trials_]).sum(axis=0)

    promised, advised = by_history("promised"), sums("advised")
    rules, rules_run_out = sums("rules"), sums("rules_happen") / sum(len(trials_) for trials_ in found)
    as_sure = np.interp(-by_history("happens").mean(), -rules_run_out, np.arange(len(TIMES)))
    return {
        "promised": float(promised.mean()), "ran_out": float(by_history("ran_out").mean()),
        "ran_out_less_promised_error": error(by_history("ran_out") - promised),
        "happens": float(by_history("happens").mean()),
        "happens_less_promised_error": error(by_history("happens") - promised),
        "inside_80": float(by_history("inside_80").mean()), "inside_80_error": error(by_history("inside_80")),
        "over_best": total("advised") / total("best") - 1, "over_best_error": over("advised", "best"),
        "over_best_without_floor": total("advised") / total("best_without_floor") - 1,
        "over_best_shift": advised / sums("shifted").min() - 1,
        "best_shift": SHIFTS[int(np.argmin(sums("shifted")))],
        "over_best_told": {n: usd / sums("best") - 1 for n, usd in zip(KNOWN, np.ravel(sums("told")), strict=False)},
        "rules_over_advised": dict(zip(map(str, TIMES), (rules / advised - 1).tolist(), strict=True)),
        "rules_run_out": dict(zip(map(str, TIMES), rules_run_out.tolist(), strict=True)),
        "rule_as_sure_times": float(np.interp(as_sure, np.arange(len(TIMES)), TIMES)),
        "rule_as_sure_over_advised": float(np.interp(as_sure, np.arange(len(TIMES)), rules / advised - 1)),
    }  # fmt: skip
