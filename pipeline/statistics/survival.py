"""Times of which some are not over yet: the share still waiting, and quantiles with limits."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy import special

Floats = NDArray[np.float64]

CONFIDENCE = 0.95
_EQUAL = 1e-9


@dataclass(frozen=True)
class Waiting:
    """The share still waiting after each time at which one ended (Kaplan and Meier 1958), one value a time.

    `error` is Greenwood's standard error (1926); `low` and `high` are limits on the log-log scale.
    """

    times: Floats
    at_risk: Floats
    ended: Floats
    share: Floats
    error: Floats
    low: Floats
    high: Floats


@dataclass(frozen=True)
class Quantile:
    """A time by which a share has ended, with limits; None where the records do not reach so far."""

    value: float | None
    low: float | None
    high: float | None


def waiting_shares(times: Floats, ended: NDArray[np.bool_]) -> Waiting:
    """The product-limit estimate of waits, of which those not `ended` are known to last longer than their time.

    A wait that ends at the time at which another is last seen ends before it. Raises ValueError for a negative time.
    """
    if len(times) and times.min() < 0:
        raise ValueError("a wait is 0 or more")
    at = np.unique(times[ended])
    at_risk = np.array([(times >= t).sum() for t in at], dtype=float)
    events = np.array([(times[ended] == t).sum() for t in at], dtype=float)
    share = np.cumprod(1 - events / at_risk)
    left = at_risk - events
    steps = np.divide(events, at_risk * left, out=np.full(len(at), np.inf), where=left > 0)
    variance = np.cumsum(steps)
    inside = share > 0
    error = np.zeros(len(at))
    error[inside] = share[inside] * np.sqrt(variance[inside])
    z = float(special.ndtri(1 - (1 - CONFIDENCE) / 2))
    low, high = np.full(len(at), np.nan), np.full(len(at), np.nan)
    log = np.log(share[inside])
    reach = z * np.sqrt(variance[inside]) / np.abs(log)
    low[inside], high[inside] = np.exp(log * np.exp(reach)), np.exp(log * np.exp(-reach))
    return Waiting(at, at_risk, events, share, error, low, high)


def quantile_of_waits(waits: Waiting, ended: float) -> Quantile:
    """The time by which a share `ended` of the waits is over.

    The first time at which no more than 1 - ended still wait; where exactly that many do until the next end, the middle
    between both, as a median of an even number is. Limits are the times at which the log-log limits cross 1 - ended
    (Brookmeyer and Crowley 1982, Biometrics 38); None where they do not within the records.
    """
    left = 1 - ended
    return Quantile(_crossing(waits.times, waits.share, left), _crossing(waits.times, waits.low, left),
                    _crossing(waits.times, waits.high, left))  # fmt: skip


def _crossing(times: Floats, shares: Floats, left: float) -> float | None:
    """Where a falling step line comes down to `left`. What is not defined, after the last wait has ended, is 0."""
    shares = np.nan_to_num(shares, nan=0.0)
    on = np.flatnonzero(shares <= left + _EQUAL)
    if not len(on):
        return None
    first = int(on[0])
    if abs(shares[first] - left) <= _EQUAL and first + 1 < len(times):
        return float(times[first] + times[first + 1]) / 2
    return float(times[first])
