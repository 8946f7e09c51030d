"""The bootstrap of a ratio of sums."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.stats import bootstrap

from pipeline.statistics.bootstrap import percentile_limits, ratio_of_sums


def test_jobs_that_all_cost_the_same_a_foot_leave_nothing_open() -> None:
    feet = np.array([100.0, 150, 210, 90])
    assert ratio_of_sums(feet * 5, feet, 50, seed=1) == pytest.approx(np.full(50, 5.0))


def test_its_spread_is_that_of_the_linear_approximation() -> None:
    """Cochran 1977, 6.4: variance of a ratio of sums = sum of (top - ratio x bottom)^2 / (sum of bottom)^2."""
    rng = np.random.default_rng(3)
    feet = rng.uniform(60, 400, 300)
    cost = feet * rng.normal(5, 1, 300)
    ratio = cost.sum() / feet.sum()
    expected = np.sqrt(((cost - ratio * feet) ** 2).sum()) / feet.sum()
    draws = ratio_of_sums(cost, feet, 4_000, seed=2)
    assert draws.mean() == pytest.approx(ratio, abs=3 * expected / 63)
    assert draws.std() == pytest.approx(expected, rel=0.06)


def test_the_same_seed_gives_the_same_draws() -> None:
    top, bottom = np.array([3.0, 5, 9]), np.array([1.0, 2, 2])
    assert (ratio_of_sums(top, bottom, 9, seed=4) == ratio_of_sums(top, bottom, 9, seed=4)).all()


def test_percentile_limits_cut_off_equal_tails() -> None:
    """Of 0, 1 ... 1000 the 2.5th and the 97.5th percentile are 25 and 975."""
    assert percentile_limits(np.arange(1001.0)) == pytest.approx((25, 975))


def test_its_limits_are_those_of_scipy_s_bootstrap() -> None:
    """scipy.stats.bootstrap, pairs drawn together, percentile method, on 40 jobs of which a few cost much.

    A limit of 8,000 draws has an error of sqrt(0.025 x 0.975 / 8,000) / 0.0584 = 0.03 standard errors, 0.0584 being the
    normal density at the 2.5th percentile; the difference of two of them 0.042, of which four are allowed.
    """
    rng = np.random.default_rng(11)
    feet = rng.uniform(60, 400, 40)
    cost = feet * rng.lognormal(1.6, 0.5, 40)
    theirs = bootstrap(
        (cost, feet), lambda top, bottom, axis: top.sum(axis) / bottom.sum(axis), paired=True, vectorized=True,
        n_resamples=8_000, method="percentile", rng=np.random.default_rng(5),
    )  # fmt: skip
    ours = percentile_limits(ratio_of_sums(cost, feet, 8_000, seed=6))
    allowed = 4 * 0.042 * theirs.standard_error
    assert ours == pytest.approx((theirs.confidence_interval.low, theirs.confidence_interval.high), abs=allowed)
