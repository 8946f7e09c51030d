"""Counts of a season that is not known yet."""

from __future__ import annotations

import numpy as np
import pytest

from pipeline.statistics.counts import (
    MOST_CHANGE,
    Belief,
    Change,
    change_deviations,
    change_factors,
    clumping,
    counts_at,
    effective_jobs,
    known_as,
    last_level,
    next_counts,
    times_picked,
    unit_rates,
)

DRAWS = 40_000


def rng() -> np.random.Generator:
    return np.random.default_rng(2)


def test_one_season_moves_by_what_was_believed_before() -> None:
    """With an all but certain deviation of .2 the logarithm of the factor has it."""
    log = np.log(change_factors([100.0], Change(0.2, 1e6), DRAWS, rng()))
    assert (log.mean(), log.std()) == (pytest.approx(0, abs=0.004), pytest.approx(0.2, rel=0.02))


def test_seasons_that_differ_more_widen_it_and_those_that_chance_explains_narrow_it() -> None:
    """Changes of ln 1.5 each, less 1/100 + 1/150: four of them and four of .2 before come to a variance of
    (4 x .04 + 4 x .1644 - 4 x .0167) / 8 = .094, drawn with 8 degrees of freedom: mean 8/6 of it."""
    seasons = [100.0, 150.0, 100.0, 150.0, 100.0]
    seen = np.log(change_factors(seasons, Change(0.2, 4), DRAWS, rng()))
    excess = np.log(1.5) ** 2 - (1 / 100 + 1 / 150)
    assert seen.var() == pytest.approx((0.2**2 * 4 + 4 * excess) / 8 * 8 / 6, rel=0.06)
    alike = np.log(change_factors([100.0, 103.0, 99.0, 101.0, 100.0], Change(0.2, 4), DRAWS, rng()))
    assert alike.std() < 0.2


def test_no_change_is_larger_than_a_firm_must_say_itself() -> None:
    factors = change_factors([100.0], Change(2.0, 2), DRAWS, rng())
    assert factors.max() == pytest.approx(MOST_CHANGE)
    assert factors.min() == pytest.approx(1 / MOST_CHANGE)


def test_a_belief_is_drawn_as_it_is_said() -> None:
    drawn = Belief(0.2, 2.5).drawn(DRAWS, rng())
    assert np.quantile(drawn, [0.025, 0.5, 0.975]) == pytest.approx([0.08, 0.2, 0.5], rel=0.02)


NONE = Belief(1e-9, 1.0)
"""A deviation that is sure to be none."""


def test_a_count_without_a_change_spreads_by_its_own_chance_and_the_next_ones() -> None:
    """The level's logarithm about ln 60.5 with variance 1 / 60.5: mean 60.5 x exp(1 / 121) = 61.0; variance 61.0 and
    61.0^2 x (exp(1 / 60.5) - 1) = 62.0."""
    counts = next_counts([60], NONE, NONE, DRAWS, rng())
    assert (counts.mean(), counts.var()) == (pytest.approx(61.0, rel=0.01), pytest.approx(123.0, rel=0.03))


def test_a_lucky_season_is_uncertain_of_its_level_and_the_next_one_has_its_own_luck() -> None:
    """Variances of the logarithm: 1 / 400.5 + .1^2 of the level, .2^2 of the change, .1^2 of next season's luck, and
    next season's chance, about 1 / 400.5: .064994 in all. The median stays the season's own."""
    log = np.log(next_counts([400], Belief(0.2, 1.0), Belief(0.1, 1.0), DRAWS, rng()))
    assert log.var() == pytest.approx(0.064994, rel=0.03)
    assert np.median(log) == pytest.approx(np.log(400), abs=0.01)


@pytest.mark.parametrize(
    ("lasting", "luck", "gain", "left"),
    [(0.0, 0.0, 0.33223, 0.0067118), (0.1, 0.0, 0.49811, 0.010063), (0.1, 0.1, 0.49874, 0.015063),
     (0.0, 0.1, 0.39899, 0.012050)],
)  # fmt: skip
def test_a_season_before_tells_luck_from_a_change(lasting: float, luck: float, gain: float, left: float) -> None:
    """99 then 49: logarithms 4.60016 and 3.90197, of chance 1 / 99.5 = .010050 and 1 / 49.5 = .020202. Without changes
    the gain is .010050 / .030252 = .33223, and .33223 x .020202 is left of the variance; with a lasting deviation of
    .1, .020050 / .040252 = .49811; with luck of .1 too, .030050 / .060252 = .49874 of .030202; with luck alone
    .020050 / .050252 = .39899."""
    mean, variance, _ = last_level([99, 49], np.array([lasting]), np.array([luck]))
    assert mean[0] == pytest.approx(4.60016 + gain * (3.90197 - 4.60016), abs=2e-5)
    assert variance[0] == pytest.approx(left, rel=2e-4)


def test_one_season_is_its_own_level_and_no_new_jobs_stay_none() -> None:
    mean, variance, likelihood = last_level([99], np.array([0.3]), np.array([0.1]))
    assert (mean[0], variance[0]) == (pytest.approx(np.log(99.5)), pytest.approx(1 / 99.5 + 0.01))
    assert likelihood[0] == 0
    assert not next_counts([40, 0], NONE, NONE, 10, rng()).any()
    assert not next_counts([], NONE, NONE, 10, rng()).any()


def by_grid(seasons: list[int], lasting: Belief, luck: Belief) -> tuple[float, float]:
    """Mean and variance of the logarithm of next season's level, luck and all, by sums over a grid of both deviations:
    the last level by generalised least squares over all logarithms at once, their covariance written out, and the
    likelihood of what is left (restricted, the level being anything)."""
    from scipy.stats import norm

    steps = (np.arange(80) + 0.5) / 80
    grid = [one.middle * one.within ** (norm.ppf(steps) / norm.ppf(0.975)) for one in (lasting, luck)]
    logs = np.log(np.array(seasons) + 0.5)
    back = len(seasons) - 1 - np.arange(len(seasons))
    together = np.minimum.outer(back, back)
    weights, means, variances = [], [], []
    for lasts in grid[0]:
        for gone in grid[1]:
            covariance = lasts**2 * together + np.diag(1 / (np.array(seasons) + 0.5) + gone**2)
            inverse = np.linalg.inv(covariance)
            known = inverse.sum()
            level = float(inverse.sum(axis=0) @ logs / known)
            rest = logs - level
            weights.append(float(np.exp(-(rest @ inverse @ rest) / 2) / np.sqrt(np.linalg.det(covariance) * known)))
            means.append(level)
            variances.append(1 / known + lasts**2 + gone**2)
    shares = np.array(weights) / sum(weights)
    mean = float(shares @ means)
    return mean, float(shares @ (np.array(variances) + (np.array(means) - mean) ** 2))


@pytest.mark.parametrize("seasons", [[60, 90], [80, 120, 70, 110], [100, 104, 99, 101, 100]])
def test_draws_are_those_of_the_whole_likelihood(seasons: list[int]) -> None:
    """Against sums over a grid; the next count's own chance adds about 1 / level to the variance of its logarithm."""
    lasting, luck = Belief(0.2, 2.5), Belief(0.1, 2.5)
    mean, variance = by_grid(seasons, lasting, luck)
    log = np.log(next_counts(seasons, lasting, luck, DRAWS, rng()) + 0.5)
    assert log.mean() == pytest.approx(mean, abs=0.01)
    assert log.var() - np.exp(-mean) == pytest.approx(variance, rel=0.06)


def test_seasons_that_swing_widen_what_is_expected_and_steady_ones_narrow_it() -> None:
    lasting, luck = Belief(0.2, 2.5), Belief(0.1, 2.5)
    spreads = [
        np.log(next_counts(seasons, lasting, luck, DRAWS, rng()) + 0.5).std()
        for seasons in ([100, 100, 101, 99, 100], [100], [100, 180, 90, 190, 100])
    ]
    assert spreads[0] < 0.8 * spreads[1]
    assert spreads[2] > 1.2 * spreads[1]


def test_no_season_is_further_off_than_a_firm_must_say_itself() -> None:
    """Of 10,000 the chance is about 1 %: three times that, and a third."""
    counts = next_counts([10_000], Belief(2.0, 1.0), NONE, DRAWS, rng())
    assert np.quantile(counts, [0.1, 0.9]) == pytest.approx([10_000 / MOST_CHANGE, 10_000 * MOST_CHANGE], rel=0.03)


def test_picks_add_up_and_spread_as_students_predictive_says() -> None:
    """Sums of 20 more of 20 values: 20 s2 (1 + 1) x 19 / 17."""
    values = np.random.default_rng(7).gamma(2, 10, 20)
    picked = times_picked(np.ones(20), np.full(DRAWS, 20), rng())
    assert (picked.sum(axis=1) == 20).all()
    assert (picked @ values).var() == pytest.approx(20 * values.var(ddof=1) * 2 * 19 / 17, rel=0.06)


def test_jobs_of_less_worth_are_picked_as_much_less() -> None:
    """Ten jobs at 1 and ten at a half: of 15 in worth each of the first has 1 / 15 of the picks."""
    picked = times_picked(np.repeat([1.0, 0.5], 10), np.full(DRAWS, 8), rng())
    shares = picked.sum(axis=0) / picked.sum()
    assert shares[:10] == pytest.approx(np.full(10, 1 / 15), rel=0.03)
    assert shares[10:] == pytest.approx(np.full(10, 1 / 30), rel=0.03)


@pytest.mark.parametrize(
    ("jobs", "more", "known"),
    [(1, 10, 1), (2, 2, 2), (10, 10, 5), (100, 100, 93), (100, 20, 80), (3, 50, 2), (100, 1, 19)],
)
def test_what_a_sample_is_known_as(jobs: int, more: int, known: int) -> None:
    """(k - 1)(n - 3)/(k + 3): 63/13 = 4.8, 9,603/103 = 93.2, 19 x 97 / 23 = 80.1; two at least, one of one; of one
    more job the spread is its own whatever it is picked from, and it counts as two: 97 / 5 = 19.4."""
    assert known_as(jobs, more) == known


def test_jobs_of_less_worth_tell_less() -> None:
    """Twenty at 1 and twenty at a half: 30 squared over 25 is 36."""
    assert effective_jobs(np.repeat([1.0, 0.5], 20)) == 36
    assert effective_jobs(np.full(12, 0.5)) == 12


def test_what_chance_gives_small_counts_is_no_change() -> None:
    """From 4 to 8: ln 2 squared less 1/4 + 1/8 is .1054, and with 4 changes of .2 before .2654. The inverse of a
    variance drawn so has the mean 5 / .2654."""
    drawn = change_deviations([4.0, 8.0], Change(0.2, 4), DRAWS, rng())
    assert (1 / drawn**2).mean() == pytest.approx(5 / (4 * 0.04 + np.log(2) ** 2 - 0.375), rel=0.02)


def test_groups_that_differ_by_chance_alone_share_one_rate() -> None:
    rates = unit_rates(np.array([10.0, 11.0, 9.0]), np.array([100.0, 100.0, 100.0]), 1.0)
    assert rates.mean == pytest.approx(np.full(3, 30.5 / 300))


def test_groups_that_differ_keep_their_own_rate_the_more_the_more_they_have_shown() -> None:
    rates = unit_rates(np.array([100.0, 1000.0, 1.0]), np.array([1000.0, 2000.0, 10.0]), 1.0).mean
    common = 1101.5 / 3010
    assert rates[0] == pytest.approx(0.1, rel=0.05)
    assert rates[1] == pytest.approx(0.5, rel=0.05)
    assert 0.1 < rates[2] < common


def test_what_groups_have_in_common_is_found_by_moments() -> None:
    """Rates .2 and .6 of 50 each about (40 + .5) / 100 = .405: (50 x .205^2 + 50 x .195^2) / 100 = .040025, less
    .405 x 2 / 100 = .0081, is .031925: a gamma of shape .405^2 / .031925 = 5.13782, rate .405 / .031925 = 12.68598."""
    rates = unit_rates(np.array([10.0, 30.0]), np.array([50.0, 50.0]), 1.0)
    assert rates.shape == pytest.approx([15.13782, 35.13782], abs=1e-5)
    assert rates.rate == pytest.approx([62.68598, 62.68598], abs=1e-5)


def test_a_group_without_exposure_has_the_common_distribution() -> None:
    rates = unit_rates(np.array([100.0, 1000.0, 0.0]), np.array([1000.0, 2000.0, 0.0]), 1.0)
    assert rates.mean[2] == pytest.approx(1100.5 / 3000)


def test_counts_in_clumps_count_as_fewer() -> None:
    """30.5 seen in 300 with clumps of 5 is 6.5 in 60: as wide as that."""
    rates = unit_rates(np.array([15.0, 15.0]), np.array([150.0, 150.0]), 5.0)
    assert (rates.shape[0], rates.rate[0]) == (pytest.approx(6.5), pytest.approx(60))


def test_rates_need_exposure() -> None:
    with pytest.raises(ValueError, match="exposure"):
        unit_rates(np.zeros(2), np.zeros(2), 1.0)


def test_clumping_is_pearsons_statistic_and_never_under_1() -> None:
    """(9/4 + 1/4 + 16/4) / (3 - 1) = 3.25."""
    assert clumping(np.array([7.0, 3.0, 0.0]), np.array([4.0, 4.0, 4.0]), 1) == pytest.approx(3.25)
    assert clumping(np.array([4.0, 4.0]), np.array([4.0, 4.0]), 1) == 1
    assert clumping(np.array([9.0]), np.array([4.0]), 1) == 1


@pytest.mark.parametrize("clumps", [1.0, 4.0])
def test_counts_have_their_mean_and_clumps_times_it_as_variance(clumps: float) -> None:
    drawn = counts_at(np.full(DRAWS, 0.2), np.full(DRAWS, 100.0), clumps, rng())
    assert (drawn.mean(), drawn.var()) == (pytest.approx(20, rel=0.01), pytest.approx(20 * clumps, rel=0.04))
