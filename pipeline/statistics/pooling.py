"""Partial pooling of rates: few counts borrow from the others."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy import special

Floats = NDArray[np.float64]

SHRINKAGES = 36
LOGITS = (-7.0, 9.0)
"""Logits of the shrinkage over which it is weighed: from a thousandth to all but a ten-thousandth."""
MIDDLE_SHAPE = 2.0
"""Shape of the gamma about which the prior of rates is centred: rates that spread by .7 of their mean."""
MIDDLE_RATIO_SHAPE = 12.0
"""The same for parts of one firm's work, the kinds taken out: ratios that spread by .3."""
MEANS = 41
MEAN_REACH = 5.0
"""Standard errors on either side of the common rate over which the rates' mean is weighed."""
WIDEST_SPREAD = 2.0
"""Most that the log of the mean is taken to be unsure by: groups of which each may differ sevenfold from the rest."""
LEAST_WEIGHT = 1e-6
"""Share of the weight below which a distribution adds nothing that would be printed."""
STEPS = 60
NEAR = 1.25
"""Factor by which a limit is looked for on either side of a gamma's with the same mean and variance."""
CLOSE = 1e-6
"""Share of a limit within which it is found."""
_TAIL = 0.025


@dataclass(frozen=True)
class PooledRates:
    """Groups' rates drawn toward their common one, with 95 % limits; in the unit of count / exposure."""

    rate: Floats
    low: Floats
    high: Floats


@dataclass(frozen=True)
class _Grid:
    """Gamma distributions that the rates may come from, with their posterior weights."""

    weight: Floats
    shape: Floats
    per: Floats


def _grid(counts: Floats, exposures: Floats, middle_shape: float = MIDDLE_SHAPE) -> _Grid:
    if len(counts) < 2 or not counts.sum() > 0 or not (exposures > 0).all():
        raise ValueError("pooling takes two groups, exposures over 0 and one event")
    mean = counts.sum() / exposures.sum()
    logit = np.linspace(*LOGITS, SHRINKAGES)
    shape = middle_shape * np.exp(logit)[:, None]
    # Groups that differ much leave their mean unsure, whatever the counts; the reach allows for it.
    spread = np.minimum(np.sqrt(1 / counts.sum() + 1 / (shape * len(counts))), WIDEST_SPREAD)
    per = shape / (mean * np.exp(spread * np.linspace(-MEAN_REACH, MEAN_REACH, MEANS)[None, :]))
    # Even steps of the logit weigh the prior by the slope of the shrinkage.
    slope = special.log_expit(logit) / 2 + special.log_expit(-logit)
    log_weight = slope[:, None] + np.log(spread) * np.ones((1, MEANS))
    for count, exposure in zip(counts, exposures, strict=True):
        log_weight = log_weight + (
            special.gammaln(count + shape) - special.gammaln(shape)
            + shape * (np.log(per) - np.log(per + exposure)) - count * np.log(per + exposure)
        )  # fmt: skip
    weight = np.exp(log_weight - log_weight.max()).ravel()
    kept = weight > LEAST_WEIGHT * weight.sum()
    weight = weight[kept] / weight[kept].sum()
    return _Grid(weight, (shape * np.ones((1, MEANS))).ravel()[kept], per.ravel()[kept])


def pooled_means(counts: Floats, exposures: Floats) -> Floats:
    """The rates of `pool_rates` without their limits."""
    grid = _grid(counts, exposures)
    return np.array([grid.weight @ ((grid.shape + c) / (grid.per + e)) for c, e in zip(counts, exposures, strict=True)])


def pool_rates(counts: Floats, exposures: Floats) -> PooledRates:
    """Posterior means and limits of groups' rates that come from one gamma distribution.

    The hierarchical Poisson model of Christiansen and Morris (1997, JASA 92): rates are gamma with mean m and shape s,
    flat on log m, and the shrinkage B = s / (s + MIDDLE_SHAPE) has the density 1 / sqrt(B), which leans less to pooling
    than their uniform one: with five kinds that differ fourfold the limits of theirs held the truth 91 times in 100.
    Both are weighed over a grid, so that the limits hold what is not known of the distribution too. Two groups or more,
    each with an exposure over 0, and one event at least; else ValueError. Counts need not be whole.
    """
    grid = _grid(counts, exposures)
    found = [_limits(grid.weight, grid.shape + c, grid.per + e) for c, e in zip(counts, exposures, strict=True)]
    low, high = (np.array(column) for column in zip(*found, strict=True))
    return PooledRates(pooled_means(counts, exposures), low, high)


def pool_parts(counts: Floats, expected: Floats, *, draws: int, seed: int) -> PooledRates:
    """Posterior means and limits of the parts' ratios of counts to what is expected, over the ratio of all together.

    The model of `pool_rates` about MIDDLE_RATIO_SHAPE. Parts whose expected counts were reckoned from the same counts
    have the whole's ratio for certain, so each draw of the parts' ratios is divided by its mean weighted by `expected`.
    """
    grid = _grid(counts, expected, MIDDLE_RATIO_SHAPE)
    rng = np.random.default_rng(seed)
    place = rng.choice(len(grid.weight), draws, p=grid.weight)
    drawn = rng.gamma(grid.shape[place, None] + counts) / (grid.per[place, None] + expected)
    ratios = drawn / (drawn @ (expected / expected.sum()))[:, None]
    low, high = np.quantile(ratios, [_TAIL, 1 - _TAIL], axis=0)
    return PooledRates(ratios.mean(axis=0), low, high)


def _limits(weight: Floats, shape: Floats, per: Floats) -> tuple[float, float]:
    """95 % limits of a mixture of gamma distributions."""
    return _quantile(weight, shape, per, _TAIL), _quantile(weight, shape, per, 1 - _TAIL)


def _quantile(weight: Floats, shape: Floats, per: Floats, chance: float) -> float:
    """Where a mixture's distribution reaches a chance: regula falsi (Illinois) about that of a gamma like it."""

    def above(rate: float) -> float:
        return float(weight @ special.gammainc(shape, per * rate)) - chance

    mean = float(weight @ (shape / per))
    variance = float(weight @ (shape * (shape + 1) / per**2)) - mean * mean
    near = float(special.gammaincinv(mean * mean / variance, chance)) * variance / mean
    low, high = near / NEAR, near * NEAR
    at_low, at_high = above(low), above(high)
    while at_low > 0:
        low, at_low = low / NEAR, above(low / NEAR)
    while at_high < 0:
        high, at_high = high * NEAR, above(high * NEAR)
    for _ in range(STEPS):
        if high - low <= CLOSE * high or at_high == at_low:
            break
        middle = high - at_high * (high - low) / (at_high - at_low)
        found = above(middle)
        if found == 0:
            return middle
        if (found > 0) == (at_high > 0):
            high, at_high, at_low = middle, found, at_low / 2
        else:
            low, at_low, at_high = middle, found, at_high / 2
    return (low + high) / 2
