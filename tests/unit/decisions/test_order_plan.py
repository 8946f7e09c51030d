"""Quantities priced over all offers, and orders with a top-up, against trying everything."""

from __future__ import annotations

from datetime import date
from itertools import product

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from pipeline.decisions.order_limits import Limits, choose
from pipeline.decisions.order_offers import Offer, ladder
from pipeline.decisions.order_plan import TopUp, plan_of
from pipeline.decisions.policy import TOP_UP_GROUPS
from pipeline.statistics.newsvendor import Outcome

offer = st.builds(
    Offer,
    st.just("any"),
    st.sampled_from([2.0, 3.0, 5.0, 7.5]),
    st.integers(1, 20).map(float),
    st.integers(1, 4),
)


@settings(max_examples=60, deadline=None, derandomize=True)
@given(st.lists(offer, min_size=1, max_size=4))
def test_a_quantity_costs_what_the_cheapest_mix_of_packs_does(offers: list[Offer]) -> None:
    """Against every mix of up to 12 packs of each size; packs of a size bear one price."""
    steps = ladder(tuple(offers), 24.0)
    sizes = sorted({one.pack_size for one in offers})
    least: dict[float, float] = {}
    for mix in product(*(range(int(24 // size) + 2) for size in sizes)):
        usd = 0.0
        for size, number in zip(sizes, mix, strict=True):
            prices = [one.pack_price for one in offers if one.pack_size == size and one.min_packs <= number]
            usd += number * min(prices, default=np.inf) if number else 0.0
        units = sum(size * number for size, number in zip(sizes, mix, strict=True))
        least[units] = min(usd, least.get(units, np.inf))
    for quantity, usd in zip(steps.quantities, steps.usd, strict=True):
        assert usd == pytest.approx(least.get(float(quantity), np.inf)), quantity
    for place in np.flatnonzero(np.isfinite(steps.usd)):
        bought = steps.bought(int(place))
        assert sum(one.pack_size * number for one, number in bought) == pytest.approx(steps.quantities[place])
        assert sum(one.pack_price * number for one, number in bought) == pytest.approx(steps.usd[place])


def test_packs_that_share_no_step_leave_out_those_that_do_not_go_into_the_largest() -> None:
    """A thousandth of a foot would be the step of 0.333 and 100: of 200,000 ft that is too many."""
    steps = ladder((Offer("odd", 0.333, 1.0), Offer("even", 100.0, 30.0), Offer("half", 50.0, 16.0)), 200_000.0)
    assert steps.sizes == (50.0, 100.0)


def test_the_earliest_day_breaks_a_tie_of_prices() -> None:
    late, early = Offer("a", 1.0, 2.0, order_by=date(2032, 6, 1)), Offer("b", 1.0, 2.0, order_by=date(2032, 5, 1))
    assert ladder((late, early), 3.0).bought(2) == [(early, 2)]


def test_an_early_order_with_a_top_up_is_the_best_of_all_pairs() -> None:
    """Two stages on 400 draws in TOP_UP_GROUPS: for every early quantity and, in each group, every number of later
    packs, the cost is computed draw by draw; the plan has the least of each."""
    rng = np.random.default_rng(3)
    forecast = rng.gamma(4, 5, 400)
    short = forecast + rng.normal(0, 6, 400)
    steps = ladder((Offer("early", 5.0, 4.0, order_by=date(2032, 5, 1)), Offer("list", 10.0, 9.5)), 80.0)
    outcome = Outcome(kept=0.6, rush=2.5)
    made = plan_of(short, None, steps, outcome, 0.8, forecast, TopUp(10.0, 9.5))
    groups = np.array_split(np.argsort(forecast, kind="stable"), TOP_UP_GROUPS)
    for n, quantity in enumerate(made.quantities):
        whole, run_out = 0.0, 0.0
        for k, group in enumerate(groups):
            draws = np.maximum(short[group], 0)
            enough = np.sort(short[group])[int(np.ceil(0.8 * len(group) - 1e-9)) - 1]
            costs = {}
            for later in range(12):
                have = quantity + 10 * later
                if have < enough - 1e-9:
                    continue
                left, missing = np.maximum(have - draws, 0), np.maximum(draws - have, 0)
                costs[later] = 9.5 * later + (2.5 * missing - 0.6 * left).mean()
            least = min(costs, key=costs.__getitem__)
            assert made.top_ups[n, k] == least
            whole += costs[least] / len(groups)
            run_out += (short[group] > quantity + 10 * least + 1e-9).mean() / len(groups)
        assert made.cost[n] == pytest.approx(made.usd[n] + whole)
        assert made.chance_short[n] == pytest.approx(run_out)
    assert made.cost[made.best()] == made.cost.min()


def test_the_top_up_follows_the_forecast() -> None:
    forecast = np.repeat(np.arange(20.0) * 10, 10)
    made = plan_of(forecast.copy(), None, ladder((Offer("list", 10.0, 10.0),), 200.0), Outcome(0.75, 2.0), 0.5,
                   forecast, TopUp(10.0, 10.0))  # fmt: skip
    nothing = int(np.flatnonzero(made.quantities == 0)[0])
    assert [made.topped_up(nothing, at) for at in (-5, 42, 500)] == [0, 40, 190]


def two_items() -> list:
    """Needs of 0 to 9 packs at $10, alike, of two items; a missing unit costs $5 of the first and $2 of the second."""
    needs = np.arange(10.0)
    steps = ladder((Offer("list", 1.0, 10.0),), 9.0)
    return [plan_of(needs, None, steps, Outcome(7.0, 10.0 + under), 0.0) for under in (5.0, 2.0)]


def everything(budget: float, packs: float, least: float) -> float:
    first, second = two_items()
    costs = [
        first.cost[a] + second.cost[b]
        for a in range(10)
        for b in range(10)
        if 10 * (a + b) <= budget and a + b <= packs and (a == 0 or 10 * a >= least)
    ]
    return min(costs)


@pytest.mark.parametrize(
    ("budget", "packs", "least"), [(60, 99, 0), (999, 5, 0), (999, 99, 80), (40, 99, 60), (45, 4, 30), (0, 99, 0)]
)
def test_limits_that_items_share_are_kept_at_the_least_cost(budget: float, packs: float, least: float) -> None:
    """Against all 100 pairs of orders; the first item's supplier takes no order under `least`."""
    plans = two_items()
    found = choose(plans, ["A", "B"], Limits(budget, packs, {"A": least}))
    assert found.cost == pytest.approx(everything(budget, packs, least))
    assert found.gap == pytest.approx(0, abs=1e-6)


def test_each_of_three_items_is_ordered_once() -> None:
    """Nine of each of three are needed for certain; 27 of money buys nine units at 3, of whichever, and each of the
    other 18 costs 7: 27 + 18 x 7."""
    needs = np.full(10, 9.0)
    plan = plan_of(needs, None, ladder((Offer("list", 1.0, 3.0),), 9.0), Outcome(0.0, 7.0), 0.0)
    found = choose([plan] * 3, ["A", "B", "C"], Limits(budget=27))
    assert len(found.places) == 3
    assert sum(float(plan.usd[place]) for place in found.places) == 27
    assert found.cost == pytest.approx(27 + 18 * 7)


def test_floors_give_way_where_the_budget_cannot_keep_them() -> None:
    needs = np.arange(10.0)
    floored = plan_of(needs, None, ladder((Offer("list", 1.0, 10.0),), 9.0), Outcome(7.0, 15.0), 0.9)
    assert choose([floored], ["A"], Limits(budget=80)).keeps_floor
    assert not choose([floored], ["A"], Limits(budget=79)).keeps_floor
