"""Responses of winning to price: a logistic regression that stays finite, and the price at which most is left."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Flags = NDArray[np.bool_]

MOST_STEPS = 200
"""Newton steps; ordinary data take fewer than ten."""
LARGEST_STEP = 5.0
"""Most that one step moves anybody's log odds: a longer one overshoots where won and lost lie far apart."""
APART = 1e-6
"""What counts as set apart, for coefficients of at most 1 on columns of at most 1: more than rounding."""
SMALL_STEP = 1e-9
"""Change of the coefficients at which the fit has come to rest."""


@dataclass(frozen=True)
class Response:
    """A fitted response: `coefficients` (p,) and their `covariance` (p, p), on the scale of the log odds.

    `is_separated`: some combination of the columns tells all won from all lost: only the penalty bounds the fit.
    """

    coefficients: Floats
    covariance: Floats
    is_separated: bool

    def draws(self, count: int, seed: int) -> Floats:
        """`count` rows of coefficients from the normal approximation, (count, p)."""
        rng = np.random.default_rng(seed)
        return rng.multivariate_normal(self.coefficients, self.covariance, count, method="cholesky")


def chances(log_odds: Floats) -> Floats:
    """Chances of log odds, without overflow."""
    return 0.5 * (1 + np.tanh(0.5 * log_odds))


def maximise(design: Floats, won: Flags, *, is_penalised: bool, offset: Floats | float = 0.0) -> tuple[Floats, Floats]:
    """Coefficients (p,) and covariance (p, p) of a logistic regression of `won` (n,) on `design` (n, p).

    `is_penalised` adds half the log determinant of the information to the log likelihood (Firth 1993, Biometrika 80):
    finite even where the columns separate won from lost. Newton's steps, halved until the aim rises. Raises ValueError
    where it does not come to rest, as the plain likelihood does not on separated data, or where columns depend on each
    other.
    """
    at = np.zeros(design.shape[1])
    aim, score, covariance = _climb(design, won, at, offset, is_penalised)
    for _ in range(MOST_STEPS):
        step = covariance @ score
        step *= min(1.0, LARGEST_STEP / max(float(np.abs(design @ step).max()), SMALL_STEP))
        while True:
            if np.abs(step).max() < SMALL_STEP:
                return at, covariance
            there = _climb(design, won, at + step, offset, is_penalised)
            if there[0] >= aim:
                break
            step = step / 2
        at = at + step
        aim, score, covariance = there
    raise ValueError("the regression does not come to rest: won and lost are told apart completely")


def _climb(
    design: Floats, won: Flags, at: Floats, offset: Floats | float, is_penalised: bool
) -> tuple[float, Floats, Floats]:
    """The aim at a point, its slope and the inverse information."""
    log_odds = design @ at + offset
    chance = chances(log_odds)
    weight = chance * (1 - chance)
    information = (design * weight[:, None]).T @ design
    sign, log_determinant = np.linalg.slogdet(information)
    if sign <= 0 or not np.isfinite(log_determinant):
        raise ValueError("the regression has no single answer: its columns depend on each other")
    covariance: Floats = np.linalg.inv(information).astype(np.float64)
    aim = float(-np.logaddexp(0, np.where(won, -log_odds, log_odds)).sum())
    residual = won - chance
    if is_penalised:
        leverage = weight * np.einsum("ij,jk,ik->i", design, covariance, design)
        aim += 0.5 * float(log_determinant)
        residual = residual + leverage * (0.5 - chance)
    return aim, design.T @ residual, covariance


def fit_response(design: Floats, won: Flags) -> Response:
    """A logistic response, penalised after Firth, its intercept set so that as many are expected to win as did.

    `design` (n, p): the first column ones. The penalty alone draws the expected share won toward one half; the second
    step puts that right and leaves the slopes (FLIC: Puhr et al. 2017, Statistics in Medicine 36). Raises ValueError
    where one outcome is missing or columns depend on each other.
    """
    if won.all() or not won.any():
        raise ValueError("a response needs both outcomes")
    coefficients, covariance = maximise(design, won, is_penalised=True)
    slopes = design[:, 1:] @ coefficients[1:]
    intercept, _ = maximise(np.ones((len(won), 1)), won, is_penalised=False, offset=slopes)
    return Response(np.concatenate([intercept, coefficients[1:]]), covariance, is_separated(design, won))


def is_separated(design: Floats, won: Flags) -> bool:
    """Whether a combination of the columns puts no won below any lost, and some apart (Albert and Anderson 1984).

    By a linear programme: the most that bounded coefficients can set the outcomes apart without putting one wrong
    (Konis 2007).
    """
    from scipy.optimize import linprog

    signed = np.where(won, 1.0, -1.0)[:, None] * design / np.maximum(np.abs(design).max(axis=0), 1e-300)
    most = linprog(-signed.sum(axis=0), A_ub=-signed, b_ub=np.zeros(len(won)), bounds=(-1, 1), method="highs")
    return most.fun is not None and bool(most.fun < -APART)


def best_price(left: Callable[[float], float], low: float, high: float) -> float:
    """The price between `low` and `high` at which `left` is largest, for one that rises and then falls.

    Raises ValueError where `low` is not below `high`.
    """
    from scipy.optimize import minimize_scalar

    if not low < high:
        raise ValueError("a best price needs a range of prices")
    found = minimize_scalar(lambda price: -left(price), bounds=(low, high), method="bounded", options={"xatol": 1e-7})
    return float(found.x)


def break_even_loss(rise: float, margin: float) -> float:
    """Share of the jobs that may be lost when prices rise by the share `rise` before less is left than before.

    `margin` is what a job leaves after the costs that it brings, as a share of its price: rise / (margin + rise). A
    negative rise gives a negative loss, the share of jobs to be won beside. Raises ValueError where nothing is left.
    """
    if margin + rise <= 0:
        raise ValueError("nothing would be left of the price at all")
    return rise / (margin + rise)
