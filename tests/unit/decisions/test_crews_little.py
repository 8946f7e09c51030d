"""What is said of crews where little is known: one crew, three jobs, one season; and where a job went wild."""

from __future__ import annotations

from decimal import Decimal

import numpy as np
import polars as pl
import pytest
from support.season_frames import SEASON, exposure, job_hours

from pipeline.decisions.crews import CrewComparison, compare_crews

NO_EXPOSURE = exposure([{}]).clear()


def hanging(crew: str, skill: float, jobs: int, season: int = SEASON, noise: float = 0.1, seed: int = 0) -> list[dict]:
    rng = np.random.default_rng([seed, season, *crew.encode()])
    return [
        {"crew": crew, "season": season, "job_no": f"{crew}{season}{n:03d}", "feet": Decimal(80 + 10 * (n * 7 % jobs)),
         "install_hours": Decimal(str(round(0.05 * (80 + 10 * (n * 7 % jobs)) ** 0.9 * skill
                                            * float(np.exp(rng.normal(0, noise))), 6)))}
        for n in range(jobs)
    ]  # fmt: skip


def compared(rows: list[dict]) -> CrewComparison:
    return compare_crews(job_hours(rows), NO_EXPOSURE, season=SEASON, seed=1)


def nothing_compared(found: CrewComparison) -> bool:
    tables = ("crew_contrasts", "hours_multipliers", "crew_jobs", "crew_model")
    return found.crews["ratio"].is_null().all() and all(found.tables[name].is_empty() for name in tables)


def test_one_crew_has_its_raw_hours_and_nobody_to_be_compared_with() -> None:
    found = compared(hanging("A", 1.0, 20))
    assert nothing_compared(found)
    assert found.crews["observed_hours"][0] > 0
    assert found.notes[0].startswith("Crews are compared where 2 crews of a branch have 8 jobs each")
    assert found.crews["note"][0] == "no other crew of the branch has 8 jobs: raw hours only"


def test_three_jobs_are_not_a_comparison() -> None:
    found = compared(hanging("A", 1.0, 3) + hanging("B", 1.0, 3))
    assert nothing_compared(found)
    assert set(found.crews["note"]) == {"fewer than 8 jobs: raw hours only"}


def test_one_season_tells_nothing_of_practice_nor_of_a_lasting_pace() -> None:
    found = compared(hanging("A", 0.9, 20) + hanging("B", 1.1, 20))
    assert found.learning.is_empty()
    assert found.learning_notes == [
        "What crews gain with practice cannot be told from one season: no crew's start is in it."
    ]
    assert found.crews["lasting_ratio"].is_null().all()
    assert "lasting_crew_spread" not in found.model["what"].to_list()


@pytest.mark.parametrize(("seasons", "known"), [(2, False), (3, True)])
def test_three_seasons_tell_a_lasting_pace_and_two_do_not(seasons: int, known: bool) -> None:
    """Skills .8, 1 and 1.25, whose geometric mean is 1."""
    skills = {"A": 0.8, "B": 1.0, "C": 1.25}
    rows = [row for crew, skill in skills.items() for back in range(seasons)
            for row in hanging(crew, skill, 20, SEASON - back)]  # fmt: skip
    crews = {row["crew"]: row for row in compared(rows).crews.to_dicts()}
    assert all((row["lasting_ratio"] is not None) == known for row in crews.values())
    if known:
        assert crews["A"]["lasting_seasons"] == 3
        assert crews["A"]["lasting_low"] < 0.8 < crews["A"]["lasting_high"] < 1


def test_a_season_without_comparison_has_no_lasting_pace_from_before() -> None:
    rows = [row for crew in "AB" for back in (1, 2, 3) for row in hanging(crew, 1.0, 20, SEASON - back)]
    assert nothing_compared(compared(rows + hanging("A", 1.0, 5) + hanging("B", 1.0, 5)))


def test_a_wild_job_is_named_and_does_not_decide() -> None:
    rows = hanging("A", 1.0, 20) + hanging("B", 1.0, 20)
    usual = {row["crew"]: row["ratio"] for row in compared(rows).crews.to_dicts()}
    rows[4] = rows[4] | {"install_hours": rows[4]["install_hours"] * 20}
    found = compared(rows)
    assert found.jobs.filter(pl.col("is_wild"))["job_no"].to_list() == [rows[4]["job_no"]]
    ratio = {row["crew"]: row for row in found.crews.to_dicts()}
    assert ratio["A"]["ratio"] == pytest.approx(usual["A"], abs=0.015)
    assert ratio["A"]["without_wild_ratio"] == pytest.approx(usual["A"], abs=0.015)
    assert not ratio["A"]["told_apart"]
    assert dict(found.model.select("what", "value").rows())["wild_jobs"] == 1


def test_expected_hours_of_jobs_add_up_to_those_of_their_crew() -> None:
    found = compared(hanging("A", 0.8, 20) + hanging("B", 1.2, 20))
    jobs = found.jobs.group_by("crew").agg(pl.col("hours", "expected_hours").sum())
    sums = {row["crew"]: row for row in jobs.to_dicts()}
    for row in found.crews.to_dicts():
        assert sums[row["crew"]]["expected_hours"] == pytest.approx(row["expected_hours"])
        assert row["observed_hours"] / row["expected_hours"] == pytest.approx(row["ratio"])


def test_fair_hours_are_those_of_all_the_branch_s_houses() -> None:
    """The same houses for both: a crew's fair hours are its raw ones, but for luck with single houses."""
    found = compared(hanging("A", 0.8, 20, noise=0.01) + hanging("B", 1.25, 20, noise=0.01))
    for row in found.crews.to_dicts():
        raw = row["observed_hours"] / row["feet"] * 100
        assert row["fair_hours_per_100_ft"] == pytest.approx(raw, rel=0.02)


def test_a_multiplier_is_what_the_same_crew_took_with_it_against_without() -> None:
    """A second story takes 1.3 times the hours, twice the feet 2 ^ .9 = 1.866 times."""
    rows = hanging("A", 0.8, 30, noise=0.02) + hanging("B", 1.2, 30, noise=0.02)
    high = [row | {"stories": 2 if n % 2 else 1,
                   "install_hours": row["install_hours"] * (Decimal("1.3") if n % 2 else 1)}
            for n, row in enumerate(rows)]  # fmt: skip
    found = {row["term"]: row for row in compared(high).multipliers.to_dicts()}
    assert found["story_2"]["multiplier"] == pytest.approx(1.3, abs=0.03)
    assert found["story_2"]["low"] < 1.3 < found["story_2"]["high"]
    assert found["feet"]["multiplier"] == pytest.approx(1.866, abs=0.03)
    assert (found["feet"]["what"], found["story_2"]["what"]) == ("twice the feet on one job", "a second story")
