"""What practice gains a crew whose start is in the records."""

from __future__ import annotations

from datetime import date, timedelta
from decimal import Decimal

import numpy as np
import pytest
from support.season_frames import SEASON, job_hours

from pipeline.decisions.crews_design import usable_jobs
from pipeline.decisions.learning import LEARNS, SCHEMA, UNTOLD, crew_learning


def hanging(crew: str, season: int, jobs: int, progress: float = 1.0, feet: int = 100) -> list[dict]:
    """Jobs of like feet a day apart; with practice hours fall with the feet hung by the middle of the job."""
    rng = np.random.default_rng([season, *crew.encode()])
    middles = feet * (np.arange(jobs) + 0.5)
    hours = 5 * (middles / middles[0]) ** np.log2(progress) * np.exp(rng.normal(0, 0.08, jobs))
    return [{"crew": crew, "season": season, "job_no": f"{crew}{season}{n:03d}", "feet": Decimal(feet),
             "install_date": date(season, 10, 1) + timedelta(days=n), "install_hours": Decimal(str(round(h, 6)))}
            for n, h in enumerate(hours)]  # fmt: skip


def learned(rows: list[dict]) -> tuple[list[dict], list[str]]:
    frame = job_hours(rows)
    found, notes = crew_learning(frame, usable_jobs(frame), SEASON)
    assert list(found.schema) == list(SCHEMA)
    return found.to_dicts(), notes


OLD = hanging("Old", SEASON - 1, 30) + hanging("Old", SEASON, 30)


def test_a_crew_that_began_in_the_records_has_its_progress_ratio() -> None:
    rows, notes = learned(OLD + hanging("New", SEASON, 30, progress=0.85))
    assert [row["crew"] for row in rows] == ["New"]
    assert rows[0]["progress_ratio"] == pytest.approx(0.85, abs=0.03)
    assert rows[0]["low"] < 0.85 < rows[0]["high"]
    assert (rows[0]["told"], rows[0]["first_season"], rows[0]["jobs"]) == (LEARNS, SEASON, 30)
    # 30 jobs of 100 ft: the first one's middle lies at 50 ft and the last one's at 2,950.
    assert (rows[0]["first_feet"], rows[0]["feet"]) == (50, 2950)
    assert rows[0]["now_over_start"] == pytest.approx(rows[0]["progress_ratio"] ** np.log2(59))
    assert notes == []


def test_a_crew_that_does_not_learn_is_not_said_to() -> None:
    rows, _ = learned(OLD + hanging("New", SEASON, 30))
    assert rows[0]["told"] == UNTOLD
    assert rows[0]["low"] < 1 < rows[0]["high"]


def test_crews_of_the_first_season_have_no_start_in_the_records() -> None:
    rows, notes = learned(OLD)
    assert rows == []
    assert notes[0].startswith("What crews gain with practice cannot be told: every crew of the season worked")


@pytest.mark.parametrize(("jobs", "known"), [(19, False), (20, True)])
def test_practice_takes_twenty_jobs(jobs: int, known: bool) -> None:
    rows, notes = learned(OLD + hanging("New", SEASON, jobs))
    assert bool(rows) == known
    assert bool(notes) != known


@pytest.mark.parametrize(("feet", "known"), [(376, False), (375, True)])
def test_practice_takes_four_times_the_first_feet(feet: int, known: bool) -> None:
    """A job of F ft whose hours nobody wrote down, then 25 of 50 ft: their middles run from F + 25 to F + 1,225, and
    F + 1,225 >= 4 (F + 25) where F <= 375."""
    rows = hanging("New", SEASON, 26, feet=50)
    rows[0] |= {"feet": Decimal(feet), "install_hours": None}
    assert bool(learned(OLD + rows)[0]) == known


def test_feet_hung_without_hours_on_record_count_as_practice() -> None:
    rows = hanging("New", SEASON, 30)
    rows[0] |= {"install_hours": None}
    assert learned(OLD + rows)[0][0]["first_feet"] == 150
