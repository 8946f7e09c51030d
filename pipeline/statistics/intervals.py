"""Exact and close limits for counts, rates, ratios and shares."""

from __future__ import annotations

import math

from numpy.typing import ArrayLike
from scipy import special

CONFIDENCE = 0.95

Limits = tuple[float, float]


def poisson_limits(count: float, confidence: float = CONFIDENCE) -> Limits:
    """Exact two-sided limits of a Poisson mean from a count (Garwood 1936, Biometrika 28).

    The lower limit of a count of 0 is 0; both tails hold (1 - confidence) / 2.
    """
    if count < 0:
        raise ValueError("a count is 0 or more")
    tail = (1 - confidence) / 2
    low = float(special.gammaincinv(count, tail)) if count > 0 else 0.0
    return low, float(special.gammaincinv(count + 1, 1 - tail))


def rate_limits(count: float, exposure: float, confidence: float = CONFIDENCE) -> Limits:
    """Exact limits of a rate: count's limits over the exposure, in the exposure's unit."""
    if exposure <= 0:
        raise ValueError("an exposure is more than 0")
    low, high = poisson_limits(count, confidence)
    return low / exposure, high / exposure


def byar_limits(count: float, confidence: float = CONFIDENCE) -> Limits:
    """Byar's close limits of a Poisson mean (Breslow and Day 1987, vol. II, p. 69)."""
    z = float(special.ndtri(1 - (1 - confidence) / 2))
    high = (count + 1) * (1 - 1 / (9 * (count + 1)) + z / (3 * math.sqrt(count + 1))) ** 3
    if count == 0:
        return 0.0, high
    return count * (1 - 1 / (9 * count) - z / (3 * math.sqrt(count))) ** 3, high


def observed_over_expected(observed: float, expected: float, confidence: float = CONFIDENCE) -> tuple[float, Limits]:
    """Ratio of a count to what was expected, with exact limits."""
    return observed / expected, rate_limits(observed, expected, confidence)


def widened_ratio_limits(observed: float, expected: float, spread: float, confidence: float = CONFIDENCE) -> Limits:
    """Limits of observed / expected where counts spread `spread` times as much as Poisson counts.

    The count is taken as one of observed / spread clusters (quasi-Poisson, McCullagh and Nelder 1989, 6.2.3); at a
    spread of 1 the limits are the exact ones.
    """
    if spread < 1:
        raise ValueError("a spread is 1 or more: less is not widened")
    return rate_limits(observed / spread, expected / spread, confidence)


def wilson_limits(count: int, total: int, confidence: float = CONFIDENCE) -> Limits:
    """Wilson's score limits of a share (Newcombe 1998, Statistics in Medicine 17, method 3)."""
    z = float(special.ndtri(1 - (1 - confidence) / 2))
    share, spread = count / total, z * z / total
    centre = (share + spread / 2) / (1 + spread)
    half = z * math.sqrt(share * (1 - share) / total + spread / (4 * total)) / (1 + spread)
    return max(0.0, centre - half), min(1.0, centre + half)


def clopper_pearson_limits(count: int, total: int, confidence: float = CONFIDENCE) -> Limits:
    """Exact limits of a share (Clopper and Pearson 1934; Newcombe's method 5)."""
    tail = (1 - confidence) / 2
    low = float(special.betaincinv(count, total - count + 1, tail)) if count > 0 else 0.0
    high = float(special.betaincinv(count + 1, total - count, 1 - tail)) if count < total else 1.0
    return low, high


def dispersion(counts: ArrayLike, expected: ArrayLike, parameters: int) -> float:
    """Pearson's chi-square over its degrees of freedom: 1 for Poisson counts, more where they spread more."""
    import numpy as np

    seen, fitted = np.asarray(counts, dtype=float), np.asarray(expected, dtype=float)
    return float((((seen - fitted) ** 2) / fitted).sum() / (len(seen) - parameters))
