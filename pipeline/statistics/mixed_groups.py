"""Groups compared by least squares with an effect a group, and limits that hold for many comparisons at once."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from pipeline.statistics.clusters import ClusteredErrors, errors_by_cluster

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

DRAWS_AT_ONCE = 500
"""Draws of all comparisons held in memory together."""


@dataclass(frozen=True)
class GroupFit:
    """A fitted model y = X b + a[group] + e.

    `effects` a, each at the mean of X over all values, with their `covariance`; `coefficients` b with theirs;
    `residual_variance` of e on `freedom` degrees of freedom; `leverages` of the values. Variances are NaN where no
    degree of freedom is left.
    """

    effects: Floats
    covariance: Floats
    coefficients: Floats
    coefficient_covariance: Floats
    residual_variance: float
    freedom: int
    residuals: Floats
    leverages: Floats
    from_effects: Floats
    """X'X within groups, inverted, times the groups' means of X: what ties effects to coefficients."""


def group_means(values: Floats, groups: Ints, count: int) -> Floats:
    """Means a group of a column or of the columns of a matrix."""
    sizes = np.bincount(groups, minlength=count).astype(float)
    if values.ndim == 1:
        return np.asarray(np.bincount(groups, weights=values, minlength=count) / sizes)
    sums = [np.bincount(groups, weights=column, minlength=count) for column in values.T]
    return np.asarray(np.array(sums).reshape(values.shape[1], count).T / sizes[:, None])


def fit_groups(y: Floats, x: Floats, groups: Ints) -> GroupFit:
    """Least squares with an effect a group (the within estimator), so that crews need not be like their houses.

    `y` n values, `x` n rows of terms of full rank within groups (none is allowed), `groups` n whole numbers from 0.
    """
    count = int(groups.max()) + 1
    sizes = np.bincount(groups, minlength=count).astype(float)
    x = x - x.mean(axis=0)
    mean_x, mean_y = group_means(x, groups, count), group_means(y, groups, count)
    inner, target = x - mean_x[groups], y - mean_y[groups]
    inverse = np.linalg.inv(inner.T @ inner)
    b = inverse @ (inner.T @ target)
    residuals = target - inner @ b
    freedom = len(y) - count - x.shape[1]
    variance = float(residuals @ residuals) / freedom if freedom > 0 else float("nan")
    tie = inverse @ mean_x.T
    return GroupFit(
        effects=mean_y - mean_x @ b,
        covariance=variance * (np.diag(1 / sizes) + mean_x @ tie),
        coefficients=b,
        coefficient_covariance=np.asarray(variance * inverse),
        residual_variance=variance,
        freedom=freedom,
        residuals=residuals,
        leverages=1 / sizes[groups] + np.einsum("ij,jk,ik->i", inner, inverse, inner),
        from_effects=tie,
    )


def effects_without(fit: GroupFit, x: Floats, groups: Ints) -> Floats:
    """By how much each value moves each group's effect: effects less those without it, a row a value.

    Exact, by the rank-one update of least squares (Cook and Weisberg 1982, 3.4). A value alone in its group, which has
    the leverage 1, is NaN.
    """
    count = len(fit.effects)
    x = x - x.mean(axis=0)
    mean_x = group_means(x, groups, count)
    inner = x - mean_x[groups]
    sizes = np.bincount(groups, minlength=count).astype(float)
    # d effect / d y: its own group's mean, less what the coefficients carry over.
    weights = -inner @ fit.from_effects
    weights[np.arange(len(groups)), groups] += 1 / sizes[groups]
    room = np.where(fit.leverages < 1 - 1e-9, 1 - fit.leverages, np.nan)
    return np.asarray(weights * (fit.residuals / room)[:, None])


def fit_errors_by_cluster(fit: GroupFit, x: Floats, groups: Ints, clusters: Ints) -> ClusteredErrors:
    """Errors of the coefficients of `fit` by clusters of values; `x` and `groups` as they went into the fit."""
    columns = np.column_stack([x - x.mean(axis=0), np.eye(len(fit.effects))[groups]])
    found = errors_by_cluster(columns, fit.residuals, clusters)
    return ClusteredErrors(found.errors[: x.shape[1]], found.freedom[: x.shape[1]])


def largest_t(covariance: Floats, contrasts: Floats, freedom: int, draws: int, seed: int) -> Floats:
    """Draws of the largest |t| over contrasts of which all are truly 0, sorted: a parametric bootstrap of max-t.

    `covariance` of g effects, `contrasts` m rows of g weights. The share of draws at or above a |t| is its chance over
    all contrasts together (Westfall and Young 1993; single-step), and a quantile the factor of limits for all at once.
    """
    rng = np.random.default_rng(seed)
    spread = contrasts @ _root(covariance)
    unit = spread / np.sqrt((spread**2).sum(axis=1, keepdims=True))
    largest = []
    for start in range(0, draws, DRAWS_AT_ONCE):
        number = min(DRAWS_AT_ONCE, draws - start)
        z = rng.standard_normal((number, unit.shape[1])) @ unit.T
        largest.append(np.abs(z).max(axis=1) / np.sqrt(rng.chisquare(freedom, number) / freedom))
    return np.sort(np.concatenate(largest))


def _root(covariance: Floats) -> Floats:
    """A matrix R with R R' = covariance, also where that is not of full rank."""
    values, vectors = np.linalg.eigh(covariance)
    return np.asarray(vectors * np.sqrt(np.clip(values, 0, None)))
