"""Poisson regression of counts with an exposure."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from pipeline.statistics.clusters import ClusteredErrors, errors_by_cluster

Floats = NDArray[np.float64]

MOST_ROUNDS = 50
CLOSE = 1e-10
"""Change of the deviance, as a share of it, at which the fit has settled."""
LARGEST_ERROR = 50.0
"""Standard error on the log scale from which a coefficient has run off: its level has no event."""


@dataclass(frozen=True)
class PoissonFit:
    """Coefficients on the log scale, their covariance for Poisson counts, fitted means and the fit's measures."""

    coefficients: Floats
    covariance: Floats
    means: Floats
    deviance: float
    pearson: float
    freedom: int

    @property
    def dispersion(self) -> float:
        """Pearson's chi-square over its degrees of freedom: 1 for Poisson counts."""
        return self.pearson / self.freedom


def fit_poisson(x: Floats, counts: Floats, exposures: Floats) -> PoissonFit:
    """Fit log(mean) = log(exposure) + x @ coefficients by iteratively reweighted least squares.

    McCullagh and Nelder 1989, 2.5 and 6.2. `x` has a row a count and a column a term, with full column rank. Raises
    ValueError where the fit does not settle: a term whose counts are all 0 has no finite coefficient.
    """
    offset = np.log(exposures)
    means = counts + 0.5
    eta = np.log(means)
    deviance = np.inf
    for _ in range(MOST_ROUNDS):
        working = eta - offset + (counts - means) / means
        weighted = x * np.sqrt(means)[:, None]
        solved, _, rank, _ = np.linalg.lstsq(weighted, working * np.sqrt(means), rcond=None)
        coefficients = solved.astype(np.float64)
        eta = x @ coefficients + offset
        if rank < x.shape[1] or not np.isfinite(eta).all():
            break
        means = np.exp(eta)
        before, deviance = deviance, deviance_of(counts, means)
        if abs(before - deviance) <= CLOSE * (abs(deviance) + 0.1):
            pearson = float(((counts - means) ** 2 / means).sum())
            covariance = np.linalg.inv((x * means[:, None]).T @ x).astype(np.float64)
            if np.sqrt(np.diag(covariance).max()) > LARGEST_ERROR:
                break
            return PoissonFit(coefficients, covariance, means, deviance, pearson, len(counts) - x.shape[1])
    raise ValueError("the fit of the counts did not settle: a term has no event, or depends on the others")


def clustered_errors(fit: PoissonFit, x: Floats, counts: Floats, groups: NDArray[np.int64]) -> ClusteredErrors:
    """Errors of the coefficients where counts of one group (a job, say) go together, never below those of Poisson ones.

    The sandwich over groups (Liang and Zeger 1986, Biometrika 73), its residuals raised for what the fit took of them.
    """
    roots = np.sqrt(fit.means)
    found = errors_by_cluster(x * roots[:, None], (counts - fit.means) / roots, groups)
    return ClusteredErrors(np.fmax(found.errors, np.sqrt(np.diag(fit.covariance))), found.freedom)


def deviance_of(counts: Floats, means: Floats) -> float:
    """Twice the log-likelihood that the means lack of the counts themselves."""
    some = counts > 0
    return float(2 * ((counts[some] * np.log(counts[some] / means[some])).sum() - (counts - means).sum()))
