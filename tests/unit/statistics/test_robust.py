"""A few wild values do not decide."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.optimize import minimize

from pipeline.statistics.mixed_groups import fit_groups
from pipeline.statistics.robust import tame

RNG = np.random.default_rng(4)
GROUPS = np.repeat(np.arange(3), 20)
X = RNG.normal(size=(60, 1))
Y = np.array([1.0, 1.1, 0.9])[GROUPS] + 0.2 * X[:, 0] + np.clip(RNG.normal(0, 0.1, 60), -0.15, 0.15)


def wild(amount: float) -> np.ndarray:
    return Y + np.where(np.arange(60) == 5, amount, 0.0)


def test_where_nothing_is_far_off_it_is_least_squares() -> None:
    found = tame(Y, X, GROUPS, 2.5)
    assert (found.y == Y).all()
    assert found.fit.effects == pytest.approx(fit_groups(Y, X, GROUPS).effects)


def test_a_wild_value_moves_its_group_no_more_the_wilder_it_is() -> None:
    usual = fit_groups(Y, X, GROUPS).effects
    far, further = (tame(wild(amount), X, GROUPS, 2.0) for amount in (2.0, 20.0))
    assert far.fit.effects == pytest.approx(further.fit.effects, abs=1e-6)
    assert abs(further.fit.effects - usual).max() < 0.03
    assert abs(fit_groups(wild(20.0), X, GROUPS).effects - usual).max() > 0.9
    assert further.scores.argmax() == 5
    assert further.scores[5] > 100


def test_values_far_below_count_as_those_far_above_do() -> None:
    """Everything turned round turns round what is found."""
    above, below = tame(wild(3.0), X, GROUPS, 2.0), tame(-wild(3.0), X, GROUPS, 2.0)
    assert below.y == pytest.approx(-above.y, abs=1e-9)
    assert below.fit.effects == pytest.approx(-above.fit.effects, abs=1e-9)
    assert below.scale == pytest.approx(above.scale)


def test_it_is_huber_s_estimate() -> None:
    """Huber's loss at the same scale, minimised by scipy over a column a group and the term."""
    y = wild(1.0)
    found = tame(y, X, GROUPS, 2.0)
    z = np.column_stack([np.eye(3)[GROUPS], X - X.mean(axis=0)])

    def loss(b: np.ndarray) -> float:
        r = np.abs(y - z @ b) / found.scale
        return float(np.where(r <= 2.0, r**2 / 2, 2.0 * r - 2.0).sum())

    best = minimize(loss, np.zeros(4), method="BFGS", options={"gtol": 1e-6}).x
    assert np.concatenate([found.fit.effects, found.fit.coefficients]) == pytest.approx(best, abs=1e-5)


def test_values_without_any_scatter_are_left_alone() -> None:
    y = np.array([1.0, 2.0, 3.0])[GROUPS] + 0.5 * X[:, 0]
    assert tame(y, X, GROUPS, 2.0).fit.effects == pytest.approx([1, 2, 3] + 0.5 * X.mean())
