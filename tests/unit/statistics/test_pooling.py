"""Partial pooling of rates."""

from __future__ import annotations

import numpy as np
import pytest

from pipeline.statistics.pooling import GammaPrior, gamma_prior, pooled_rate


def test_a_rate_is_drawn_toward_the_prior_by_its_exposure() -> None:
    """Shape 2 and 3 faults, rate 10 and 40 nights: 5 / 50. The limits of a gamma of shape 5 are Garwood's lower limit
    of 5 (1.6235) and upper limit of 4 (10.2416), over 50."""
    rate, low, high = pooled_rate(3, 40, GammaPrior(2, 10))
    assert rate == pytest.approx(0.1)
    assert (low, high) == pytest.approx((1.6235 / 50, 10.2416 / 50), abs=2e-6)


def test_groups_that_differ_by_chance_alone_get_the_common_rate() -> None:
    """Rates of 4, 5 and 6 in 100 spread less than Poisson counts of 5 do (variance 5)."""
    prior = gamma_prior(np.array([4.0, 5, 6]), np.full(3, 100.0))
    assert pooled_rate(6, 100, prior)[0] == pytest.approx(0.05, rel=1e-3)


def test_groups_that_differ_for_sure_keep_nearly_their_own_rate() -> None:
    """Rates of .1 and .3 over 10,000: mean .2, between (.01 - 2 x .2 / 20,000) = .00998; shape 4.008, rate 20.04."""
    prior = gamma_prior(np.array([1_000.0, 3_000]), np.full(2, 10_000.0))
    assert (prior.shape, prior.rate) == pytest.approx((0.04 / 0.00998, 0.2 / 0.00998))
    assert pooled_rate(1_000, 10_000, prior)[0] == pytest.approx(0.1, rel=0.005)
