"""A linear mixed model with one random intercept, by restricted maximum likelihood."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy import optimize

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

LARGEST_LOG_RATIO = 12.0
"""Variance ratios from e^-12 to e^12 are searched: beyond, a variance is nothing beside the other."""


@dataclass(frozen=True)
class MixedFit:
    """A fitted model y = X b + u[group] + e.

    `coefficients` b; `group_variance` of u and `residual_variance` of e; `effects` the best linear unbiased
    predictions of u, one a group; `effect_variances` their prediction variances; `fitted` is X b.
    """

    coefficients: Floats
    covariance: Floats
    group_variance: float
    residual_variance: float
    effects: Floats
    effect_variances: Floats
    fitted: Floats


@dataclass(frozen=True)
class _Sums:
    x: Floats
    y: Floats
    groups: Ints
    sizes: Floats
    group_x: Floats
    group_y: Floats


def _solve(sums: _Sums, ratio: float) -> tuple[Floats, Floats, float, float]:
    """b, X'V^-1 X, the generalised residual sum of squares and log|V| for a variance ratio u / e.

    V = I + ratio Z Z' has the inverse I - ratio / (1 + ratio n) 1 1' within a group of n, so sums by group suffice.
    """
    shrink = ratio / (1 + ratio * sums.sizes)
    xvx = sums.x.T @ sums.x - (sums.group_x * shrink[:, None]).T @ sums.group_x
    xvy = sums.x.T @ sums.y - sums.group_x.T @ (shrink * sums.group_y)
    yvy = sums.y @ sums.y - shrink @ (sums.group_y**2)
    coefficients: Floats = np.linalg.solve(xvx, xvy).astype(np.float64)
    return coefficients, xvx, float(yvy - coefficients @ xvy), float(np.log1p(ratio * sums.sizes).sum())


def _criterion(log_ratio: float, sums: _Sums) -> float:
    rows, columns = sums.x.shape
    _, xvx, squares, log_det = _solve(sums, float(np.exp(log_ratio)))
    return (rows - columns) * np.log(squares) + log_det + float(np.linalg.slogdet(xvx)[1])


def fit_random_intercept(y: Floats, x: Floats, groups: Ints) -> MixedFit:
    """Fit by REML with the residual variance profiled out (Harville 1977, JASA 72).

    `y` has n values, `x` n rows and full column rank, `groups` n whole numbers from 0. Where the criterion is best
    at no variance between groups, that variance is 0.
    """
    count = int(groups.max()) + 1
    sizes = np.bincount(groups, minlength=count).astype(float)
    group_x = np.zeros((count, x.shape[1]))
    np.add.at(group_x, groups, x)
    sums = _Sums(x, y, groups, sizes, group_x, np.bincount(groups, weights=y, minlength=count).astype(float))
    best = optimize.minimize_scalar(
        _criterion, bounds=(-LARGEST_LOG_RATIO, LARGEST_LOG_RATIO), args=(sums,), method="bounded",
        options={"xatol": 1e-10},
    )  # fmt: skip
    ratio = float(np.exp(best.x))
    rows, columns = x.shape
    flat = (rows - columns) * np.log(_solve(sums, 0.0)[2]) + float(np.linalg.slogdet(_solve(sums, 0.0)[1])[1])
    if flat <= best.fun:
        ratio = 0.0
    coefficients, xvx, squares, _ = _solve(sums, ratio)
    residual_variance = squares / (rows - columns)
    fitted = x @ coefficients
    shrink = ratio / (1 + ratio * sizes)
    effects = shrink * np.bincount(groups, weights=y - fitted, minlength=count)
    covariance = residual_variance * np.linalg.inv(xvx)
    group_variance = ratio * residual_variance
    own = group_variance * (1 - shrink * sizes)
    through = np.einsum("gi,ij,gj->g", group_x * shrink[:, None], covariance, group_x * shrink[:, None])
    return MixedFit(coefficients, covariance, group_variance, residual_variance, effects, own + through, fitted)
