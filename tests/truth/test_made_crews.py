"""Made seasons whose truth is known and is not the model: do the intervals hold it as often as they say?"""

from __future__ import annotations

import numpy as np
import pytest
from support.made_season import WORKMANSHIP, made_exposure, made_job_hours, true_ratio

from pipeline.decisions import crews

SEASONS = 120
JOBS = 150
Rows = list[list[dict]]


@pytest.fixture(scope="module")
def compared() -> Rows:
    """Comparisons of made seasons. Fewer draws than the pipeline's widen nothing, they only roughen each interval."""
    patch = pytest.MonkeyPatch()
    patch.setattr(crews, "BOOTSTRAP_DRAWS", 400)
    rows = []
    for seed in range(SEASONS):
        jobs = made_job_hours(JOBS, seed)
        table, _ = crews.compare_crews(jobs, made_exposure(jobs, seed + 10_000), seed=seed)
        rows.append([row for row in table.to_dicts() if row["ratio"] is not None])
    patch.undo()
    return rows


def held(compared: Rows, low: str, high: str) -> tuple[float, float]:
    """Share of intervals that hold the truth, and its Monte Carlo error: crews of a season miss together."""
    by_season = [np.mean([row[low] <= true_ratio(row["crew"]) <= row[high] for row in rows]) for rows in compared]
    return float(np.mean(by_season)), float(np.std(by_season) / np.sqrt(SEASONS))


@pytest.mark.parametrize("limits", [("low", "high"), ("pooled_low", "pooled_high")])
def test_intervals_at_95_percent_hold_the_true_ratio_95_times_in_100(compared: Rows, limits: tuple[str, str]) -> None:
    """Within three Monte Carlo errors."""
    share, error = held(compared, *limits)
    assert share == pytest.approx(0.95, abs=3 * error)


def test_skilled_crews_on_steep_houses_are_not_taken_for_average_ones(compared: Rows) -> None:
    """The mean of each crew's log ratio less the truth: within three of its own errors, and 1 % for what the fitted
    model cannot bend to."""
    for crew in WORKMANSHIP:
        misses = [np.log(row["ratio"] / true_ratio(crew)) for rows in compared for row in rows if row["crew"] == crew]
        assert abs(np.mean(misses)) < 3 * np.std(misses) / np.sqrt(len(misses)) + 0.01, crew


def test_raw_hours_do_hide_it(compared: Rows) -> None:
    """What the adjustment is for: hours per foot make the best crew look nearer to the middle than it is."""
    shown = []
    for rows in compared:
        east = {row["crew"]: row for row in rows if row["branch"] == "east"}
        raw = {crew: np.log(row["observed_hours"] / float(row["feet"])) for crew, row in east.items()}
        if "Alder" in raw:
            shown.append(raw["Alder"] - np.mean(list(raw.values())))
    assert np.mean(shown) > np.log(true_ratio("Alder")) + 0.02


def test_pooled_ratios_are_nearer_to_the_truth_than_raw_ones(compared: Rows) -> None:
    errors = {
        name: np.mean([np.log(row[name] / true_ratio(row["crew"])) ** 2 for rows in compared for row in rows])
        for name in ("ratio", "pooled_ratio")
    }
    assert errors["pooled_ratio"] < errors["ratio"]


def test_limits_of_fault_ratios_hold_the_truth_at_least_95_times_in_100(compared: Rows) -> None:
    """A crew's true ratio is its workmanship over that of the average connection, by the faults due; in clusters."""
    by_season = []
    for rows in compared:
        due = np.array([row["expected_faults"] for row in rows])
        true = np.array([WORKMANSHIP[row["crew"]] for row in rows])
        true = true / ((true * due).sum() / due.sum())
        by_season.append(
            np.mean([row["fault_low"] <= t <= row["fault_high"] for row, t in zip(rows, true, strict=True)])
        )
    assert np.mean(by_season) >= 0.95 - 3 * np.std(by_season) / np.sqrt(SEASONS)
