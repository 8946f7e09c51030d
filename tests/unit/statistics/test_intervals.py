"""Properties of the limits that no published table shows."""

from __future__ import annotations

import pytest
from scipy import special

from pipeline.statistics.intervals import (
    clopper_pearson_limits,
    mid_p_share_limits,
    part_ratio_limits,
    poisson_limits,
    rate_limits,
    widened_ratio_limits,
)


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


def test_mid_p_limits_hold_a_share_95_times_in_100_on_average_and_exact_ones_more_often() -> None:
    """Exact, not simulated: the chance of every count of 40 whose limits hold the share, averaged over shares."""
    held = {mid_p_share_limits: 0.0, clopper_pearson_limits: 0.0}
    shares = [n / 100 for n in range(5, 100, 5)]
    for limits in held:
        inside = [limits(n, 40) for n in range(41)]
        for share in shares:
            chances = [special.comb(40, n) * share**n * (1 - share) ** (40 - n) for n in range(41)]
            held[limits] += sum(c for c, (low, high) in zip(chances, inside, strict=True) if low <= share <= high)
    mid_p, exact = (value / len(shares) for value in held.values())
    assert mid_p == pytest.approx(0.955, abs=0.01)
    assert exact > mid_p + 0.005


def test_none_of_twenty_has_the_mid_p_limit_of_half_a_tail() -> None:
    """Half of (1 - p)^20 is .025 at p = 1 - .05^(1/20) = .1391."""
    assert mid_p_share_limits(0, 20) == pytest.approx((0, 1 - 0.05 ** (1 / 20)))
    assert mid_p_share_limits(20, 20) == pytest.approx((0.05 ** (1 / 20), 1))


def test_a_part_of_a_whole_varies_less_than_a_count_over_a_mean_that_is_known() -> None:
    """10 seen where 10 of all 20 were expected: the share's mid-P limits, doubled; Garwood's of 10 are .48 to 1.84."""
    low, high = part_ratio_limits(10, 10, 20, 1.0)
    assert (low / 2, high / 2) == pytest.approx(mid_p_share_limits(10, 20))
    assert 0.48 < low < 1 < high < 1.84


def test_a_part_in_clusters_of_two_counts_as_half_as_many() -> None:
    assert part_ratio_limits(10, 8, 40, 2.0) == pytest.approx(part_ratio_limits(5, 4, 20, 1.0))


@pytest.mark.parametrize("expected", [0.0, 20.0])
def test_a_part_of_nothing_and_the_whole_itself_have_no_ratio_to_doubt(expected: float) -> None:
    with pytest.raises(ValueError, match="between 0 and that of the whole"):
        part_ratio_limits(10, expected, 20, 1.0)


def test_a_part_is_not_narrowed_either() -> None:
    with pytest.raises(ValueError, match="1 or more"):
        part_ratio_limits(10, 8, 40, 0.9)


def test_impossible_counts_and_exposures_are_refused() -> None:
    with pytest.raises(ValueError, match="0 or more"):
        poisson_limits(-1)
    with pytest.raises(ValueError, match="more than 0"):
        rate_limits(3, 0)
