"""Exact and close limits against published tables, each with its source."""

from __future__ import annotations

import pytest

from pipeline.statistics.intervals import (
    byar_limits,
    clopper_pearson_limits,
    dispersion,
    observed_over_expected,
    poisson_limits,
    wilson_limits,
)
from pipeline.statistics.rates import chance_of_more

# F. Garwood, Fiducial limits for the Poisson distribution, Biometrika 28 (1936), 95 %.
GARWOOD = [
    (0, 0, 3.6889), (1, 0.0253, 5.5716), (2, 0.2422, 7.2247), (3, 0.6187, 8.7673), (4, 1.0899, 10.2416),
    (5, 1.6235, 11.6683), (6, 2.2019, 13.0595), (7, 2.8144, 14.4227), (8, 3.4538, 15.7632), (9, 4.1154, 17.0848),
    (10, 4.7954, 18.3904),
]  # fmt: skip

# R. G. Newcombe, Two-sided confidence intervals for the single proportion, Statistics in Medicine 17 (1998), Table I:
# count, total, Wilson, Clopper-Pearson.
NEWCOMBE = [
    (81, 263, (0.2553, 0.3662), (0.2527, 0.3676)),
    (15, 148, (0.0624, 0.1605), (0.0578, 0.1617)),
    (0, 20, (0.0, 0.1611), (0.0, 0.1684)),
    (1, 29, (0.0061, 0.1718), (0.0009, 0.1776)),
]


@pytest.mark.parametrize(("count", "low", "high"), GARWOOD)
def test_limits_of_a_count_are_garwood_s(count: int, low: float, high: float) -> None:
    assert poisson_limits(count) == pytest.approx((low, high), abs=5.1e-5)


@pytest.mark.parametrize(("count", "total", "wilson", "exact"), NEWCOMBE)
def test_limits_of_a_share_are_newcombe_s(
    count: int, total: int, wilson: tuple[float, float], exact: tuple[float, float]
) -> None:
    assert wilson_limits(count, total) == pytest.approx(wilson, abs=5.1e-5)
    assert clopper_pearson_limits(count, total) == pytest.approx(exact, abs=5.1e-5)


def test_four_seen_where_3_3_were_expected() -> None:
    """4 / 3.3 = 1.212, exact .3303 to 3.1035, Byar .3261 to 3.1033 (a published worked example of a ratio)."""
    ratio, limits = observed_over_expected(4, 3.3)
    assert ratio == pytest.approx(1.212, abs=5e-4)
    assert limits == pytest.approx((0.3303, 3.1035), abs=5.1e-5)
    low, high = byar_limits(4)
    assert (low / 3.3, high / 3.3) == pytest.approx((0.3261, 3.1033), abs=5.1e-5)


def test_137_seen_where_24_19893_were_expected() -> None:
    """5.66141, exact 4.75312 to 6.69271 (computed independently; no printed limits were seen)."""
    ratio, limits = observed_over_expected(137, 24.19893)
    assert ratio == pytest.approx(5.66141, abs=5e-6)
    assert limits == pytest.approx((4.75312, 6.69271), abs=5.1e-6)


def test_deaths_of_1960_at_the_rates_of_1940() -> None:
    """Selvin's mix adjustment: observed 130,158 over expected 109,126.685 is 1.19272 (ratio computed)."""
    deaths_1960 = [141, 926, 1253, 1080, 1869, 4891, 14956, 30888, 41725, 26501, 5928]
    people_1960 = [1784033, 7065148, 15658730, 10482916, 9939972, 10563872, 9114202, 6850263, 4702482, 1874619, 330915]
    deaths_1940 = [45, 201, 320, 670, 1126, 3160, 9723, 17935, 22179, 13461, 2238]
    people_1940 = [906897, 3794573, 10003544, 10629526, 9465330, 8249558, 7294330, 5022499, 2920220, 1019504, 142532]
    expected = sum(d / p * n for d, p, n in zip(deaths_1940, people_1940, people_1960, strict=True))
    assert sum(deaths_1960) == 130_158
    assert expected == pytest.approx(109_126.685, abs=0.001)
    assert observed_over_expected(130_158, expected)[0] == pytest.approx(1.19272, abs=5e-6)


def test_faults_in_rolls_of_fabric_spread_more_than_poisson() -> None:
    """Bissell's fabric rolls: dispersion 2.122 about the log-linear fit log(faults) = .9717506 + .0019297 x length."""
    from math import exp

    lengths = [551, 651, 832, 375, 715, 868, 271, 630, 491, 372, 645, 441, 895, 458, 642, 492, 543, 842, 905, 542, 522,
               122, 657, 170, 738, 371, 735, 749, 495, 716, 952, 417]  # fmt: skip
    faults = [6, 4, 17, 9, 14, 8, 5, 7, 7, 7, 6, 8, 28, 4, 10, 4, 8, 9, 23, 9, 6, 1, 9, 4, 9, 14, 17, 10, 7, 3, 9, 2]
    fitted = [exp(0.9717506 + 0.0019297 * length) for length in lengths]
    assert dispersion(faults, fitted, 2) == pytest.approx(2.122, abs=5e-4)


def test_two_rates_compared_by_the_exact_conditional_test() -> None:
    # Gu, Ng, Tang and Schucany 2008: 60 cases in 51,477.5 person-years against 30 in 54,308.7; one-sided p .000428.
    assert chance_of_more(60, 51_477.5, 30, 54_308.7) == pytest.approx(0.000428, abs=5e-7)
