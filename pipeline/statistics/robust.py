"""Values far from what a model says, counted as if they lay at a bound: a few wild ones must not decide."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from pipeline.statistics.mixed_groups import GroupFit, fit_groups

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

NORMAL_MAD = 0.6744897501960817
"""Median absolute deviation of a standard normal value."""
MOST_ROUNDS = 60
"""Rounds of clipping and fitting; each takes what is left to change down by the share of clipped values at least."""
SETTLED = 1e-9
"""Change of the fitted values, in standard deviations, at which the rounds end."""


@dataclass(frozen=True)
class Tamed:
    """A robust fit.

    `fit` is the least squares fit of the pseudo-values `y`; `scores` how many robust standard deviations each value
    lies above what the fit says of it; `scale` that standard deviation.
    """

    y: Floats
    fit: GroupFit
    scores: Floats
    scale: float


def _scale(residuals: Floats, freedom: int) -> float:
    """A standard deviation from the median absolute deviation, for the degrees of freedom that the fit left."""
    spread = float(np.median(np.abs(residuals - np.median(residuals)))) / NORMAL_MAD
    return spread * float(np.sqrt(len(residuals) / freedom))


def tame(y: Floats, x: Floats, groups: Ints, bound: float) -> Tamed:
    """Huber's estimate of y = X b + a[group] + e by pseudo-values (Huber 1981, Robust Statistics, 7.8).

    `y` n values, `x` n rows of terms that vary within groups, `groups` n whole numbers from 0; `bound` in standard
    deviations. Residuals are clipped at the bound and divided by the share that was not, so that least squares on the
    pseudo-values gives the estimate and its variance; where nothing lies beyond the bound it is least squares itself.
    """
    fit = fit_groups(y, x, groups)
    if fit.freedom < 1:
        return Tamed(y, fit, np.zeros(len(y)), 0.0)
    fitted = y - fit.residuals
    scale = _scale(fit.residuals, fit.freedom)
    for _ in range(MOST_ROUNDS):
        residuals = y - fitted
        scale = _scale(residuals, fit.freedom)
        if scale <= 0:
            break
        clipped = fitted + np.clip(residuals, -bound * scale, bound * scale)
        fit = fit_groups(clipped, x, groups)
        step = clipped - fit.residuals - fitted
        fitted = fitted + step
        if np.abs(step).max() < SETTLED * scale:
            break
    residuals = y - fitted
    if scale <= 0 or np.abs(residuals).max() <= bound * scale:
        return Tamed(y, fit_groups(y, x, groups), residuals / scale if scale > 0 else residuals * 0, scale)
    within = np.abs(residuals) < bound * scale
    pseudo = fitted + np.clip(residuals, -bound * scale, bound * scale) / within.mean()
    return Tamed(pseudo, fit_groups(pseudo, x, groups), residuals / scale, scale)
