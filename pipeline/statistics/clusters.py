"""Errors of coefficients where values of a cluster (a day, a job) share what they do not say of themselves."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

ALONE = 1e-9
"""What a cluster leaves of a direction, as a share, from which that rests on the cluster alone: the cluster then says
nothing of its own scatter."""

MOST_ALONE = 0.01
"""Share of a coefficient's variance that may rest on such directions; with more its error is not known."""


@dataclass(frozen=True)
class ClusteredErrors:
    """Standard errors of coefficients, and the degrees of freedom on which each is known; one value a coefficient.

    Both are NaN for a coefficient that rests on one cluster.
    """

    errors: Floats
    freedom: Floats


def errors_by_cluster(x: Floats, residuals: Floats, clusters: Ints) -> ClusteredErrors:
    """Errors of the coefficients of least squares of n values on `x`, n rows and a column a coefficient, by clusters.

    The sandwich over whole clusters, each one's residuals raised by the inverse root of what the fit left them (CR2 of
    Bell and McCaffrey 2002, Survey Methodology 28): without bias where values scatter alike and near it where they do
    not. The degrees of freedom are Satterthwaite's for values that scatter alike, of the same paper: the fewer clusters
    a coefficient rests on, the fewer. `clusters` n whole numbers. Columns of `x` may depend on each other, but then no
    coefficient of theirs means anything. For weighted fits give `x` and the residuals times the weights' roots.
    """
    # In the basis of R, R R' = inv(x'x), what a cluster adds to x'x has its leverages as eigenvalues.
    values, vectors = np.linalg.eigh(x.T @ x)
    keep = values > values.max() * ALONE**1.5
    root = vectors[:, keep] / np.sqrt(values[keep])
    scaled = x @ root
    order = np.argsort(clusters, kind="stable")
    starts = np.flatnonzero(np.diff(clusters[order], prepend=clusters[order[0]] - 1))
    parts = np.split(scaled[order], starts[1:])
    scores = np.add.reduceat((scaled * residuals[:, None])[order], starts, axis=0)
    leverage, direction = np.linalg.eigh(np.stack([part.T @ part for part in parts]))
    left = np.clip(1 - leverage, 0, None)
    raised = np.divide(1, np.sqrt(left), out=np.zeros_like(left), where=left > ALONE)
    turned = direction.transpose(0, 2, 1)
    seen = turned @ root.T
    moved = ((raised[:, :, None] * (turned @ scores[:, :, None])) * seen).sum(axis=1)
    within = np.clip(leverage, 0, None) * raised
    size = ((within * raised)[:, :, None] * seen**2).sum(axis=1)
    alone = ((left <= ALONE)[:, :, None] * seen**2).sum(axis=(0, 1)) / (root**2).sum(axis=1)
    freedom = _freedom(size, (direction @ (within[:, :, None] * seen)).transpose(0, 2, 1))
    freedom = np.where(alone > MOST_ALONE, np.nan, freedom)
    return ClusteredErrors(np.where(np.isnan(freedom), np.nan, np.sqrt((moved**2).sum(axis=0))), freedom)


def _freedom(size: Floats, tie: Floats) -> Floats:
    """tr(G'G)^2 / tr(G'G G'G) a coefficient, G'G = diag(size) - tie tie'; `size` and `tie` have a row a cluster."""
    norms = (tie**2).sum(axis=2)
    trace = (size - norms).sum(axis=0)
    crossed = [((own.T @ own) ** 2).sum() for own in tie.transpose(1, 0, 2)]
    squares = (size**2 - 2 * size * norms).sum(axis=0) + np.array(crossed)
    known = trace > ALONE * size.sum(axis=0)
    return np.divide(trace**2, squares, out=np.full(len(trace), np.nan), where=known & (squares > 0))
