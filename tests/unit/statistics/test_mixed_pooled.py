"""Groups drawn toward each other, and what is not known of how alike they are."""

from __future__ import annotations

import numpy as np
import pytest

from pipeline.statistics.mixed import fit_mixed
from pipeline.statistics.mixed_groups import fit_groups
from pipeline.statistics.mixed_pooled import pooled_draws

GROUPS = np.repeat(np.arange(3), 10)
NONE = np.empty((30, 0))


def values(effects: list[float], seed: int = 5) -> np.ndarray:
    noise = np.random.default_rng(seed).normal(0, 0.2, (3, 10))
    noise -= noise.mean(axis=1, keepdims=True)
    return (np.array(effects)[:, None] + noise).ravel()


def drawn(y: np.ndarray, draws: int = 4_000) -> np.ndarray:
    return pooled_draws(fit_groups(y, NONE, GROUPS), np.ones((3, 1)), np.eye(3), False, draws, seed=1)


def test_an_estimate_of_no_variance_does_not_make_the_groups_alike_for_certain() -> None:
    y = values([0, 0, 0])
    assert fit_mixed(y, np.ones((30, 1)), GROUPS, GROUPS).inner_variance == 0
    assert drawn(y).std(axis=0).min() > 0.02


def test_groups_far_apart_are_hardly_pooled() -> None:
    """Means of 10 with noise .2 differ with a deviation of .2 x sqrt(2 / 10) = .09; groups .8 apart are pulled less
    than half of that."""
    contrast = drawn(values([-0.4, 0, 0.4])) @ np.array([-1, 0, 1])
    assert 0.8 - 0.045 < contrast.mean() < 0.8
    assert contrast.std() == pytest.approx(0.09, abs=0.015)


def test_with_the_variances_all_but_known_pooling_is_the_textbook_s_shrinkage() -> None:
    """60 groups of 30 with deviations .3 between and 1 within: a mean is drawn in by .09 / (.09 + 1 / 30) = .7297
    ; estimated from 60 groups, within .06."""
    rng = np.random.default_rng(3)
    groups = np.repeat(np.arange(60), 30)
    fit = fit_groups(rng.normal(0, 0.3, 60)[groups] + rng.normal(0, 1, 1_800), np.empty((1_800, 0)), groups)
    middle = pooled_draws(fit, np.ones((60, 1)), np.eye(60), False, 4_000, seed=1).mean(axis=0)
    raw = fit.effects - fit.effects.mean()
    assert middle @ raw / (raw @ raw) == pytest.approx(0.7297, abs=0.06)


def test_a_lasting_effect_is_told_from_those_of_single_seasons() -> None:
    """Two groups of three cells. With cells alike within groups the groups' difference is known well; with cells that
    differ as much as the groups it is not."""
    cells = np.repeat(np.arange(6), 20)
    members = np.repeat(np.eye(2), 3, axis=0)
    noise = np.random.default_rng(2).normal(0, 0.1, 120)

    def spread(effects: list[float]) -> float:
        fit = fit_groups(np.array(effects)[cells] + noise, np.empty((120, 0)), cells)
        return float((pooled_draws(fit, np.ones((6, 1)), members, True, 4_000, seed=1) @ [1, -1]).std())

    assert spread([0.2, -0.2, 0.0, 0.4, -0.1, 0.3]) > 2 * spread([0.0, 0.0, 0.0, 0.2, 0.2, 0.2])


def test_the_same_seed_gives_the_same_draws() -> None:
    assert (drawn(values([-1, 0, 1]), 50) == drawn(values([-1, 0, 1]), 50)).all()
