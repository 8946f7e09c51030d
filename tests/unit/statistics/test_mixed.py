"""The mixed model's search, and what it does not know."""

from __future__ import annotations

import numpy as np
import pytest

from pipeline.statistics.mixed import draw_effects, fit_random_intercept, golden_minimum

GROUPS = np.repeat(np.arange(3), 10)


def values(effects: list[float], seed: int = 5) -> np.ndarray:
    noise = np.random.default_rng(seed).normal(0, 0.2, (3, 10))
    noise -= noise.mean(axis=1, keepdims=True)
    return (np.array(effects)[:, None] + noise).ravel()


def test_the_search_finds_the_bottom_of_a_dip() -> None:
    assert golden_minimum(lambda x: (x - 1.25) ** 2, -3, 4) == pytest.approx(1.25, abs=1e-7)


def test_coefficients_are_least_squares_where_groups_do_not_differ() -> None:
    """Without variance between groups the model is ordinary regression."""
    x = np.column_stack([np.ones(30), np.tile(np.arange(10.0), 3)])
    y = x @ np.array([2.0, 0.5]) + values([0, 0, 0])
    fit = fit_random_intercept(y, x, GROUPS)
    assert fit.group_variance == 0
    assert fit.coefficients == pytest.approx(np.linalg.lstsq(x, y, rcond=None)[0])


def test_an_estimate_of_no_variance_does_not_make_the_groups_alike_for_certain() -> None:
    y = values([0, 0, 0])
    assert fit_random_intercept(y, np.ones((30, 1)), GROUPS).group_variance == 0
    draws = draw_effects(y, np.ones((30, 1)), GROUPS, 2_000, seed=1)
    assert draws.std(axis=0).min() > 0.02


def test_groups_far_apart_are_hardly_pooled() -> None:
    """Means of 10 with noise .2 differ with a deviation of .2 x sqrt(2 / 10) = .09; groups .8 apart are pulled less
    than half of that."""
    draws = draw_effects(values([-0.4, 0, 0.4]), np.ones((30, 1)), GROUPS, 4_000, seed=1)
    contrast = draws[:, 2] - draws[:, 0]
    assert 0.8 - 0.045 < contrast.mean() < 0.8
    assert contrast.std() == pytest.approx(0.09, abs=0.015)


def test_the_same_seed_gives_the_same_draws() -> None:
    x, y = np.ones((30, 1)), values([-1, 0, 1])
    assert (draw_effects(y, x, GROUPS, 50, seed=7) == draw_effects(y, x, GROUPS, 50, seed=7)).all()
