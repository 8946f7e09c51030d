"""What of a house is taken into the model of hours."""

from __future__ import annotations

from datetime import date, timedelta
from decimal import Decimal

import numpy as np
import polars as pl
import pytest
from support.season_frames import job_hours

from pipeline.decisions.crews_design import design, usable_jobs

CREWS = np.repeat([0, 1], 12)


def jobs(**columns: object) -> pl.DataFrame:
    """24 jobs of two crews that differ in feet alone, and in the columns given."""
    feet = np.tile(np.linspace(80, 300, 12), 2)
    rows = [{"crew": "AB"[c], "feet": Decimal(str(round(f, 1))), "install_hours": Decimal(5)}
            for c, f in zip(CREWS, feet, strict=True)]  # fmt: skip
    return usable_jobs(job_hours(rows)).with_columns(**{k: pl.Series(v) for k, v in columns.items()})  # type: ignore[arg-type]


def keys(frame: pl.DataFrame) -> tuple[list[str], tuple[str, ...]]:
    found = design(frame, CREWS)
    return [term.key for term in found.terms], found.left_out


def test_what_does_not_vary_says_nothing() -> None:
    assert keys(jobs()) == (["feet"], ())


def test_with_24_jobs_and_two_crews_two_terms_fit_and_the_others_are_named() -> None:
    """24 / 5 is 4, of which each crew takes one."""
    rng = np.random.default_rng(4)
    busy = jobs(stories=rng.integers(1, 3, 24), slope=rng.uniform(4, 12, 24), workers=rng.integers(2, 4, 24),
                work=rng.choice(["new", "repeat"], 24))  # fmt: skip
    assert keys(busy) == (["feet", "repeat"], ("stories", "slope", "crew size"))


def test_a_crew_s_own_size_is_the_crew_and_not_the_house() -> None:
    assert "workers" not in keys(jobs(workers=np.where(CREWS == 0, 2, 3)))[0]


@pytest.mark.parametrize(("high", "known"), [(4, False), (5, True)])
def test_a_story_takes_five_jobs_on_either_side(high: int, known: bool) -> None:
    stories = np.where(np.arange(24) % 12 < high / 2, 2, 1)
    stories[12] = 2 if high == 4 else 1
    assert stories.sum() - 24 == high
    assert ("story_2" in keys(jobs(stories=stories))[0]) == known


def test_a_later_start_counts_in_weeks_since_the_season_s_first() -> None:
    days = np.arange(24) * 3
    frame = jobs(install_date=[date(2031, 10, 6) + timedelta(days=int(day)) for day in days])
    week = next(term for term in design(frame, CREWS).terms if term.key == "week")
    assert week.column[[0, 7, 23]] == pytest.approx([0, 3, 69 / 7])


def test_slopes_count_apart_below_and_above_six_in_twelve() -> None:
    """4/12 is 4 and 0 above, 10/12 is 6 and 4 above."""
    slope = np.where(np.arange(24) % 2 == 0, 4.0, 10.0)
    slope[[3, 5, 8]] = [6.0, 8.0, 6.0]
    found = {term.key: term for term in design(jobs(slope=slope), CREWS).terms}
    assert found["steep"].column[[0, 1, 5]] == pytest.approx([0, 4, 2])
    assert (found["steep"].what, found["steep"].step) == ("a 10/12 slope in place of 6/12", 4.0)


def test_a_few_jobs_without_runs_do_not_take_the_surfaces_away() -> None:
    """One of 24 stands at the mean of the others; with two, which is over 5 %, their absence is a term."""
    share = np.linspace(0, 1, 24)

    def terms(gaps: int) -> list[str]:
        given = [None if n < gaps else float(v) for n, v in enumerate(share)]
        rest = [None if v is None else 1 - v for v in given]
        frame = jobs(share_masonry=given, share_gutter=rest, feet=[100.0] * 24)
        return [term.key for term in design(frame, CREWS).terms]

    assert terms(1) == ["on_masonry"]
    assert terms(2) == ["on_masonry", "surfaces_not_recorded"]
