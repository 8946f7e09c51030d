"""The code that places the order against published newsvendor examples."""

from __future__ import annotations

import numpy as np
import pytest
from scipy import special

from pipeline.decisions.reorder import Costs, Offer, best_packs, expected_cost

# L. V. Snyder and Z.-J. M. Shen, Fundamentals of Supply Chain Theory, discrete newsvendor.
NEEDS = np.array([1.0, 2, 3, 4, 5, 6, 7, 8])
WEIGHTS = np.array([0.25, 0.05, 0.10, 0.20, 0.15, 0.10, 0.10, 0.05])
DISCRETE = Costs(under=1_000_000, over=500_000)
ONE_A_PACK = Offer("one", 1.0, 1.0)


def test_discrete_demand_is_met_by_five_at_1_225_000() -> None:
    assert best_packs(NEEDS, WEIGHTS, ONE_A_PACK, DISCRETE, 0.0) == (5, pytest.approx(1_225_000))


def test_three_would_have_cost_1_725_000() -> None:
    assert expected_cost(np.array([3.0]), NEEDS, WEIGHTS, DISCRETE) == pytest.approx([1_725_000])


def test_poisson_demand_of_six_is_met_by_eight_at_3_570107() -> None:
    """Holding 1, shortage 4 (same book): order 8, cost 3.570107."""
    needs = np.arange(80.0)
    weights = np.exp(needs * np.log(6) - 6 - special.gammaln(needs + 1))
    packs, cost = best_packs(needs, weights, ONE_A_PACK, Costs(under=4, over=1), 0.0)
    assert packs == 8
    assert cost == pytest.approx(3.570107, abs=5e-7)


def test_normal_demand_is_met_near_56_6_at_1_9976() -> None:
    """Holding .18, shortage .70, normal 50 with deviation 8: order 56.603956, cost 1.997605; at 40 it is 7.356132.

    The order here is whole units of the need's own grid, so the grid of a hundredth bounds the difference.
    """
    grid = np.arange(0, 100.005, 0.01)
    density = np.exp(-0.5 * ((grid - 50) / 8) ** 2)
    weights = density / density.sum()
    costs = Costs(under=0.70, over=0.18)
    packs, cost = best_packs(grid, weights, Offer("hundredths", 0.01, 1.0), costs, 0.0)
    assert packs / 100 == pytest.approx(56.603956, abs=0.01)
    assert cost == pytest.approx(1.997605, abs=1e-5)
    assert expected_cost(np.array([40.0]), grid, weights, costs) == pytest.approx([7.356132], abs=1e-5)


def test_the_floor_lifts_an_order_that_would_run_short_too_often() -> None:
    """At a floor of .9 the least quantity is 7: the chances up to 6 add to .85, up to 7 to .95."""
    assert best_packs(NEEDS, WEIGHTS, ONE_A_PACK, DISCRETE, 0.9)[0] == 7
    assert best_packs(NEEDS, WEIGHTS, ONE_A_PACK, DISCRETE, 0.85)[0] == 6


def test_a_minimum_of_packs_is_kept_or_nothing_is_ordered() -> None:
    """The mean need is 3.9. Two packs of 4 leave 8 - 3.9 over: 2,050,000, less than 3,900,000 for having nothing.

    Three packs would leave 12 - 3.9: 4,050,000, more than having nothing, so nothing is ordered.
    """
    by_two, by_three = Offer("by two", 4.0, 1.0, min_packs=2), Offer("by three", 4.0, 1.0, min_packs=3)
    assert best_packs(NEEDS, WEIGHTS, by_two, DISCRETE, 0.0) == (2, pytest.approx(2_050_000))
    assert best_packs(NEEDS, WEIGHTS, by_three, DISCRETE, 0.0) == (0, pytest.approx(3_900_000))
