"""Clustering of counts within groups, and what it widens."""

from __future__ import annotations

import numpy as np
import pytest

from pipeline.statistics import dispersion
from pipeline.statistics.dispersion import MIN_OWN_COUNT, chance_of_clustering, measure_clustering

ONE = np.zeros(4, dtype=np.int64)


def test_the_factor_is_squares_of_deviations_over_those_of_poisson_counts() -> None:
    """4 jobs of equal weight with 4, 0, 0 and 0 failures: 9 + 1 + 1 + 1 = 12 over 4 x 1 x (1 - 1/4) = 3; chi-square
    12 on 3 degrees."""
    found = measure_clustering(np.array([4.0, 0, 0, 0]), np.ones(4), ONE)
    assert found.factor == pytest.approx(4)
    assert (found.pearson, found.freedom) == (pytest.approx(12), 3)


def test_counts_more_even_than_chance_narrow_nothing() -> None:
    found = measure_clustering(np.array([2.0, 2, 2, 2]), np.ones(4), ONE)
    assert found.factor == 0
    assert found.widening.tolist() == [1.0]


def test_a_group_is_widened_by_its_own_factor_where_that_is_larger_and_known() -> None:
    """Group 0: MIN_OWN_COUNT events on one job of 2: (m/2)^2 x 2 over m/2 = m, its own; group 1 even."""
    many = float(MIN_OWN_COUNT)
    counts, groups = np.array([many, 0, many / 2, many / 2]), np.array([0, 0, 1, 1])
    found = measure_clustering(counts, np.ones(4), groups)
    assert found.factor == pytest.approx(many / 2)
    assert found.widening == pytest.approx([many, many / 2])


def test_a_group_with_too_few_events_takes_the_factor_of_all() -> None:
    few = float(MIN_OWN_COUNT - 1)
    found = measure_clustering(np.array([few, 0, 2, 2]), np.ones(4), np.array([0, 0, 1, 1]))
    # (few/2)^2 x 2 over few/2 + 4/2 for both groups.
    assert found.widening == pytest.approx(np.full(2, few * few / 2 / (few / 2 + 2)))


def test_larger_jobs_are_expected_to_have_more() -> None:
    """3 and 1 at weights 3 and 1 are as expected."""
    assert measure_clustering(np.array([3.0, 1]), np.array([3.0, 1]), np.zeros(2, np.int64)).pearson == 0


def test_nothing_that_happened_or_one_cell_alone_says_nothing() -> None:
    for counts in (np.zeros(4), np.array([3.0])):
        groups = np.zeros(len(counts), np.int64)
        found = measure_clustering(counts, np.ones(len(counts)), groups)
        assert (found.freedom, found.factor, found.widening.tolist()) == (0, 1.0, [1.0])
        assert chance_of_clustering(counts, np.ones(len(counts)), groups, seed=1) == (1.0, 0)


def test_the_chance_is_that_of_multinomial_counts() -> None:
    """2 events on 2 equal jobs: both on one with chance 1/2, chi-square 2; one each otherwise, chi-square 0."""
    groups = np.zeros(2, np.int64)
    chance, draws = chance_of_clustering(np.array([2.0, 0]), np.ones(2), groups, seed=1)
    assert draws == 999
    assert chance == pytest.approx(0.5, abs=3 * np.sqrt(0.25 / 999))
    assert chance_of_clustering(np.array([1.0, 1]), np.ones(2), groups, seed=1)[0] == 1.0


def test_the_test_holds_its_level_where_most_cells_expect_less_than_one(monkeypatch: pytest.MonkeyPatch) -> None:
    """200 Poisson seasons of 80 cells with means about .25 in 2 groups: rejected at .05 in 5 % of them, within three
    Monte Carlo errors; the table of chi-square would not promise that."""
    monkeypatch.setattr(dispersion, "MOST_DRAWS", 99)
    rng = np.random.default_rng(5)
    groups = np.repeat([0, 1], 40)
    rejected = 0
    for seed in range(200):
        weights = rng.gamma(2.0, 0.125, 80)
        rejected += chance_of_clustering(rng.poisson(weights).astype(float), weights, groups, seed=seed)[0] < 0.05
    assert rejected / 200 == pytest.approx(0.05, abs=3 * np.sqrt(0.05 * 0.95 / 200))
