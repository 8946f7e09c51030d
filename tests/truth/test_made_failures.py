"""Made seasons of failures whose truth is known and is not the model: a small version of the benchmark beside it."""

from __future__ import annotations

import json
from collections import defaultdict
from pathlib import Path

import numpy as np
import pytest

from pipeline.statistics import dispersion
from tests.bench.failures import RESULT, held_in_season
from tests.bench.made_failures import World, make_season
from tests.bench.seasons import NOMINAL, three_errors

SEASONS = 12
AT_LEAST = ("rates of kinds", "pairs of kinds")
"""Exact limits, widened: they hold the truth 95 times in 100 or more."""
CLOSE = (
    "ratios of crews", "pooled ratios of crews", "pooled rates of kinds", "prices of kinds", "multiplier of age",
)  # fmt: skip
"""Limits that hold it 95 times in 100."""
ALIKE = "kinds alike"
"""The world whose kinds do not differ: their pooled rates, which allow for kinds that do, hold the truth more often."""


@pytest.fixture(scope="module")
def held() -> dict[str, list[float]]:
    patch = pytest.MonkeyPatch()
    patch.setattr(dispersion, "MOST_DRAWS", 99)
    values: dict[str, list[float]] = defaultdict(list)
    for seed in range(SEASONS):
        for name, value in held_in_season(make_season(World((3, 5, 12)[seed % 3]), 5_000 + seed), seed).items():
            values[name].append(value)
    patch.undo()
    return values


@pytest.mark.parametrize("name", [*AT_LEAST, *CLOSE])
def test_limits_hold_the_truth_of_a_few_seasons(held: dict[str, list[float]], name: str) -> None:
    """Within three Monte Carlo errors of 95 in 100, as a coin would have them: the groups of a season go together, so
    that a season counts as one draw."""
    assert np.mean(held[name]) >= 0.95 - 3 * np.sqrt(0.95 * 0.05 / SEASONS)


def test_clusters_are_seen(held: dict[str, list[float]]) -> None:
    assert np.mean(held["seasons said to have clusters"]) > 0.5


@pytest.mark.parametrize("world", ["3 crews", "5 crews", "12 crews", "Poisson counts", ALIKE])
def test_the_kept_result_of_the_thousand_seasons_is_what_the_report_may_say(world: str) -> None:
    """The file that the benchmark wrote: exact limits at least 95 in 100, the others within three Monte Carlo errors of
    it, and a wrong pair of kinds in under 5 % of seasons in which all are equal."""
    kept = json.loads(Path(RESULT).read_text(encoding="utf-8"))
    found = kept["worlds"][world]
    assert kept["date"]
    assert kept["version"]
    assert kept["seasons"] >= 1_000
    for name in AT_LEAST:
        assert found[name]["share"] >= 0.95, name
    for name in CLOSE:
        off = found[name]["share"] - NOMINAL
        assert abs(off) <= three_errors(found[name]["seasons"]) or (world == ALIKE and off > 0), name
    if world == ALIKE:
        assert found["seasons with a pair told apart"]["share"] < 0.05
    if world == "Poisson counts":
        assert found["seasons said to have clusters"]["share"] == pytest.approx(0.05, abs=three_errors(1_000))
