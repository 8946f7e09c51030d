"""The mixed model against Davies's dyestuff yields and the Machines data."""

from __future__ import annotations

import numpy as np
import pytest

from pipeline.statistics.mixed import errors_beside_groups, fit_mixed

# O. L. Davies (ed.), Statistical Methods in Research and Production (1947), yields of dyestuff: 6 batches of 5.
DYESTUFF = np.array(
    [
        [1545, 1440, 1440, 1520, 1580], [1540, 1555, 1490, 1560, 1495], [1595, 1550, 1605, 1510, 1560],
        [1445, 1440, 1595, 1465, 1545], [1595, 1630, 1515, 1635, 1625], [1520, 1455, 1450, 1480, 1445],
    ],
    dtype=float,
)  # fmt: skip
BATCHES = np.repeat(np.arange(6), 5)
# Milliken and Johnson, Analysis of Messy Data (1992), as Machines in Pinheiro and Bates, Mixed-Effects Models in S and
# S-PLUS (2000): scores of 6 workers on machines A, B and C, 3 times each (values from memory; they give the fit).
MACHINES = np.array(
    [
        [[52.0, 52.8, 53.1], [51.8, 52.8, 53.1], [60.0, 60.2, 58.4], [51.1, 52.3, 50.3], [50.9, 51.8, 51.4],
         [46.4, 44.8, 49.2]],
        [[62.1, 62.6, 64.0], [59.7, 60.0, 59.0], [68.6, 65.8, 69.7], [63.2, 62.8, 62.2], [64.8, 65.0, 65.4],
         [43.7, 44.2, 43.0]],
        [[67.5, 67.2, 66.9], [61.5, 61.7, 62.3], [70.8, 70.6, 71.0], [64.1, 66.2, 64.0], [72.1, 72.0, 71.1],
         [62.0, 61.4, 60.5]],
    ]
)  # fmt: skip


def test_variances_of_the_dyestuff_batches() -> None:
    """REML: batch variance 1764.05, residual 2451.25, mean 1527.5 (values from memory)."""
    fit = fit_mixed(DYESTUFF.ravel(), np.ones((30, 1)), BATCHES, BATCHES)
    assert fit.outer_variance == 0
    assert fit.inner_variance == pytest.approx(1764.05, abs=0.01)
    assert fit.residual_variance == pytest.approx(2451.25, abs=0.01)
    assert fit.coefficients == pytest.approx([1527.5])


def test_the_mean_of_the_dyestuff_is_known_as_well_as_published() -> None:
    """Standard error of the mean 19.38 (lme4's manual, from memory): sqrt((5 x 1764.05 + 2451.25) / 30) = 19.383. The
    thirty yields alone would give sqrt((1764.05 + 2451.25) / 30) = 11.85."""
    x = np.ones((30, 1))
    fit = fit_mixed(DYESTUFF.ravel(), x, BATCHES, BATCHES)
    assert errors_beside_groups(x, BATCHES, fit) == pytest.approx([19.383], abs=0.001)


def test_workers_and_their_machines_have_the_published_fit() -> None:
    """Pinheiro and Bates: 52.356, +7.967, +13.917; deviations worker 4.781, worker on machine 3.729, residual .9616."""
    machine, worker = np.repeat(np.arange(3), 18), np.tile(np.repeat(np.arange(6), 3), 3)
    x = np.column_stack([np.ones(54), machine == 1, machine == 2]).astype(float)
    fit = fit_mixed(MACHINES.ravel(), x, worker, worker * 3 + machine)
    assert fit.coefficients == pytest.approx([52.356, 7.967, 13.917], abs=5e-4)
    assert np.sqrt(fit.outer_variance) == pytest.approx(4.781, abs=5e-4)
    assert np.sqrt(fit.inner_variance) == pytest.approx(3.729, abs=6e-4)
    assert np.sqrt(fit.residual_variance) == pytest.approx(0.9616, abs=5e-5)


def test_balanced_batches_agree_with_the_analysis_of_variance() -> None:
    """For balanced data REML is the ANOVA estimate: (MS between - MS within) / 5, worked from the same yields."""
    means = DYESTUFF.mean(axis=1)
    between = 5 * ((means - means.mean()) ** 2).sum() / 5
    within = ((DYESTUFF - means[:, None]) ** 2).sum() / 24
    fit = fit_mixed(DYESTUFF.ravel(), np.ones((30, 1)), BATCHES, BATCHES)
    assert fit.inner_variance == pytest.approx((between - within) / 5, rel=1e-5)


def test_groups_that_do_not_differ_have_no_variance() -> None:
    groups = np.repeat(np.arange(3), 4)
    fit = fit_mixed(np.tile([1.0, 2.0, 3.0, 4.0], 3), np.ones((12, 1)), groups, groups)
    assert fit.inner_variance == 0.0


def test_an_unbalanced_season_agrees_with_another_library() -> None:
    """Some yields left out and a trend within the batch; statsmodels 0.15.0 MixedLM, reml, several optimisers.

    Its optimum is found to about five digits, so that is what can be asked.
    """
    kept = [5, 3, 4, 2, 5, 4]
    y = np.concatenate([DYESTUFF[batch, :count] for batch, count in enumerate(kept)])
    place = np.concatenate([np.arange(count) for count in kept]).astype(float)
    groups = np.repeat(np.arange(6), kept)
    fit = fit_mixed(y, np.column_stack([np.ones(len(y)), place]), groups, groups)
    assert fit.coefficients == pytest.approx([1518.84116713, 2.13834361], rel=2e-5)
    assert fit.inner_variance == pytest.approx(2507.1285, rel=2e-5)
    assert fit.residual_variance == pytest.approx(2328.2232, rel=2e-5)
