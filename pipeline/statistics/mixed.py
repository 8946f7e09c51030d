"""A linear mixed model with one random intercept, by restricted maximum likelihood."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

LARGEST_LOG_RATIO = 12.0
"""Variance ratios from e^-12 to e^12 are searched: beyond, a variance is nothing beside the other."""
COARSE_STEPS = 49
"""Points of the first look at the criterion, which may have more than one dip; the best is then refined."""
TOLERANCE = 1e-10
"""Width of the log variance ratio at which the search ends."""
LARGEST_SD_RATIO = 3.0
"""Ratios of standard deviations, groups over residuals, that a posterior allows: groups that differ three times as
much as single values need no pooling."""
POSTERIOR_STEPS = 120
"""Points on which the posterior of that ratio is laid out."""


@dataclass(frozen=True)
class MixedFit:
    """A fitted model y = X b + u[group] + e.

    `coefficients` b; `group_variance` of u and `residual_variance` of e; `effects` the best linear unbiased
    predictions of u, one a group; `fitted` is X b.
    """

    coefficients: Floats
    group_variance: float
    residual_variance: float
    effects: Floats
    fitted: Floats


@dataclass(frozen=True)
class _Sums:
    x: Floats
    y: Floats
    sizes: Floats
    group_x: Floats
    group_y: Floats


def _sums(y: Floats, x: Floats, groups: Ints) -> _Sums:
    count = int(groups.max()) + 1
    sizes = np.bincount(groups, minlength=count).astype(float)
    group_x = np.zeros((count, x.shape[1]))
    np.add.at(group_x, groups, x)
    return _Sums(x, y, sizes, group_x, np.bincount(groups, weights=y, minlength=count).astype(float))


def _solve(sums: _Sums, ratio: float) -> tuple[Floats, Floats, float, float]:
    """b, X'V^-1 X, the generalised residual sum of squares and log|V| for a variance ratio u / e.

    V = I + ratio Z Z' has the inverse I - ratio / (1 + ratio n) 1 1' within a group of n, so sums by group suffice.
    """
    shrink = ratio / (1 + ratio * sums.sizes)
    xvx = sums.x.T @ sums.x - (sums.group_x * shrink[:, None]).T @ sums.group_x
    xvy = sums.x.T @ sums.y - sums.group_x.T @ (shrink * sums.group_y)
    yvy = sums.y @ sums.y - shrink @ (sums.group_y**2)
    coefficients: Floats = np.linalg.solve(xvx, xvy).astype(np.float64)
    squares = max(float(yvy - coefficients @ xvy), np.finfo(float).tiny)
    return coefficients, xvx, squares, float(np.log1p(ratio * sums.sizes).sum())


def _criterion(ratio: float, sums: _Sums) -> float:
    """-2 x the restricted log likelihood at a variance ratio, but for a constant."""
    rows, columns = sums.x.shape
    _, xvx, squares, log_det = _solve(sums, ratio)
    return (rows - columns) * float(np.log(squares)) + log_det + float(np.linalg.slogdet(xvx)[1])


def golden_minimum(function: Callable[[float], float], low: float, high: float) -> float:
    """Where a function with one dip between `low` and `high` is least (golden section)."""
    golden = (5**0.5 - 1) / 2
    left, right = high - golden * (high - low), low + golden * (high - low)
    at_left, at_right = function(left), function(right)
    while high - low > TOLERANCE:
        if at_left <= at_right:
            high, right, at_right = right, left, at_left
            left = high - golden * (high - low)
            at_left = function(left)
        else:
            low, left, at_left = left, right, at_right
            right = low + golden * (high - low)
            at_right = function(right)
    return (low + high) / 2


def _best_ratio(sums: _Sums) -> float:
    def at(log_ratio: float) -> float:
        return _criterion(float(np.exp(log_ratio)), sums)

    grid = np.linspace(-LARGEST_LOG_RATIO, LARGEST_LOG_RATIO, COARSE_STEPS)
    best = int(np.argmin([at(float(step)) for step in grid]))
    found = golden_minimum(at, float(grid[max(best - 1, 0)]), float(grid[min(best + 1, COARSE_STEPS - 1)]))
    return 0.0 if _criterion(0.0, sums) <= at(found) else float(np.exp(found))


def fit_random_intercept(y: Floats, x: Floats, groups: Ints) -> MixedFit:
    """Fit by REML with the residual variance profiled out (Harville 1977, JASA 72).

    `y` has n values, `x` n rows and full column rank with fewer columns than rows, `groups` n whole numbers from 0.
    Where the criterion is best at no variance between groups, that variance is 0.
    """
    sums = _sums(y, x, groups)
    ratio = _best_ratio(sums)
    coefficients, _, squares, _ = _solve(sums, ratio)
    residual_variance = squares / (x.shape[0] - x.shape[1])
    fitted = x @ coefficients
    shrink = ratio / (1 + ratio * sums.sizes)
    effects = shrink * np.bincount(groups, weights=y - fitted, minlength=len(sums.sizes))
    return MixedFit(coefficients, ratio * residual_variance, residual_variance, effects, fitted)


def draw_effects(y: Floats, x: Floats, groups: Ints, draws: int, seed: int) -> Floats:
    """Posterior draws of the groups' effects, a row a draw, with every variance uncertain.

    The ratio of standard deviations has a flat prior (Gelman 2006, Bayesian Analysis 1: with few groups the estimate
    of their variance is often 0, which would make them all alike for certain), coefficients and log residual variance
    too. Given the ratio all the rest is drawn exactly.
    """
    sums = _sums(y, x, groups)
    rng = np.random.default_rng(seed)
    freedom = x.shape[0] - x.shape[1]
    steps = LARGEST_SD_RATIO * (np.arange(POSTERIOR_STEPS) + 0.5) / POSTERIOR_STEPS
    criteria = np.array([_criterion(float(step) ** 2, sums) for step in steps])
    weights = np.exp(-(criteria - criteria.min()) / 2)
    numbers = rng.multinomial(draws, weights / weights.sum())
    parts = []
    for step, number in zip(steps[numbers > 0], numbers[numbers > 0], strict=True):
        ratio = float(step) ** 2
        coefficients, xvx, squares, _ = _solve(sums, ratio)
        variance = squares / rng.chisquare(freedom, number)
        root = np.linalg.cholesky(np.linalg.inv(xvx))
        b = coefficients + np.sqrt(variance)[:, None] * (rng.standard_normal((number, x.shape[1])) @ root.T)
        shrink = ratio / (1 + ratio * sums.sizes)
        middle = shrink * (sums.group_y - b @ sums.group_x.T)
        spread = np.sqrt(variance[:, None] * ratio * (1 - shrink * sums.sizes))
        parts.append(middle + spread * rng.standard_normal(middle.shape))
    return np.concatenate(parts)
