"""A linear mixed model with groups within groups (crews, and their seasons), by restricted maximum likelihood."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

START_RATIOS = (0.0, 0.05, 0.2, 0.7, 2.0, 6.0)
"""Ratios of standard deviations, groups over residuals, of the first look at the criterion."""
TOLERANCE = 1e-9
"""Width of the ratios, and of the criterion, at which the search ends."""
MOST_STEPS = 2_000
"""Steps of the search; it takes about a hundred."""


@dataclass(frozen=True)
class MixedFit:
    """A fitted model y = X b + u[outer] + v[outer, inner] + e: `coefficients` b and the variances of u, v and e."""

    coefficients: Floats
    outer_variance: float
    inner_variance: float
    residual_variance: float


@dataclass(frozen=True)
class _Sums:
    """All that the criterion reads: sums over values, and over each inner group."""

    rows: int
    xx: Floats
    xy: Floats
    yy: float
    sizes: Floats
    x: Floats
    y: Floats
    outer: Ints


def _sums(y: Floats, x: Floats, outer: Ints, cells: Ints) -> _Sums:
    count = int(cells.max()) + 1
    owner = np.zeros(count, dtype=np.int64)
    owner[cells] = outer
    cell_x = np.stack([np.bincount(cells, weights=column, minlength=count) for column in x.T], axis=1).astype(float)
    cell_y = np.bincount(cells, weights=y, minlength=count).astype(float)
    sizes = np.bincount(cells, minlength=count).astype(float)
    return _Sums(len(y), x.T @ x, x.T @ y, float(y @ y), sizes, cell_x, cell_y, owner)


def _solve(sums: _Sums, outer_ratio: float, inner_ratio: float) -> tuple[Floats, Floats, float, float]:
    """b, X'V^-1 X, the generalised residual sum of squares and log|V|, V = I + ratios of variances x the groups.

    V is inverted twice by the same rule: I - ratio / (1 + ratio n) 1 1' within an inner group, whose sums are then
    1 / (1 + ratio n) of what they were; and again within an outer group over those.
    """
    left = 1 / (1 + inner_ratio * sums.sizes)
    shrink = inner_ratio * left
    count = int(sums.outer.max()) + 1
    weight = np.bincount(sums.outer, weights=left * sums.sizes, minlength=count)
    outer_shrink = outer_ratio / (1 + outer_ratio * weight)
    outer_x = np.stack([np.bincount(sums.outer, weights=left * c, minlength=count) for c in sums.x.T], axis=1)
    outer_y = np.bincount(sums.outer, weights=left * sums.y, minlength=count)
    xvx = sums.xx - (sums.x * shrink[:, None]).T @ sums.x - (outer_x * outer_shrink[:, None]).T @ outer_x
    xvy = sums.xy - sums.x.T @ (shrink * sums.y) - outer_x.T @ (outer_shrink * outer_y)
    yvy = sums.yy - shrink @ sums.y**2 - outer_shrink @ outer_y**2
    b: Floats = np.linalg.solve(xvx, xvy).astype(np.float64)
    log_det = np.log1p(inner_ratio * sums.sizes).sum() + np.log1p(outer_ratio * weight).sum()
    return b, xvx, max(float(yvy - b @ xvy), np.finfo(float).tiny), float(log_det)


def fit_mixed(y: Floats, x: Floats, outer: Ints, cells: Ints) -> MixedFit:
    """Fit by REML with the residual variance profiled out (Harville 1977, JASA 72): two ratios are searched.

    `y` n values, `x` n rows of full column rank with fewer columns than rows; `outer` and `cells` n whole numbers from
    0, each cell within one outer group. With a cell an outer group, v is the model's only group and u has no variance.
    The search starts from the best of a grid and walks on the standard deviations, where no variance is no border.
    """
    from scipy.optimize import minimize

    sums = _sums(y, x, outer, cells)
    freedom = x.shape[0] - x.shape[1]
    one_level = len(sums.sizes) == int(outer.max()) + 1

    def criterion(ratios: Floats) -> float:
        u, v = ratios[:-1] if not one_level else np.zeros(1), ratios[-1]
        _, xvx, squares, log_det = _solve(sums, float(u[0]) ** 2, float(v) ** 2)
        return freedom * float(np.log(squares)) + log_det + float(np.linalg.slogdet(xvx)[1])

    grid = [[v] for v in START_RATIOS] if one_level else [[u, v] for u in START_RATIOS for v in START_RATIOS]
    start = min((np.array(point) for point in grid), key=criterion)
    found = minimize(criterion, start + 0.01, method="Nelder-Mead",
                     options={"xatol": TOLERANCE, "fatol": TOLERANCE, "maxiter": MOST_STEPS})  # fmt: skip
    best = np.abs(found.x)
    for place in range(len(best)):
        without = np.where(np.arange(len(best)) == place, 0.0, best)
        best = without if criterion(without) <= criterion(best) else best
    ratios = (0.0 if one_level else float(best[0]) ** 2, float(best[-1]) ** 2)
    b, _, squares, _ = _solve(sums, *ratios)
    variance = squares / freedom
    return MixedFit(b, ratios[0] * variance, ratios[1] * variance, variance)


def errors_beside_groups(x: Floats, groups: Ints, fit: MixedFit) -> Floats:
    """Standard errors of least squares' coefficients where values of a group share an effect, one a column of `x`.

    `fit` is the model's with `groups` as its only groups: their variance and the residuals' are those of X'X^-1 X' V X
    X'X^-1. `x` n rows of full column rank, `groups` n whole numbers from 0.
    """
    weights = np.linalg.solve(x.T @ x, x.T)
    shared = np.array([np.bincount(groups, row) for row in weights])
    variance = fit.residual_variance * (weights**2).sum(axis=1) + fit.inner_variance * (shared**2).sum(axis=1)
    return np.asarray(np.sqrt(variance))
