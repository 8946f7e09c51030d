"""What changed between two seasons, and how sure that is: ratios of sums and differences of shares."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy import special

from pipeline.statistics.intervals import CONFIDENCE, Limits

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]


@dataclass(frozen=True)
class Sums:
    """Values whose ratio of sums is meant (hours over feet), one each a job; `clusters` numbers those that share a
    chance (the jobs of a day) from 0."""

    parts: Floats
    wholes: Floats
    clusters: Ints

    @property
    def ratio(self) -> float:
        """Sum of the parts over sum of the wholes."""
        return float(self.parts.sum() / self.wholes.sum())

    @property
    def relative_variance(self) -> float:
        """Variance of the ratio over its square, by linearisation (Cochran 1977, 2.11 and 9.6), clusters as units."""
        off = np.bincount(self.clusters, self.parts - self.ratio * self.wholes)
        groups = np.unique(self.clusters).size
        return float((off**2).sum() * groups / (groups - 1) / self.parts.sum() ** 2)

    @property
    def freedom(self) -> int:
        """Clusters less 1."""
        return int(np.unique(self.clusters).size) - 1


def ratio_limits(now: Sums, before: Sums, confidence: float = CONFIDENCE) -> Limits:
    """Limits of one ratio of sums over another, independent one: t limits on the log scale.

    Each has two clusters at least; freedom is Satterthwaite's (1946).
    """
    from scipy.stats import t as student

    one, two = now.relative_variance, before.relative_variance
    ratio = now.ratio / before.ratio
    if one + two == 0:
        return ratio, ratio
    freedom = (one + two) ** 2 / (one**2 / now.freedom + two**2 / before.freedom)
    reach = float(student.ppf((1 + confidence) / 2, freedom)) * float(np.sqrt(one + two))
    return ratio * float(np.exp(-reach)), ratio * float(np.exp(reach))


def wilson_limits(count: int, total: int, confidence: float = CONFIDENCE) -> Limits:
    """Limits of a share (Wilson 1927, J. Am. Stat. Assoc. 22)."""
    z = float(special.ndtri((1 + confidence) / 2))
    share, shrink = count / total, 1 + z * z / total
    middle = (share + z * z / (2 * total)) / shrink
    reach = z * float(np.sqrt(share * (1 - share) / total + z * z / (4 * total * total))) / shrink
    return max(0.0, middle - reach), min(1.0, middle + reach)


def share_difference_limits(
    count: int, total: int, other: int, other_total: int, confidence: float = CONFIDENCE
) -> Limits:
    """Limits of count / total - other / other_total (Newcombe 1998, Statistics in Medicine 17, method 10)."""
    one, two = count / total, other / other_total
    low, high = wilson_limits(count, total, confidence)
    other_low, other_high = wilson_limits(other, other_total, confidence)
    gap = one - two
    down = float(np.sqrt((one - low) ** 2 + (other_high - two) ** 2))
    up = float(np.sqrt((high - one) ** 2 + (two - other_low) ** 2))
    return gap - down, gap + up
