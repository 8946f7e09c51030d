"""What must hold of cost whatever the season: on seasons that hypothesis draws."""

from __future__ import annotations

from decimal import Decimal
from random import Random

import polars as pl
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from support.seasons_by_chance import BRANCHES, made_seasons
from support.tables import Season, measure, measures

few = settings(max_examples=6, suppress_health_check=list(HealthCheck))
"""Each example builds every model twice."""
chances = st.randoms(use_true_random=False)
TABLES = ("measures.job_cost", "audit.control")


def figures(season: Season) -> list[list[tuple[object, ...]]]:
    """Every cell of the jobs and of the control."""
    return [frame.sort(pl.all()).rows() for frame in measures(TABLES, season)]


def total(season: Season) -> Decimal:
    """What the season cost."""
    return measure("measures.season_cost", season).filter(pl.col("branch") == "all")["total_usd"][0]


@few
@given(
    chance=chances,
    cents=st.integers(1, 10**8),
    basis=st.sampled_from(("feet", "hours", "revenue", "jobs")),
    branch=st.sampled_from((*BRANCHES, "Depot", None)),
)
def test_an_overhead_of_x_raises_the_season_by_x(chance: Random, cents: int, basis: str, branch: str | None) -> None:
    """Whoever bears it; a depot has no jobs, so that all bear what is its."""
    (season,) = made_seasons(chance, 1)
    before = total(season)
    overheads = season.records["overheads"]
    more = overheads.head(1).with_columns(
        amount=pl.lit(Decimal(cents) / 100, dtype=overheads.schema["amount"]),
        basis=pl.lit(basis),
        branch=pl.lit(branch, dtype=pl.String),
    )
    season.records["overheads"] = pl.concat([overheads, more])
    assert total(season) - before == Decimal(cents) / 100


@few
@given(chance=chances, seed=st.integers(0, 99))
def test_the_order_of_rows_and_files_changes_nothing(chance: Random, seed: int) -> None:
    """The rows of each table in another order, as from files named and read in another order."""
    (season,) = made_seasons(chance, 1)
    straight = figures(season)
    for tables in (season.records, season.refused):
        for name, frame in tables.items():
            mixed = frame.sample(fraction=1, shuffle=True, seed=seed)
            parts = [mixed[place::3].with_columns(source_file=pl.lit(f"{3 - place}.xlsx")) for place in range(3)]
            tables[name] = pl.concat(parts)
    assert figures(season) == straight


@few
@given(chance=chances, row=st.integers(0, 99), quarters=st.integers(1, 3))
def test_an_hours_row_split_in_two_changes_nothing(chance: Random, row: int, quarters: int) -> None:
    (season,) = made_seasons(chance, 1)
    whole = figures(season)
    hours = season.records["hours"]
    place = row % hours.height
    kind = hours.schema["hours"]
    long = hours["hours"][place]
    short = (long * quarters / 4).quantize(Decimal("0.000001"))
    halves = [hours[place].with_columns(hours=pl.lit(part, dtype=kind)) for part in (short, long - short)]
    season.records["hours"] = pl.concat([hours[:place], *halves, hours[place + 1 :]])
    assert figures(season) == whole


@few
@given(chance=chances, which=st.integers(0, 99))
def test_renaming_a_job_changes_nothing_else(chance: Random, which: int) -> None:
    """The new number keeps the job's place among its branch's: a last cent goes by it."""
    (season,) = made_seasons(chance, 1)
    jobs, control = measures(TABLES, season)
    branch, old = season.records["jobs"].select("branch", "job_no").row(which % season.records["jobs"].height)
    its = (pl.col("branch") == branch) & (pl.col("job_no") == old)
    renamed = pl.when(its).then(pl.lit(f"{old}-A")).otherwise(pl.col("job_no")).alias("job_no")
    for tables in (season.records, season.refused):
        for name, frame in tables.items():
            tables[name] = frame.with_columns(renamed) if "job_no" in frame.columns else frame
    wanted = [frame.sort(pl.all()).rows() for frame in (jobs.with_columns(renamed), control)]
    assert figures(season) == wanted
