"""The mixed model against Davies's dyestuff yields."""

from __future__ import annotations

import numpy as np
import pytest

from pipeline.statistics.mixed import fit_random_intercept

# O. L. Davies (ed.), Statistical Methods in Research and Production (1947), yields of dyestuff: 6 batches of 5.
DYESTUFF = np.array(
    [
        [1545, 1440, 1440, 1520, 1580], [1540, 1555, 1490, 1560, 1495], [1595, 1550, 1605, 1510, 1560],
        [1445, 1440, 1595, 1465, 1545], [1595, 1630, 1515, 1635, 1625], [1520, 1455, 1450, 1480, 1445],
    ],
    dtype=float,
)  # fmt: skip


def test_variances_of_the_dyestuff_batches() -> None:
    """REML: batch variance 1764.05, residual 2451.25, mean 1527.5 (values from memory)."""
    fit = fit_random_intercept(DYESTUFF.ravel(), np.ones((30, 1)), np.repeat(np.arange(6), 5))
    assert fit.group_variance == pytest.approx(1764.05, abs=0.01)
    assert fit.residual_variance == pytest.approx(2451.25, abs=0.01)
    assert fit.coefficients == pytest.approx([1527.5])


def test_balanced_batches_agree_with_the_analysis_of_variance() -> None:
    """For balanced data REML is the ANOVA estimate: (MS between - MS within) / 5, worked from the same yields."""
    means = DYESTUFF.mean(axis=1)
    between = 5 * ((means - means.mean()) ** 2).sum() / 5
    within = ((DYESTUFF - means[:, None]) ** 2).sum() / 24
    fit = fit_random_intercept(DYESTUFF.ravel(), np.ones((30, 1)), np.repeat(np.arange(6), 5))
    assert fit.group_variance == pytest.approx((between - within) / 5, rel=1e-5)
    shrink = 5 * fit.group_variance / (5 * fit.group_variance + fit.residual_variance)
    assert fit.effects == pytest.approx(shrink * (means - means.mean()), rel=1e-5)


def test_groups_that_do_not_differ_have_no_variance() -> None:
    y = np.tile([1.0, 2.0, 3.0, 4.0], 3)
    fit = fit_random_intercept(y, np.ones((12, 1)), np.repeat(np.arange(3), 4))
    assert fit.group_variance == 0.0
    assert fit.effects == pytest.approx([0, 0, 0])


def test_an_unbalanced_season_agrees_with_another_library() -> None:
    """Some yields left out and a trend within the batch; statsmodels 0.15.0 MixedLM, reml, several optimisers.

    Its optimum is found to about five digits, so that is what can be asked.
    """
    kept = [5, 3, 4, 2, 5, 4]
    y = np.concatenate([DYESTUFF[batch, :count] for batch, count in enumerate(kept)])
    place = np.concatenate([np.arange(count) for count in kept]).astype(float)
    fit = fit_random_intercept(y, np.column_stack([np.ones(len(y)), place]), np.repeat(np.arange(6), kept))
    assert fit.coefficients == pytest.approx([1518.84116713, 2.13834361], rel=2e-5)
    assert fit.group_variance == pytest.approx(2507.1285, rel=2e-5)
    assert fit.residual_variance == pytest.approx(2328.2232, rel=2e-5)
    batches = [-15.279938, 5.615546, 34.858546, -52.864336, 64.839599, -37.169418]
    assert fit.effects == pytest.approx(batches, rel=2e-5)
