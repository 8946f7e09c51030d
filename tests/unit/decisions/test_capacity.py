"""The crew hours of a season, and how many are left for a kind of work, worked by hand."""

from __future__ import annotations

from decimal import Decimal

import polars as pl
import pytest
from support.season_frames import SEASON, job_cost, settings

from pipeline.decisions.capacity import CrewHours, crew_hours

JOBS = job_cost([{"work": "new"}, {"work": "repeat"}, {"work": "repeat"}])
HOURS = pl.DataFrame(
    {"branch": ["main"] * 3, "job_no": ["000", "001", "002"], "prep_hours": [1.0, 0.0, 0.0],
     "install_hours": [4.0, 2.0, 3.0], "drive_hours": [1.0, 0.5, 0.5], "takedown_hours": [2.0, 1.0, 1.0],
     "service_hours": [0.0, 1.0, 0.0], "storage_hours": [0.0, 0.0, None]}
)  # fmt: skip


def tasks(**seasons: float) -> pl.DataFrame:
    """Direct hours of seasons from the last one back: `now`, `before`; and shop hours, which are no job's."""
    years = {"now": SEASON, "before": SEASON - 1, "later": SEASON + 1}
    rows = [(years[name], "all", "install", Decimal(str(hours))) for name, hours in seasons.items()]
    return pl.DataFrame([*rows, (SEASON, "all", "shop", Decimal(99)), (SEASON, "main", "install", Decimal(99))],
                        schema=["season", "branch", "task", "hours"], orient="row")  # fmt: skip


def test_other_work_takes_its_own_hours_and_the_rest_is_left() -> None:
    """New work took 8 h, repeat work 4.5 + 4.5; of 17 h in all, so of 30 there are 21 left beside repeat work."""
    crew = crew_hours(JOBS, HOURS, tasks(now=17), settings(crew_hours="30"), season=SEASON)
    assert crew.took == pytest.approx({"all": 17, "new": 8, "repeat": 9})
    assert (crew.left("new"), crew.left("repeat"), crew.left("not said")) == pytest.approx((21, 22, 30))
    assert (crew.most, crew.busiest) == (30, None)


def test_without_the_setting_the_busiest_season_up_to_this_one_is_the_limit() -> None:
    crew = crew_hours(JOBS, HOURS, tasks(now=17, before=20, later=90), settings(), season=SEASON)
    assert (crew.most, crew.busiest) == (20, SEASON - 1)
    assert crew_hours(JOBS, HOURS, tasks(now=17, before=16), settings(), season=SEASON).busiest == SEASON


def test_hours_spread_by_feet_do_not_tell_works_apart() -> None:
    spread = JOBS.with_columns(has_own_hours=pl.lit(False))
    crew = crew_hours(spread, HOURS, tasks(now=17), settings(), season=SEASON)
    assert crew.of("new") == crew.of("repeat") == crew.left("new") == 17


def test_no_hours_are_no_limit_and_more_work_than_hours_leaves_none() -> None:
    assert crew_hours(JOBS, HOURS, tasks(before=20), settings(), season=SEASON) == CrewHours()
    assert CrewHours().left("new") is None
    assert crew_hours(JOBS, HOURS, tasks(now=17), settings(crew_hours="5"), season=SEASON).left("new") == 0
