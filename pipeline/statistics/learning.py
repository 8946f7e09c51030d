"""The learning curve by units (Wright 1936): each doubling of what was made takes the same share of the hours a unit.

The unit model: the power law is of the hours of the n-th unit. In the other model in use it is of the average over the
first n, and the n-th unit then takes less; the two must not be mixed.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]


def unit_hours(first: float, progress_ratio: float, units: Floats) -> Floats:
    """Hours of the n-th unit where the first took `first`: first x n ^ log2(progress ratio).

    T. P. Wright, Factors affecting the cost of airplanes, J. Aeronautical Sciences 3 (1936). `units` from above 0.
    """
    return np.asarray(first * units ** np.log2(progress_ratio))


def progress_ratio(slope: float) -> float:
    """What a doubling leaves of the hours, from the slope of log hours on log cumulative units."""
    return float(2.0**slope)


def lot_middles(lots: Floats) -> Floats:
    """Cumulative units at the middle of each lot of a sequence, where a lot's average unit lies nearly."""
    return np.asarray(np.cumsum(lots) - lots / 2)
