"""Control charts: which weeks had more faults, or fewer, than chance gives."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]

SIGMAS = 3.0
"""Standard deviations from the centre to the limits (Shewhart 1931)."""
_ON_THE_LIMIT = 1e-9
"""Share of the limit within which a rate is on it: what arithmetic in floating point may lose."""


@dataclass(frozen=True)
class UChart:
    """Centre, limits of each sample, and which samples lie beyond theirs."""

    centre: float
    low: Floats
    high: Floats
    above: NDArray[np.bool_]
    below: NDArray[np.bool_]


def u_chart(counts: Floats, exposures: Floats, widening: float = 1.0) -> UChart:
    """The u chart: centre = all counts / all exposure, limits centre +- 3 sqrt(centre / exposure of the sample).

    A lower limit below 0 is 0; a rate on its limit is inside. Equal exposures of 1 make it a c chart
    (NIST/SEMATECH e-Handbook 6.3.3.1). Where counts come in clusters the variance is `widening` times as large. Raises
    ValueError for an exposure that is not over 0.
    """
    if not len(counts) or not (exposures > 0).all():
        raise ValueError("a chart takes samples with an exposure over 0")
    centre = float(counts.sum() / exposures.sum())
    half = SIGMAS * np.sqrt(widening * centre / exposures)
    low, high = np.maximum(0.0, centre - half), centre + half
    rates = counts / exposures
    return UChart(centre, low, high, rates > high * (1 + _ON_THE_LIMIT), rates < low * (1 - _ON_THE_LIMIT))
