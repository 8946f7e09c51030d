"""Properties of the limits that no published table shows."""

from __future__ import annotations

import pytest
from scipy import special

from pipeline.statistics.intervals import clopper_pearson_limits, poisson_limits, rate_limits, widened_ratio_limits


def test_exact_limits_cover_at_least_95_percent_of_counts_whatever_the_mean() -> None:
    """Exact, not simulated: the chance of every count up to 150 whose limits hold the mean."""
    for mean in [0.05, 0.5, 1.0, 2.2, 3.7, 5.57, 5.58, 11.0, 29.5, 60.0]:
        held = [n for n in range(151) if poisson_limits(n)[0] <= mean <= poisson_limits(n)[1]]
        chance = sum(float(special.pdtr(n, mean) - (special.pdtr(n - 1, mean) if n else 0)) for n in held)
        assert chance >= 0.95 - 1e-12


def test_one_sided_limit_of_no_fault_is_2_996() -> None:
    """-ln .05 = 2.9957, the rule of three: a two-sided 90 % interval has 5 % above it."""
    assert poisson_limits(0, 0.90) == pytest.approx((0, 2.9957), abs=5e-5)


def test_limits_of_a_rate_are_those_of_its_count_over_the_exposure() -> None:
    """Garwood's limits of 4 are 1.0899 and 10.2416; over 2 thousand nights, half of each."""
    assert rate_limits(4, 2) == pytest.approx((1.0899 / 2, 10.2416 / 2), abs=5e-5)


def test_a_spread_of_one_widens_nothing() -> None:
    assert widened_ratio_limits(7, 3.5, 1.0) == pytest.approx(rate_limits(7, 3.5))


def test_twice_the_spread_gives_the_limits_of_half_the_count() -> None:
    """8 over 4 in clusters of 2 is 4 over 2: Garwood's 1.0899 and 10.2416, halved."""
    assert widened_ratio_limits(8, 4, 2.0) == pytest.approx((0.54495, 5.1208), abs=5e-5)


def test_less_spread_than_poisson_is_not_taken_for_more_certainty() -> None:
    with pytest.raises(ValueError, match="1 or more"):
        widened_ratio_limits(8, 4, 0.9)


def test_shares_stay_between_nothing_and_all() -> None:
    assert clopper_pearson_limits(0, 12)[0] == pytest.approx(0, abs=1e-12)
    assert clopper_pearson_limits(12, 12)[1] == pytest.approx(1, abs=1e-12)


def test_impossible_counts_and_exposures_are_refused() -> None:
    with pytest.raises(ValueError, match="0 or more"):
        poisson_limits(-1)
    with pytest.raises(ValueError, match="more than 0"):
        rate_limits(3, 0)
