"""Changes between two seasons and their limits."""

from __future__ import annotations

from math import exp, sqrt

import numpy as np
import pytest
from scipy.stats import t as student

from pipeline.statistics.changes import Sums, ratio_limits, share_difference_limits, wilson_limits
from pipeline.statistics.rates import compare_rates


def sums(parts: list[float], wholes: list[float], clusters: list[int]) -> Sums:
    return Sums(np.array(parts), np.array(wholes), np.array(clusters))


@pytest.mark.parametrize(
    ("counts", "low", "high"),
    [((56, 70, 48, 80), 0.0524, 0.3339), ((9, 10, 3, 10), 0.1705, 0.8090), ((10, 10, 0, 20), 0.6791, 1.0)],
)
def test_limits_of_a_difference_of_shares_are_those_of_newcombe_1998(
    counts: tuple[int, int, int, int], low: float, high: float
) -> None:
    """Newcombe 1998, Statistics in Medicine 17, 873-890, table II, method 10 (from memory)."""
    assert share_difference_limits(*counts) == pytest.approx((low, high), abs=6e-5)


def test_limits_of_a_share_are_wilson_s() -> None:
    """Newcombe 1998, Statistics in Medicine 17, 857-872, table I: 81 of 263 and 1 of 29."""
    assert wilson_limits(81, 263) == pytest.approx((0.2553, 0.3662), abs=6e-5)
    assert wilson_limits(1, 29) == pytest.approx((0.0061, 0.1718), abs=6e-5)


def test_a_ratio_of_sums_spreads_by_its_days() -> None:
    """By hand: now 6 h over 100 ft and 9 over 200 ft on two days, 12 over 300 on a third; before 10 over 200, twice
    100 ft with 4 and 6.

    now: ratio 27 / 600 = .045; off the ratio 6 - 4.5 = 1.5, 9 - 9 = 0, 12 - 13.5 = -1.5; relative variance
    (1.5^2 + 1.5^2) x 3 / 2 / 27^2 = .0092593. before: 20 / 400 = .05; off 0, -1, 1; 2 x 3 / 2 / 20^2 = .0075.
    """
    now = sums([6, 9, 12], [100, 200, 300], [0, 1, 2])
    before = sums([10, 4, 6], [200, 100, 100], [0, 1, 2])
    assert now.relative_variance == pytest.approx(6.75 / 729)
    assert before.relative_variance == pytest.approx(0.0075)
    one, two = 6.75 / 729, 0.0075
    freedom = (one + two) ** 2 / (one**2 / 2 + two**2 / 2)
    reach = student.ppf(0.975, freedom) * sqrt(one + two)
    assert ratio_limits(now, before) == pytest.approx((0.9 * exp(-reach), 0.9 * exp(reach)))


def test_jobs_of_a_day_count_together() -> None:
    apart = sums([6, 9, 12, 7], [100, 200, 300, 100], [0, 1, 2, 3])
    together = sums([6, 9, 12, 7], [100, 200, 300, 100], [0, 1, 1, 0])
    assert together.freedom == 1
    assert together.relative_variance > apart.relative_variance


def test_what_never_varies_has_limits_of_no_width() -> None:
    same = sums([5, 10], [100, 200], [0, 1])
    assert ratio_limits(same, same) == (1, 1)


def test_limits_hold_the_truth_of_seasons_whose_days_share_their_weather() -> None:
    """400 pairs of seasons of 30 days, a day's chance of 15 % on all its jobs: .95 +/- three errors of .0109."""
    rng = np.random.default_rng(5)

    def season(pace: float) -> Sums:
        days = rng.integers(0, 30, 90)
        feet = rng.gamma(4, 45, 90)
        hours = pace * feet * np.exp(rng.normal(0, 0.15, 30)[days] + rng.normal(0, 0.25, 90))
        return Sums(hours, feet, np.unique(days, return_inverse=True)[1])

    held = sum(low <= 0.9 <= high for low, high in (ratio_limits(season(0.045), season(0.05)) for _ in range(400)))
    assert 0.95 - 3 * 0.0109 <= held / 400 <= 0.95 + 3 * 0.0109


def test_rates_have_wider_limits_at_a_higher_confidence() -> None:
    usual, sure = (compare_rates(20, 1000, 10, 1000, confidence=level) for level in (0.95, 0.995))
    assert sure.low < usual.low
    assert usual.high is not None
    assert sure.high is not None
    assert sure.high > usual.high
