"""The code that places the order against published newsvendor examples and quantity breaks."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest
from scipy import integrate, special, stats

from pipeline.decisions.order_offers import Offer, ladder
from pipeline.decisions.order_plan import Plan, plan_of
from pipeline.statistics.newsvendor import Outcome, pinball

# L. V. Snyder and Z.-J. M. Shen, Fundamentals of Supply Chain Theory, discrete newsvendor.
NEEDS = np.array([1.0, 2, 3, 4, 5, 6, 7, 8])
WEIGHTS = np.array([0.25, 0.05, 0.10, 0.20, 0.15, 0.10, 0.10, 0.05])
UNDER, OVER = 1_000_000, 500_000
PRICE = 1.0


def plan(
    needs: np.ndarray, weights: np.ndarray, under: float, over: float, floor: float = 0.0, pack: float = 1.0,
    min_packs: int = 1,
) -> Plan:  # fmt: skip
    """Orders at PRICE a unit: what is left keeps PRICE - over, what was short costs PRICE + under."""
    offers = (Offer("packs", pack, PRICE * pack, min_packs),)
    steps = ladder(offers, max(float(needs.max()), min_packs * pack))
    return plan_of(needs, weights, steps, Outcome(PRICE - over, PRICE + under), floor)


def best(made: Plan, needs: np.ndarray, weights: np.ndarray) -> tuple[float, float]:
    """The quantity ordered and the newsvendor's cost: what it costs beyond the price of the need itself."""
    place = made.best()
    return float(made.quantities[place]), float(made.cost[place] - PRICE * needs @ weights)


def cost_at(made: Plan, quantity: float, needs: np.ndarray, weights: np.ndarray) -> float:
    place = int(np.argmin(np.abs(made.quantities - quantity)))
    return float(made.cost[place] - PRICE * needs @ weights)


def test_discrete_demand_is_met_by_five_at_1_225_000() -> None:
    made = plan(NEEDS, WEIGHTS, UNDER, OVER)
    assert best(made, NEEDS, WEIGHTS) == (5, pytest.approx(1_225_000))


def test_three_would_have_cost_1_725_000() -> None:
    assert cost_at(plan(NEEDS, WEIGHTS, UNDER, OVER), 3, NEEDS, WEIGHTS) == pytest.approx(1_725_000)


def test_poisson_demand_of_six_is_met_by_eight_at_3_570107() -> None:
    """Holding 1, shortage 4 (same book): order 8, cost 3.570107."""
    needs = np.arange(80.0)
    weights = np.exp(needs * np.log(6) - 6 - special.gammaln(needs + 1))
    quantity, cost = best(plan(needs, weights, 4, 1), needs, weights)
    assert quantity == 8
    assert cost == pytest.approx(3.570107, abs=5e-7)


def test_normal_demand_is_met_near_56_6_at_1_9976() -> None:
    """Holding .18, shortage .70, normal 50 with deviation 8: order 56.603956, cost 1.997605; at 40 it is 7.356132.

    The order here is whole packs of a hundredth, so the grid bounds the difference.
    """
    grid = np.arange(0, 100.005, 0.01)
    density = np.exp(-0.5 * ((grid - 50) / 8) ** 2)
    weights = density / density.sum()
    made = plan(grid, weights, 0.70, 0.18, pack=0.01)
    quantity, cost = best(made, grid, weights)
    assert quantity == pytest.approx(56.603956, abs=0.01)
    assert cost == pytest.approx(1.997605, abs=1e-5)
    assert cost_at(made, 40, grid, weights) == pytest.approx(7.356132, abs=1e-5)


def test_a_magazine_that_sells_11_73_on_average_is_ordered_15_times() -> None:
    """S. Nahmias, Production and Operations Analysis (from memory): bought at 25 cents, sold at 75, sold back at 10:
    under 50, over 15, ratio 50/65, demand normal with mean 11.73 and deviation 4.74: order 15."""
    grid = np.arange(0, 31.0, 0.01)
    density = np.exp(-0.5 * ((grid - 11.73) / 4.74) ** 2)
    weights = density / density.sum()
    quantity, _ = best(plan(grid, weights, 0.50, 0.15, pack=0.01), grid, weights)
    assert round(quantity) == 15


@pytest.mark.parametrize(
    ("law", "under", "over"),
    [
        (stats.norm(50, 8), 0.70, 0.18),
        (stats.gamma(4, scale=30), 0.25, 0.25),
        (stats.lognorm(0.4, scale=200), 3.0, 0.5),
        (stats.uniform(10, 90), 1.0, 4.0),
    ],
)
def test_a_second_opinion_by_quantile_and_quadrature_agrees(law: Any, under: float, over: float) -> None:
    """The order is the quantile under / (under + over), and its cost the integrals of what is left and what is short,
    both by another library's quantile functions and quadrature: neither draws nor whole packs."""
    quantity = float(law.ppf(under / (under + over)))
    low, high = (float(law.ppf(chance)) for chance in (1e-12, 1 - 1e-12))
    left = integrate.quad(lambda need: (quantity - need) * law.pdf(need), low, quantity, limit=200)[0]
    short = integrate.quad(lambda need: (need - quantity) * law.pdf(need), quantity, high, limit=200)[0]
    needs = law.ppf((np.arange(40_000) + 0.5) / 40_000)
    weights = np.full(len(needs), 1 / len(needs))
    ours, cost = best(plan(needs, weights, under, over, pack=0.05), needs, weights)
    assert ours == pytest.approx(quantity, abs=0.1)
    assert cost == pytest.approx(over * left + under * short, rel=2e-3)


def test_the_floor_lifts_an_order_that_would_run_short_too_often() -> None:
    """At a floor of .9 the least quantity is 7: the chances up to 6 add to .85, up to 7 to .95."""
    assert best(plan(NEEDS, WEIGHTS, UNDER, OVER, 0.9), NEEDS, WEIGHTS)[0] == 7
    assert best(plan(NEEDS, WEIGHTS, UNDER, OVER, 0.85), NEEDS, WEIGHTS)[0] == 6


def test_a_minimum_of_packs_is_kept_or_nothing_is_ordered() -> None:
    """The mean need is 3.9. Two packs of 4 leave 8 - 3.9 over: 2,050,000, less than 3,900,000 for having nothing.

    Three packs would leave 12 - 3.9: 4,050,000, more than having nothing, so nothing is ordered.
    """
    two = plan(NEEDS, WEIGHTS, UNDER, OVER, pack=4, min_packs=2)
    three = plan(NEEDS, WEIGHTS, UNDER, OVER, pack=4, min_packs=3)
    assert best(two, NEEDS, WEIGHTS) == (8, pytest.approx(2_050_000))
    assert best(three, NEEDS, WEIGHTS) == (0, pytest.approx(3_900_000))


@pytest.mark.parametrize(
    ("breaks", "prices", "fixed", "holding", "yearly", "quantity", "cost"),
    [
        # All-units breaks with 200 a delivery (Snyder and Shen).
        ([1, 200, 500], [500, 475, 450], 200, 0.2, 1000, 500, 472_900),
        # 8 a delivery: .68 x 1300 + 8 x 1300 / 800 + .3 x .68 x 400 = 884 + 13 + 81.6.
        ([1, 400, 800], [0.75, 0.72, 0.68], 8, 0.3, 1300, 800, 978.60),
    ],
)
def test_all_units_quantity_breaks_are_priced_as_published(
    breaks: list[int], prices: list[float], fixed: float, holding: float, yearly: float, quantity: int, cost: float
) -> None:
    """The prices of every quantity come from the ladder that prices the real order; the lot size's cost is the book's:
    (price + fixed) x deliveries + holding x price a unit x half a lot."""
    offers = tuple(Offer(f"from {n}", 1.0, price, n) for n, price in zip(breaks, prices, strict=True))
    steps = ladder(offers, 1500)
    lots, usd = steps.quantities[1:], steps.usd[1:]
    yearly_usd = (usd + fixed) * yearly / lots + holding * usd / lots * lots / 2
    place = int(np.argmin(yearly_usd))
    assert lots[place] == quantity
    assert yearly_usd[place] == pytest.approx(cost)


def test_pinball_loss_of_three_forecasts() -> None:
    """Seen 1, 2, 3, forecast 0, 2, 3: one unit too low once: .1 x 1 / 3 and .9 x 1 / 3 (the common definition)."""
    seen, forecast = np.array([1.0, 2, 3]), np.array([0.0, 2, 3])
    assert pinball(seen, forecast, 0.1) == pytest.approx(0.03333, abs=1e-5)
    assert pinball(seen, forecast, 0.9) == pytest.approx(0.3)
