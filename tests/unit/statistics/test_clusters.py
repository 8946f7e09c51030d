"""Errors of coefficients where whole clusters of values go together."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.linalg import sqrtm

from pipeline.statistics.clusters import errors_by_cluster

RNG = np.random.default_rng(3)
CLUSTERS = RNG.integers(0, 9, 40)
X = np.column_stack([np.ones(40), RNG.normal(size=(40, 2))])
Y = RNG.normal(size=40)
RESIDUALS = Y - X @ np.linalg.lstsq(X, Y, rcond=None)[0]


def by_definition(x: np.ndarray, residuals: np.ndarray, clusters: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """Bell and McCaffrey's CR2 and its degrees of freedom with the n x n matrices of their paper, for one cluster after
    the other: A = (I - H)^-1/2 by scipy's square root of a matrix."""
    n, columns = x.shape
    inverse = np.linalg.inv(x.T @ x)
    hat = x @ inverse @ x.T
    variance, parts = np.zeros((columns, columns)), []
    for cluster in np.unique(clusters):
        own = clusters == cluster
        raised = np.linalg.inv(np.real(sqrtm(np.eye(own.sum()) - hat[np.ix_(own, own)])))
        score = inverse @ x[own].T @ raised @ residuals[own]
        variance += np.outer(score, score)
        parts.append((np.eye(n) - hat)[:, own] @ raised @ x[own] @ inverse)
    freedom = []
    for column in range(columns):
        g = np.column_stack([part[:, column] for part in parts])
        freedom.append(np.trace(g.T @ g) ** 2 / np.trace(g.T @ g @ g.T @ g))
    return np.sqrt(np.diag(variance)), np.array(freedom)


def test_errors_and_degrees_of_freedom_are_those_of_the_definition() -> None:
    found = errors_by_cluster(X, RESIDUALS, CLUSTERS)
    errors, freedom = by_definition(X, RESIDUALS, CLUSTERS)
    assert found.errors == pytest.approx(errors)
    assert found.freedom == pytest.approx(freedom)


def test_the_mean_of_values_one_by_one_has_the_textbook_s_error_and_freedom() -> None:
    """Each value its own cluster and a mean alone: s / sqrt(n) on n - 1 degrees."""
    found = errors_by_cluster(np.ones((40, 1)), Y - Y.mean(), np.arange(40))
    assert found.errors == pytest.approx([Y.std(ddof=1) / 40**0.5])
    assert found.freedom == pytest.approx([39])


def test_values_said_twice_in_a_cluster_are_not_counted_twice() -> None:
    twice = np.repeat(np.arange(40), 2)
    once = errors_by_cluster(X, RESIDUALS, np.arange(40))
    doubled = errors_by_cluster(X[twice], RESIDUALS[twice], twice)
    assert doubled.errors == pytest.approx(once.errors)
    assert doubled.freedom == pytest.approx(once.freedom)


def test_a_coefficient_that_rests_on_one_cluster_has_no_error() -> None:
    """The second column is 0 but in one cluster: nothing tells that cluster's own part from the coefficient."""
    x = np.column_stack([np.ones(40), np.where(CLUSTERS == 4, RNG.normal(size=40), 0.0)])
    residuals = Y - x @ np.linalg.lstsq(x, Y, rcond=None)[0]
    found = errors_by_cluster(x, residuals, CLUSTERS)
    assert np.isfinite(found.errors[0])
    assert np.isnan(found.errors[1])
    assert np.isnan(found.freedom[1])


def test_the_order_of_the_values_does_not_matter() -> None:
    order = RNG.permutation(40)
    found, other = (
        errors_by_cluster(X, RESIDUALS, CLUSTERS),
        errors_by_cluster(X[order], RESIDUALS[order], CLUSTERS[order]),
    )
    assert found.errors == pytest.approx(other.errors)
