"""Weighted least squares, with coefficients that may not be negative, and its bootstrap over rows."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from pipeline.statistics.bootstrap import times_drawn

Floats = NDArray[np.float64]

MOST_COUNTS = 4_000_000
"""How often each row was drawn is held for so many rows times draws at once: 32 MB."""
LEAST_SHARE = 1e-12
"""Directions of the scaled columns whose share of the largest is below this are none: rounding made them."""


@dataclass(frozen=True)
class Fit:
    """A fitted line: coefficients and their standard errors, one a column, and the residuals' standard deviation."""

    coefficients: Floats
    standard_errors: Floats
    residual_sd: float


def least_squares(x: Floats, y: Floats, weights: Floats | None = None) -> Fit:
    """Weighted least squares by orthogonal decomposition: min sum w (y - x b)^2.

    `x` has a row an observation and a column a coefficient, of full rank; there are more rows than columns.
    """
    root = np.ones(len(y)) if weights is None else np.sqrt(weights)
    scale = np.linalg.norm(x * root[:, None], axis=0)
    q, r = np.linalg.qr(x * root[:, None] / scale)
    scaled = np.linalg.solve(r, q.T @ (y * root))
    residuals = (y - x @ (scaled / scale)) * root
    # One step of refinement takes back what rounding lost in columns that nearly depend on each other.
    scaled = scaled + np.linalg.solve(r, q.T @ residuals)
    residuals = (y - x @ (scaled / scale)) * root
    variance = float(residuals @ residuals) / (x.shape[0] - x.shape[1])
    inverse = np.linalg.inv(r)
    errors = np.sqrt(variance * (inverse**2).sum(axis=1)) / scale
    return Fit(scaled / scale, errors, float(np.sqrt(variance)))


def condition_number(columns: Floats) -> float:
    """Largest over smallest singular value of the columns at unit length (Belsley, Kuh and Welsch 1980).

    Of a weighted fit the columns are those of x times the roots of the weights.
    """
    values = np.linalg.svd(columns / np.linalg.norm(columns, axis=0), compute_uv=False)
    return float(values[0] / values[-1]) if values[-1] > 0 else float("inf")


@dataclass(frozen=True)
class Moments:
    """Weighted sums of products that least squares needs, one set a sample.

    `gram` is x'wx, samples x columns x columns; `cross` is x'wy, samples x columns x outcomes.
    """

    gram: Floats
    cross: Floats

    def solved(self, free: Sequence[int] = (), outcomes: int | None = None) -> Floats:
        """Coefficients, none negative but those of `free` columns: samples x columns x outcomes.

        Lawson and Hanson's active set (1974) on a square root of the sums; a free column is one that also stands with
        the other sign. A column that a sample does not have gets 0.
        """
        from scipy.optimize import nnls

        scale = np.sqrt(np.einsum("spp->sp", self.gram))
        scale[scale == 0] = 1.0
        values, vectors = np.linalg.eigh(self.gram / (scale[:, :, None] * scale[:, None, :]))
        roots = np.sqrt(np.where(values > LEAST_SHARE * values[:, -1:], values, 0.0))
        lefts = roots[:, :, None] * vectors.transpose(0, 2, 1)
        inverse = np.divide(1.0, roots, out=np.zeros_like(roots), where=roots > 0)
        rights = inverse[:, :, None] * (vectors.transpose(0, 2, 1) @ (self.cross / scale[:, :, None]))
        chosen = list(free)
        lefts = np.concatenate([lefts, -lefts[:, :, chosen]], axis=2)
        columns = self.gram.shape[1]
        found = np.empty((len(lefts), columns, outcomes or self.cross.shape[2]))
        for sample, (left, right) in enumerate(zip(lefts, rights, strict=True)):
            for outcome in range(found.shape[2]):
                both = nnls(left, right[:, outcome])[0]
                found[sample, :, outcome] = both[:columns]
                found[sample, chosen, outcome] -= both[columns:]
        return found / scale[:, :, None]


def moments(x: Floats, y: Floats, weights: Floats) -> Moments:
    """The sums of one sample: `x` rows x columns, `y` rows x outcomes, `weights` a value a row."""
    weighted = x * weights[:, None]
    return Moments((weighted.T @ x)[None], (weighted.T @ y)[None])


def bootstrap_moments(x: Floats, y: Floats, weights: Floats, draws: int, seed: int) -> Moments:
    """The sums of `draws` samples of rows drawn with replacement (Efron 1979), each as large as the data."""
    rng = np.random.default_rng(seed)
    rows, columns = x.shape
    weighted = x * weights[:, None]
    pairs = np.einsum("np,nq->npq", weighted, x).reshape(rows, -1)
    products = np.concatenate([pairs, np.einsum("np,nk->npk", weighted, y).reshape(rows, -1)], axis=1)
    at_once = max(1, MOST_COUNTS // rows)
    sums = [
        times_drawn(rows, np.full(min(at_once, draws - start), rows), rng) @ products
        for start in range(0, draws, at_once)
    ]
    summed = np.concatenate(sums)
    gram, cross = summed[:, : columns**2], summed[:, columns**2 :]
    return Moments(gram.reshape(draws, columns, columns), cross.reshape(draws, columns, y.shape[1]))


def widened(found: Floats, draws: Floats, rows: int) -> Floats:
    """Draws of coefficients as far from what was found as percentile limits need to be in small samples.

    A bootstrap's residuals are too small by sqrt((rows - columns) / rows), and its normal tails by t over normal
    (Hesterberg 2015, The American Statistician 69: the expanded percentile interval, here for 95 %). `found` has the
    columns on its first axis, `draws` samples before it.
    """
    from scipy.special import ndtri, stdtrit

    freedom = rows - found.shape[0]
    tail = 0.975
    return found + (draws - found) * np.sqrt(rows / freedom) * (stdtrit(freedom, tail) / ndtri(tail))
