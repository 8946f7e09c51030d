"""Bootstrap of a ratio of sums over jobs."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]


def ratio_of_sums(top: Floats, bottom: Floats, draws: int, seed: int) -> Floats:
    """`draws` values of sum(top) / sum(bottom) over jobs drawn with replacement (Efron 1979).

    `top` and `bottom` have one value a job. Draws are weights of a multinomial, so no job is copied.
    """
    rng = np.random.default_rng(seed)
    jobs = len(top)
    weights = rng.multinomial(jobs, np.full(jobs, 1 / jobs), size=draws).astype(float)
    return (weights @ top) / (weights @ bottom)


def percentile_limits(draws: Floats, confidence: float = 0.95) -> tuple[float, float]:
    """The percentile interval of draws."""
    tail = (1 - confidence) / 2
    low, high = np.quantile(draws, [tail, 1 - tail])
    return float(low), float(high)
