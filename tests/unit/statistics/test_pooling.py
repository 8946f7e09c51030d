"""Partial pooling of rates."""

from __future__ import annotations

import numpy as np
import pytest
from scipy import integrate, special

from pipeline.statistics.pooling import MIDDLE_SHAPE, pool_parts, pool_rates, pooled_means


def test_groups_that_differ_by_chance_alone_come_close_to_the_common_rate() -> None:
    """Rates of 4, 5 and 6 in 100 spread less than Poisson counts of 5 do (variance 5)."""
    rates = pool_rates(np.array([4.0, 5, 6]), np.full(3, 100.0)).rate
    assert rates == pytest.approx(np.full(3, 0.05), abs=0.005)
    assert rates[0] < rates[1] < rates[2]


def test_groups_that_differ_for_sure_keep_nearly_their_own_rate() -> None:
    rates = pool_rates(np.array([1_000.0, 3_000]), np.full(2, 10_000.0)).rate
    assert rates == pytest.approx([0.1, 0.3], rel=0.005)


def test_the_grid_s_means_and_limits_are_those_of_the_integrals() -> None:
    """The same posterior by another library's adaptive quadrature: over log mean and shrinkage, for the first group."""
    counts, exposures = np.array([2.0, 9, 4]), np.array([10.0, 20, 30])

    def density(log_mean: float, shrinkage: float) -> tuple[float, float, float]:
        shape = MIDDLE_SHAPE * shrinkage / (1 - shrinkage)
        per = shape / np.exp(log_mean)
        log = (special.gammaln(counts + shape) - special.gammaln(shape) + shape * np.log(per)
               - (counts + shape) * np.log(per + exposures)).sum()  # fmt: skip
        return float(np.exp(log + 60)) / np.sqrt(shrinkage), shape, per

    def expected(of: object) -> float:
        return integrate.dblquad(
            lambda m, b: density(m, b)[0] * of(*density(m, b)[1:]), 1e-4, 1 - 1e-4, -6.0, 3.0, epsabs=0, epsrel=1e-3
        )[0]  # type: ignore[operator]

    whole = expected(lambda shape, per: 1.0)
    found = pool_rates(counts, exposures)
    assert found.rate[0] == pytest.approx(expected(lambda s, p: (s + 2) / (p + 10)) / whole, rel=0.01)
    for limit, chance in ((found.low[0], 0.025), (found.high[0], 0.975)):
        below = expected(lambda s, p, limit=limit: special.gammainc(s + 2, (p + 10) * limit)) / whole
        assert below == pytest.approx(chance, abs=0.002)


def test_a_group_without_an_event_is_drawn_up_and_its_lower_limit_is_over_nothing() -> None:
    found = pool_rates(np.array([0.0, 10, 12]), np.full(3, 100.0))
    assert 0 < found.low[0] < found.rate[0] < 0.1 < found.high[1]


def test_parts_of_a_whole_have_the_whole_s_ratio_together() -> None:
    """However they are pooled, their ratios weighted by what was expected of them make 1, as the counts themselves do,
    and each lies between its own ratio and 1."""
    counts, expected = np.array([4.0, 20, 6]), np.array([10.0, 10, 10])
    found = pool_parts(counts, expected, draws=4_000, seed=1)
    assert found.rate @ expected == pytest.approx(30)
    assert 0.4 < found.rate[0] < 1 < found.rate[1] < 2
    assert (found.low < found.rate).all()
    assert (found.rate < found.high).all()


def test_two_parts_that_differ_for_sure_have_the_limits_of_their_share() -> None:
    """3,000 of 10,000 where half was expected: a share of .3 with the error sqrt(.3 x .7 / 10,000) = .00458, doubled,
    and 1.96 of it on either side; the part varies less than a Poisson count of 3,000 over 5,000 (error .011)."""
    found = pool_parts(np.array([3_000.0, 7_000]), np.array([5_000.0, 5_000]), draws=20_000, seed=1)
    reach = 2 * 1.96 * 0.00458
    assert (found.low[0], found.high[0]) == pytest.approx((0.6 - reach, 0.6 + reach), abs=0.002)


def test_means_alone_are_the_same_means() -> None:
    counts, exposures = np.array([1.5, 9, 4]), np.array([10.0, 20, 30])
    assert pooled_means(counts, exposures) == pytest.approx(pool_rates(counts, exposures).rate)


@pytest.mark.parametrize(("counts", "exposures"), [([3.0], [1.0]), ([0.0, 0], [1.0, 1]), ([1.0, 2], [1.0, 0])])
def test_what_cannot_be_pooled_is_refused(counts: list[float], exposures: list[float]) -> None:
    with pytest.raises(ValueError, match="pooling takes"):
        pool_rates(np.array(counts), np.array(exposures))
