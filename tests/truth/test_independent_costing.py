"""The SQL against a second costing in plain Python: every part of every job, to the cent, on seasons made by chance."""

from __future__ import annotations

from datetime import date
from decimal import Decimal

import polars as pl
import pytest
from support.plain_costing import cost_of
from support.seasons_by_chance import made_season
from support.tables import Season, measure

PARTS = ("labor", "materials", "travel", "equipment", "service", "overhead")
Cents = dict[tuple[int, str, str, str], Decimal]


def by_sql(*seasons: Season) -> Cents:
    """The parts that are not 0, by season, branch, job and part."""
    frame = measure("measures.job_cost", *seasons)
    columns = [f"{part}_usd" for part in PARTS]
    long = frame.unpivot(columns, index=["season", "branch", "job_no"], variable_name="part", value_name="usd")
    return {(s, b, j, part.removesuffix("_usd")): usd for s, b, j, part, usd in long.rows() if usd}


def by_hand(*seasons: Season) -> Cents:
    """The same from the second costing."""
    return {
        (season, branch, job_no, part): usd
        for season, books in cost_of(*seasons).items()
        for ((branch, job_no), part), usd in books.parts().items()
        if usd
    }


@pytest.mark.parametrize("seed", [*range(16), 439])
def test_two_ways_of_costing_agree_to_the_cent(seed: int) -> None:
    season = made_season(seed)
    assert by_sql(season) == by_hand(season)


@pytest.mark.parametrize("seed", [101, 102])
def test_a_week_that_two_seasons_share_has_one_overtime(seed: int) -> None:
    """The earlier season's last storage work and the later one's first prep fall in the same weeks."""
    seasons = (made_season(seed, 2024, date(2025, 8, 1)), made_season(seed + 50, 2025, date(2025, 8, 4)))
    assert by_sql(*seasons) == by_hand(*seasons)


@pytest.mark.parametrize("seed", [3, 7])
def test_the_order_of_the_rows_changes_nothing(seed: int) -> None:
    season = made_season(seed)
    straight = by_sql(season)
    season.records = {name: frame.reverse() for name, frame in season.records.items()}
    assert by_sql(season) == straight


@pytest.mark.parametrize("basis", ["feet", "hours", "revenue", "jobs"])
def test_an_overhead_of_x_raises_the_season_by_x(basis: str) -> None:
    season = made_season(5)
    before = measure("measures.season_cost", season).filter(pl.col("branch") == "all")["total_usd"][0]
    one = season.records["overheads"].head(1)
    more = one.with_columns(
        amount=pl.lit(Decimal("1234.57"), dtype=one.schema["amount"]),
        basis=pl.lit(basis),
        branch=pl.lit(None, dtype=pl.String),
    )
    season.records["overheads"] = pl.concat([season.records["overheads"], more])
    after = measure("measures.season_cost", season).filter(pl.col("branch") == "all")["total_usd"][0]
    assert after - before == Decimal("1234.57")


@pytest.mark.parametrize("seed", range(20, 28))
def test_the_jobs_bear_what_was_read_less_outside_and_refused(seed: int) -> None:
    season = made_season(seed)
    control = season.measure("audit.control")
    assert set(control["difference_usd"]) == {Decimal(0)}
    jobs = season.measure("measures.job_cost")
    for part in PARTS:
        of_part = control.filter(pl.col("part") == part)
        read, outside, refused = (of_part[f"{name}_usd"].sum() for name in ("read", "outside", "refused"))
        assert read - outside - refused == (jobs[f"{part}_usd"].sum() or 0), part
