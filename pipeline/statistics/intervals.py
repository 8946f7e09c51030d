"""Limits for counts, rates, ratios and shares: exact, mid-P, and widened for clusters."""

from __future__ import annotations

from collections.abc import Callable

from scipy import special

CONFIDENCE = 0.95
HALVINGS = 50
"""Halvings of the range from 0 to 1 in which a limit without a formula is looked for."""

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


def mid_p_share_limits(count: float, total: float, confidence: float = CONFIDENCE) -> Limits:
    """Limits of a share by mid-P tails: half of the chance of the count itself is in each (Lancaster 1961, JASA 56).

    Over shares their cover is near the confidence, which exact limits pass (Berry and Armitage 1995, The Statistician
    44). Counts need not be whole: the binomial's tails are continued as the beta integrals that they are.
    """
    tail = (1 - confidence) / 2

    def as_many(share: float) -> float:
        more = float(special.betainc(count + 1, total - count, share)) if count < total else 0.0
        as_many_or_more = float(special.betainc(count, total - count + 1, share)) if count > 0 else 1.0
        return (more + as_many_or_more) / 2

    low = _crossing(as_many, tail) if count > 0 else 0.0
    return low, _crossing(as_many, 1 - tail) if count < total else 1.0


def _crossing(rising: Callable[[float], float], level: float) -> float:
    low, high = 0.0, 1.0
    for _ in range(HALVINGS):
        middle = (low + high) / 2
        low, high = (low, middle) if rising(middle) > level else (middle, high)
    return (low + high) / 2


def part_ratio_limits(
    observed: float, expected: float, total: float, spread: float, confidence: float = CONFIDENCE
) -> Limits:
    """Limits of observed / expected of one part of a whole whose parts' observed and expected both add up to `total`.

    Given the total, the part's count is binomial with the share ratio x expected / total: what is expected of it was
    reckoned from counts that hold its own, so that the ratio varies less than a Poisson count over a known mean would.
    Mid-P limits; where counts spread `spread` times as much as Poisson counts they count as that many fewer.
    """
    if spread < 1:
        raise ValueError("a spread is 1 or more: less is not widened")
    if not 0 < expected < total:
        raise ValueError("a part's expected count lies between 0 and that of the whole")
    low, high = mid_p_share_limits(observed / spread, total / spread, confidence)
    return low * total / expected, high * total / expected
