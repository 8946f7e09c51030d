"""Poisson regression's edges."""

from __future__ import annotations

import math

import numpy as np
import pytest

from pipeline.statistics.poisson import clustered_errors, fit_poisson

GROUPS = np.array([[1.0, 0], [1, 0], [1, 1], [1, 1]])


def test_two_groups_have_their_rates_and_the_errors_of_their_counts() -> None:
    """6 in 30 and 8 in 10: log .2, log(.8 / .2), variances 1/6 and 1/6 + 1/8."""
    fit = fit_poisson(GROUPS, np.array([2.0, 4, 3, 5]), np.array([10.0, 20, 5, 5]))
    assert fit.coefficients == pytest.approx([math.log(0.2), math.log(4)])
    assert np.diag(fit.covariance) == pytest.approx([1 / 6, 1 / 6 + 1 / 8])


def test_a_term_without_an_event_is_refused() -> None:
    with pytest.raises(ValueError, match="did not settle"):
        fit_poisson(GROUPS, np.array([2.0, 4, 0, 0]), np.ones(4))


def test_terms_that_depend_on_each_other_are_refused() -> None:
    with pytest.raises(ValueError, match="did not settle"):
        fit_poisson(np.column_stack([GROUPS, GROUPS[:, 1]]), np.array([2.0, 4, 3, 5]), np.ones(4))


def test_counts_that_go_together_widen_the_errors_and_even_ones_narrow_nothing() -> None:
    """One term, 4 counts of 4, 4, 0, 0: mean 2, Poisson variance 1 / 8. As two groups (4, 4) and (0, 0) the scores are
    4 and -4; the fit took half of each, so 32 / (1 - 1/2) / 8^2 = 1, on one degree of freedom. As (4, 0) and (0, 4)
    they are 0, and the Poisson error stands."""
    x, counts = np.ones((4, 1)), np.array([4.0, 4, 0, 0])
    fit = fit_poisson(x, counts, np.ones(4))
    together = clustered_errors(fit, x, counts, np.array([0, 0, 1, 1]))
    assert (together.errors, together.freedom) == (pytest.approx([1.0]), pytest.approx([1.0]))
    assert clustered_errors(fit, x, counts, np.array([0, 1, 0, 1])).errors == pytest.approx([math.sqrt(1 / 8)])
