"""Made seasons whose truth is known and is not the model: do the intervals hold it as often as they say?

A small version of tests/bench/made_crews.py, whose result over 1,000 seasons is kept beside it.
"""

from __future__ import annotations

import json
from pathlib import Path

import numpy as np
import polars as pl
import pytest
from support.made_crews import FIRST, made_crews, name
from support.made_season import SEASON, WORKMANSHIP, made_exposure, made_job_hours
from support.season_frames import exposure

from pipeline.decisions.crews import CrewComparison, compare_crews
from tests.bench.seasons import NOMINAL, three_errors

SEASONS = 60
CREWS = 5
KEPT = Path(__file__).resolve().parents[1] / "bench" / "made_crews.json"
Made = list[tuple[CrewComparison, dict[str, float]]]


@pytest.fixture(scope="module")
def seasons() -> Made:
    made = []
    for seed in range(SEASONS):
        jobs, skills = made_crews(CREWS, seed)
        found = compare_crews(jobs, exposure([{}]).clear(), season=FIRST, seed=seed)
        made.append((found, {name(crew): skill for crew, skill in enumerate(skills)}))
    return made


def shares(seasons: Made, low: str, high: str) -> np.ndarray:
    """Share of the intervals of a season's crews that hold the truth: crews of a season miss together."""
    out = []
    for found, skill in seasons:
        rows = [row for row in found.crews.to_dicts() if row["ratio"] is not None]
        mean = np.exp(np.mean([np.log(skill[row["crew"]]) for row in rows]))
        out.append(np.mean([row[low] <= skill[row["crew"]] / mean <= row[high] for row in rows]))
    return np.array(out)


@pytest.mark.parametrize("limits", [("low", "high"), ("pooled_low", "pooled_high")])
def test_intervals_at_95_percent_hold_the_true_ratio_95_times_in_100(seasons: Made, limits: tuple[str, str]) -> None:
    """Within three Monte Carlo errors."""
    found = shares(seasons, *limits)
    assert found.mean() == pytest.approx(0.95, abs=3 * found.std() / SEASONS**0.5)


def test_no_pair_of_crews_is_told_apart_the_wrong_way(seasons: Made) -> None:
    """Over all pairs of a season at once in 1 of 40 at most; of 60 seasons, 6 would have a chance under .01."""
    wrong = 0
    for found, skill in seasons:
        told = found.contrasts.filter(pl.col("told_apart")).to_dicts()
        wrong += any((row["ratio"] < 1) != (skill[row["crew"]] < skill[row["other_crew"]]) for row in told)
    assert wrong < 6


def test_fair_hours_name_the_fastest_crew_more_often_than_raw_hours(seasons: Made) -> None:
    fair = raw = 0
    for found, skill in seasons:
        rows = [row for row in found.crews.to_dicts() if row["ratio"] is not None]
        best = min(skill[row["crew"]] for row in rows)
        fair += skill[min(rows, key=lambda row: row["ratio"])["crew"]] == best
        raw += skill[min(rows, key=lambda row: row["observed_hours"] / row["feet"])["crew"]] == best
    assert fair > raw


def test_pooled_ratios_are_nearer_to_the_truth_than_raw_ones_where_crews_are_nearly_alike() -> None:
    """A true spread of 4 %, about that of a crew's own ratio; with a larger one there is little to pool."""
    errors = {"ratio": 0.0, "pooled_ratio": 0.0}
    for seed in range(SEASONS // 2):
        jobs, skills = made_crews(CREWS, seed, spread=0.04)
        rows = compare_crews(jobs, exposure([{}]).clear(), season=FIRST, seed=seed).crews.to_dicts()
        skill = {name(crew): value / np.exp(np.log(skills).mean()) for crew, value in enumerate(skills)}
        for key in errors:
            errors[key] += np.mean([np.log(row[key] / skill[row["crew"]]) ** 2 for row in rows])
    assert errors["pooled_ratio"] < errors["ratio"]


def test_limits_of_fault_ratios_hold_the_truth_at_least_95_times_in_100() -> None:
    """A crew's true ratio is its workmanship over that of the average connection, by the faults due; in clusters."""
    by_season = []
    for seed in range(SEASONS):
        jobs = made_job_hours(150, seed)
        rows = compare_crews(jobs, made_exposure(jobs, seed + 10_000), season=SEASON, seed=seed).crews.to_dicts()
        due = np.array([row["expected_faults"] for row in rows])
        true = np.array([WORKMANSHIP[row["crew"]] for row in rows])
        true = true / ((true * due).sum() / due.sum())
        by_season.append(
            np.mean([row["fault_low"] <= t <= row["fault_high"] for row, t in zip(rows, true, strict=True)])
        )
    assert np.mean(by_season) >= 0.95 - 3 * np.std(by_season) / np.sqrt(SEASONS)


@pytest.mark.parametrize("crews", ["3", "5", "12"])
def test_the_kept_result_of_a_thousand_seasons_says_what_the_report_says(crews: str) -> None:
    """Limits of 95 % hold the truth 95 times in 100 within three Monte Carlo errors; those of all comparisons at once,
    which are wider so that claims stay rare, at least so often but for that."""
    kept = json.loads(KEPT.read_text(encoding="utf-8"))
    found = kept["crews"][crews]
    assert kept["seasons"] >= 1_000
    single = [what for what in found if what.startswith("multiplier") or what.split(" of a ")[0].endswith("ratio")]
    assert len(single) == 17
    for what in single:
        assert abs(found[what]["share"] - NOMINAL) <= three_errors(found[what]["seasons"]), what
    assert found["all crews and pairs at once"]["share"] >= NOMINAL - three_errors(1_000)
    assert found["a claim where all are equal"]["share"] < 0.05
    assert found["a claim the wrong way"]["share"] < 0.05
    assert found["fair hours name the fastest"]["share"] > found["raw hours name the fastest"]["share"]
