"""Exact limits for counts, rates, ratios and shares, and ratios' limits widened for clusters."""

from __future__ import annotations

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


def widened_ratio_limits(observed: float, expected: float, spread: float, confidence: float = CONFIDENCE) -> Limits:
    """Limits of observed / expected where counts spread `spread` times as much as Poisson counts.

    The count is taken as one of observed / spread clusters (quasi-Poisson, McCullagh and Nelder 1989, 6.2.3); at a
    spread of 1 the limits are the exact ones.
    """
    if spread < 1:
        raise ValueError("a spread is 1 or more: less is not widened")
    return rate_limits(observed / spread, expected / spread, confidence)


def clopper_pearson_limits(count: int, total: int, confidence: float = CONFIDENCE) -> Limits:
    """Exact limits of a share (Clopper and Pearson 1934; Newcombe's method 5)."""
    tail = (1 - confidence) / 2
    low = float(special.betaincinv(count, total - count + 1, tail)) if count > 0 else 0.0
    high = float(special.betaincinv(count + 1, total - count, 1 - tail)) if count < total else 1.0
    return low, high
