"""Exact and close limits against published tables, each with its source."""

from __future__ import annotations

import pytest

from pipeline.statistics.intervals import clopper_pearson_limits, poisson_limits, rate_limits
from pipeline.statistics.rates import chance_of_more, compare_rates

# F. Garwood, Fiducial limits for the Poisson distribution, Biometrika 28 (1936), 95 %.
GARWOOD = [
    (0, 0, 3.6889), (1, 0.0253, 5.5716), (2, 0.2422, 7.2247), (3, 0.6187, 8.7673), (4, 1.0899, 10.2416),
    (5, 1.6235, 11.6683), (6, 2.2019, 13.0595), (7, 2.8144, 14.4227), (8, 3.4538, 15.7632), (9, 4.1154, 17.0848),
    (10, 4.7954, 18.3904),
]  # fmt: skip

# R. G. Newcombe, Two-sided confidence intervals for the single proportion, Statistics in Medicine 17 (1998), Table I:
# count, total, exact limits (his method 5).
NEWCOMBE = [
    (81, 263, (0.2527, 0.3676)),
    (15, 148, (0.0578, 0.1617)),
    (0, 20, (0.0, 0.1684)),
    (1, 29, (0.0009, 0.1776)),
]


@pytest.mark.parametrize(("count", "low", "high"), GARWOOD)
def test_limits_of_a_count_are_garwood_s(count: int, low: float, high: float) -> None:
    assert poisson_limits(count) == pytest.approx((low, high), abs=5.1e-5)


@pytest.mark.parametrize(("count", "total", "exact"), NEWCOMBE)
def test_limits_of_a_share_are_newcombe_s(count: int, total: int, exact: tuple[float, float]) -> None:
    assert clopper_pearson_limits(count, total) == pytest.approx(exact, abs=5.1e-5)


def test_four_seen_where_3_3_were_expected() -> None:
    """4 / 3.3 = 1.212, exact .3303 to 3.1035 (a published worked example of a ratio)."""
    assert rate_limits(4, 3.3) == pytest.approx((0.3303, 3.1035), abs=5.1e-5)


def test_137_seen_where_24_19893_were_expected() -> None:
    """5.66141, exact 4.75312 to 6.69271 (computed independently; no printed limits were seen)."""
    assert rate_limits(137, 24.19893) == pytest.approx((4.75312, 6.69271), abs=5.1e-6)


def test_two_rates_compared_by_the_exact_conditional_test() -> None:
    # Gu, Ng, Tang and Schucany 2008: 60 cases in 51,477.5 person-years against 30 in 54,308.7; one-sided p .000428.
    assert chance_of_more(60, 51_477.5, 30, 54_308.7) == pytest.approx(0.000428, abs=5e-7)


def test_the_ratio_of_those_rates_and_twice_the_smaller_tail() -> None:
    """The same: ratio 2.1100 (60 / 51,477.5 over 30 / 54,308.7)."""
    found = compare_rates(60, 51_477.5, 30, 54_308.7)
    assert found.ratio == pytest.approx(2.1100, abs=5e-5)
    assert found.chance == pytest.approx(2 * 0.000428, abs=1e-6)


def test_the_exact_test_errs_on_the_side_of_no_difference() -> None:
    """Krishnamoorthy and Thomson 2004 give p = .1749 for 2 / 100 against 6 / 100 by their unconditional test. The exact
    conditional one, whose level holds whatever the rates, gives twice P(X >= 6 | 8, 1/2) = 2 x 37 / 256 = .2891."""
    found = compare_rates(6, 100, 2, 100)
    assert found.chance == pytest.approx(74 / 256)
    assert found.chance > 0.1749
