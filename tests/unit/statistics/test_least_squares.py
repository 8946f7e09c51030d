"""Coefficients that may not be negative, and their bootstrap, against scipy's other solver and plain loops."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.optimize import lsq_linear

from pipeline.statistics import least_squares
from pipeline.statistics.least_squares import bootstrap_moments, condition_number, moments, widened


def made(seed: int, rows: int = 90, columns: int = 7) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """Feet on some surfaces with a start of 1, two outcomes, weights of 1 / feet; some coefficients are below 0."""
    rng = np.random.default_rng(seed)
    feet = rng.gamma(2, 40, (rows, columns - 1)) * (rng.random((rows, columns - 1)) < 0.6)
    x = np.column_stack([np.ones(rows), feet])
    truth = rng.normal(1.0, 2.0, (columns, 2))
    y = x @ truth + rng.normal(0, 30, (rows, 2))
    return x, y, 1 / (1 + feet.sum(axis=1))


@pytest.mark.parametrize("seed", range(25))
@pytest.mark.parametrize("free", [(), (2, 5)])
def test_two_of_scipy_s_solvers_agree(seed: int, free: tuple[int, ...]) -> None:
    x, y, weights = made(seed)
    found = moments(x, y, weights).solved(free)[0]
    lowest = np.zeros(x.shape[1])
    lowest[list(free)] = -np.inf
    root = np.sqrt(weights)
    for outcome in (0, 1):
        other = lsq_linear(x * root[:, None], y[:, outcome] * root, (lowest, np.inf), method="bvls", tol=1e-14)
        assert found[:, outcome] == pytest.approx(other.x, rel=1e-6, abs=1e-6)


def test_where_none_would_be_negative_it_is_ordinary_least_squares() -> None:
    x, _, weights = made(3)
    y = x @ np.array([200.0, 1, 2, 3, 4, 5, 6])[:, None] + np.sin(np.arange(90.0))[:, None]
    ordinary = least_squares.least_squares(x, y[:, 0], weights)
    assert moments(x, y, weights).solved()[0, :, 0] == pytest.approx(ordinary.coefficients, rel=1e-9)


def test_weighted_errors_are_those_of_the_normal_equations() -> None:
    """s2 = sum w r2 / (n - p); the coefficients' covariance is s2 (x'wx)^-1 (Draper and Smith 1998, 9.2)."""
    x, y, weights = made(4, rows=30, columns=3)
    found = least_squares.least_squares(x, y[:, 0], weights)
    inverse = np.linalg.inv(x.T @ (x * weights[:, None]))
    left = y[:, 0] - x @ (inverse @ x.T @ (weights * y[:, 0]))
    variance = float(weights @ left**2) / (30 - 3)
    assert found.residual_sd == pytest.approx(np.sqrt(variance))
    assert found.standard_errors == pytest.approx(np.sqrt(variance * np.diag(inverse)))


def test_each_sample_is_the_fit_of_the_rows_that_were_drawn(monkeypatch: pytest.MonkeyPatch) -> None:
    """Drawn all at once or a few at a time, and fitted as if each drawn row were written as often as it was drawn."""
    x, y, weights = made(11, rows=40, columns=4)
    drawn = bootstrap_moments(x, y, weights, 12, seed=5)
    monkeypatch.setattr(least_squares, "MOST_COUNTS", 100)
    assert np.array_equal(bootstrap_moments(x, y, weights, 12, seed=5).gram, drawn.gram)
    rng = np.random.default_rng(5)
    picks = rng.integers(0, 40, (12, 40))
    for sample, rows in zip(drawn.solved(outcomes=1), picks, strict=True):
        alone = moments(x[rows], y[rows], weights[rows]).solved()[0]
        assert sample[:, 0] == pytest.approx(alone[:, 0], rel=1e-8, abs=1e-8)


def test_a_column_that_no_row_has_gets_nothing() -> None:
    x, y, weights = made(2)
    x[:, 3] = 0
    assert moments(x, y, weights).solved()[0, 3].tolist() == [0, 0]


def test_the_condition_number_tells_columns_that_depend_on_each_other() -> None:
    """Two unit columns with cosine c have singular values of sqrt(1 + c) and sqrt(1 - c): here c = .6, a ratio of 2."""
    x = np.array([[1.0, 0.6], [0.0, 0.8]])
    assert condition_number(x) == pytest.approx(2.0)
    assert condition_number(x * [1000, 0.01]) == pytest.approx(2.0)
    assert condition_number(np.array([[1.0, 2.0], [2.0, 4.0], [3.0, 6.0]])) > 1e12


def test_draws_are_widened_for_what_few_rows_hide() -> None:
    """12 rows and 2 columns leave 10: sqrt(12 / 10) x 2.228139 / 1.959964 (tables) = 1.245331."""
    found, draws = np.array([5.0, 1.0]), np.array([[6.0, 1.0], [3.0, 0.0]])
    assert widened(found, draws, 12) == pytest.approx(np.array([[6.245331, 1.0], [2.509338, -0.245331]]), abs=2e-6)
