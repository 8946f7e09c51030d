"""Partial pooling of rates: few counts borrow from the others."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy import special

Floats = NDArray[np.float64]


@dataclass(frozen=True)
class GammaPrior:
    """A gamma distribution of rates: mean = shape / rate."""

    shape: float
    rate: float


def gamma_prior(counts: Floats, exposures: Floats) -> GammaPrior:
    """The gamma distribution of groups' rates by moments (Clayton and Kaldor 1987, Biometrics 43).

    Where the groups' rates spread no more than Poisson counts do, the prior is tight about the common rate.
    """
    total, exposure = counts.sum(), exposures.sum()
    mean = total / exposure
    rates = counts / exposures
    within = mean * len(counts) / exposure
    between = float((exposures * (rates - mean) ** 2).sum() / exposure - within)
    if between <= 0 or mean <= 0:
        tight = 1e6
        return GammaPrior(tight * max(mean, 1e-12), tight)
    return GammaPrior(mean * mean / between, mean / between)


def pooled_rate(count: float, exposure: float, prior: GammaPrior) -> tuple[float, float, float]:
    """Posterior mean of a group's rate, and its 95 % limits."""
    shape, rate = prior.shape + count, prior.rate + exposure
    low, high = special.gammaincinv(shape, [0.025, 0.975]) / rate
    return shape / rate, float(low), float(high)
