"""Groups' effects drawn toward each other by as much as the data say that they are alike."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import product

import numpy as np
from numpy.typing import NDArray

from pipeline.statistics.mixed_groups import GroupFit

Floats = NDArray[np.float64]

LARGEST_SD_RATIO = 3.0
"""Ratios of standard deviations, groups over residuals, that are looked at: groups that differ three times as much as
single values need no pooling."""
STEPS = 120
"""Points on which that ratio is laid out."""
NESTED_STEPS = 28
"""The same for each of two ratios."""


USUAL_SD_RATIO = 1.0
"""Where both are drawn, the scale of their half-Cauchy priors: with three groups over three seasons the data alone
leave room for ratios that nobody has seen."""


@dataclass(frozen=True)
class _Given:
    """The effects' distribution once the ratios of variances are given, the residual variance apart."""

    log_weight: float
    squares: float
    middle: Floats
    spread: Floats


def _given(fit: GroupFit, means: Floats, members: Floats, outer: float, inner: float) -> _Given:
    count, columns = means.shape
    unit = fit.covariance / fit.residual_variance
    total = unit + inner**2 * np.eye(count) + outer**2 * members @ members.T
    root = np.linalg.cholesky(total)
    white_means = np.linalg.solve(root, means)
    white = np.linalg.solve(root, np.column_stack([fit.effects, outer**2 * members]))
    gram = white_means.T @ white_means
    # What the branch's mean takes out, of the effects and of what they say of each group.
    level = np.linalg.solve(gram, white_means.T @ white)
    left = white - white_means @ level
    squares = float(left[:, 0] @ left[:, 0])
    freedom = fit.freedom + count - columns
    log_det = 2 * np.log(np.diag(root)).sum() + np.linalg.slogdet(gram)[1]
    log_weight = -0.5 * (log_det + freedom * np.log(fit.freedom * fit.residual_variance + squares))
    middle = left[:, 1:].T @ left[:, 0]
    spread = outer**2 * np.eye(members.shape[1]) - left[:, 1:].T @ left[:, 1:]
    return _Given(float(log_weight), squares, middle, spread)


def pooled_draws(fit: GroupFit, means: Floats, members: Floats, nested: bool, draws: int, seed: int) -> Floats:
    """Draws of the outer groups' effects around their means, a row a draw, with every variance uncertain.

    `fit` has an effect a cell, `means` a row a cell with the columns that hold the cells' means (a branch, a season),
    `members` a row a cell and a column an outer group (1 where the cell is that group's). Where `nested`, a group's
    cells differ among themselves too.

    A parametric bootstrap at one estimate of the variances would make few groups alike for certain as often as that
    estimate is 0. So the ratios of standard deviations are drawn too, from their restricted likelihood with a flat
    prior (Gelman 2006, Bayesian Analysis 1), and given them all the rest is drawn exactly.
    """
    rng = np.random.default_rng(seed)
    steps = LARGEST_SD_RATIO * (np.arange(NESTED_STEPS if nested else STEPS) + 0.5)
    steps = steps / (NESTED_STEPS if nested else STEPS)
    places = list(product(steps, steps if nested else (0.0,)))
    points = [_given(fit, means, members, *at) for at in places]
    weights = np.array([point.log_weight for point in points])
    if nested:
        weights = weights - np.log1p((np.array(places) / USUAL_SD_RATIO) ** 2).sum(axis=1)
    chances = np.exp(weights - weights.max())
    numbers = rng.multinomial(draws, chances / chances.sum())
    freedom = fit.freedom + means.shape[0] - means.shape[1]
    parts = []
    for point, number in zip(points, numbers, strict=True):
        if number == 0:
            continue
        scale = fit.freedom * fit.residual_variance + point.squares
        deviation = np.sqrt(scale / rng.chisquare(freedom, number))[:, None]
        values, vectors = np.linalg.eigh(point.spread)
        root = vectors * np.sqrt(np.clip(values, 0, None))
        normal = rng.standard_normal((number, members.shape[1])) @ root.T
        parts.append(point.middle + deviation * normal)
    return np.concatenate(parts)
