"""Groups by least squares, what one value moves, and limits for many comparisons at once."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.stats import studentized_range
from scipy.stats import t as student

from pipeline.statistics.clusters import errors_by_cluster
from pipeline.statistics.mixed_groups import effects_without, fit_errors_by_cluster, fit_groups, largest_t

RNG = np.random.default_rng(8)
GROUPS = RNG.integers(0, 4, 60)
X = RNG.normal(size=(60, 3))
Y = X @ np.array([0.3, -0.2, 0.1]) + np.array([1.0, 1.2, 0.8, 1.1])[GROUPS] + RNG.normal(0, 0.2, 60)


def by_dummies(y: np.ndarray, x: np.ndarray, groups: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """Coefficients and their covariance from one regression with a column a group."""
    z = np.column_stack([np.eye(4)[groups], x])
    b = np.linalg.lstsq(z, y, rcond=None)[0]
    variance = ((y - z @ b) ** 2).sum() / (len(y) - z.shape[1])
    return b, variance * np.linalg.inv(z.T @ z)


def test_effects_are_those_of_a_regression_with_a_column_a_group() -> None:
    fit = fit_groups(Y, X, GROUPS)
    b, covariance = by_dummies(Y, X - X.mean(axis=0), GROUPS)
    assert fit.effects == pytest.approx(b[:4])
    assert fit.coefficients == pytest.approx(b[4:])
    assert fit.covariance == pytest.approx(covariance[:4, :4])
    assert fit.coefficient_covariance == pytest.approx(covariance[4:, 4:])
    assert fit.freedom == 53


def test_what_a_value_moves_is_the_difference_to_a_fit_without_it() -> None:
    fit = fit_groups(Y, X, GROUPS)
    moved = effects_without(fit, X, GROUPS)
    for place in (0, 17, 59):
        kept = np.arange(60) != place
        without, _ = by_dummies(Y[kept], X[kept] - X.mean(axis=0), GROUPS[kept])
        assert moved[place] == pytest.approx(fit.effects - without[:4])


def test_errors_by_cluster_are_those_of_a_regression_with_a_column_a_group() -> None:
    clusters = np.arange(60) % 15
    fit = fit_groups(Y, X, GROUPS)
    z = np.column_stack([np.eye(4)[GROUPS], X])
    plain = errors_by_cluster(z, Y - z @ np.linalg.lstsq(z, Y, rcond=None)[0], clusters)
    found = fit_errors_by_cluster(fit, X, GROUPS, clusters)
    assert found.errors == pytest.approx(plain.errors[4:])
    assert found.freedom == pytest.approx(plain.freedom[4:])


def test_all_pairs_of_equal_groups_have_the_studentized_range() -> None:
    """Tukey's range over all pairs of 5 means on 20 degrees of freedom, from scipy: q / sqrt 2."""
    pairs = np.array([np.eye(5)[i] - np.eye(5)[j] for i in range(5) for j in range(i)])
    draws = largest_t(np.eye(5) * 0.04, pairs, 20, 40_000, seed=1)
    assert np.quantile(draws, 0.95) == pytest.approx(studentized_range.ppf(0.95, 5, 20) / 2**0.5, rel=0.01)


def test_a_single_comparison_has_student_s_t() -> None:
    draws = largest_t(np.eye(2), np.array([[1.0, -1]]), 9, 40_000, seed=1)
    assert np.quantile(draws, 0.95) == pytest.approx(student.ppf(0.975, 9), rel=0.02)
