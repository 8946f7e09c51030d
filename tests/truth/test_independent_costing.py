"""The SQL against a second costing in plain Python, to the cent, on stores of one to three seasons made by chance.

What is compared: every part of every job, the owner's hours in it, the seasons' totals, every cell of the control, each
employee's year, what later seasons are to bear of leased goods, and what is back of kits that did not return.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable
from decimal import Decimal
from fractions import Fraction
from random import Random
from typing import Any

import pytest
from hypothesis import HealthCheck, given, note, settings
from hypothesis import strategies as st
from support.plain_costing import Books, cost_of
from support.plain_goods import absent_kits
from support.plain_records import in_cents
from support.seasons_by_chance import Size, made_seasons
from support.tables import Season, as_text, measures

PARTS = ("labor", "materials", "travel", "equipment", "service", "overhead")
WAYS = ("on_jobs_usd", "spread_usd", "outside_usd", "refused_usd")
TABLES = (
    "measures.job_cost",
    "measures.season_cost",
    "audit.control",
    "measures.worker_years",
    "measures.leased_write_downs",
    "measures.leased_schedule",
)
LONGEST_LIFE = 6
"""Seasons, of the made items."""
Figures = dict[tuple[Any, ...], Any]


def cells(rows: Iterable[dict[str, Any]], keys: str, names: Iterable[str]) -> Figures:
    """The cells that are not 0, by the rows' keys and the column's name."""
    return {(*(row[key] for key in keys.split()), name): row[name] for row in rows for name in names if row[name]}


def by_sql(*seasons: Season) -> dict[str, Figures]:
    jobs, totals, control, years, gone, schedule = (frame.to_dicts() for frame in measures(TABLES, *seasons))
    assert not any(row["difference_usd"] for row in control)
    of_job = (*(f"{part}_usd" for part in PARTS), "total_usd", "owner_usd", "total_without_owner_usd")
    return {
        "jobs": cells(jobs, "season branch job_no", of_job)
        | {(r["season"], r["branch"], r["job_no"], "owner_usd"): None for r in jobs if r["owner_usd"] is None},
        "seasons": cells((row for row in totals if row["branch"] == "all"), "season", ("total_usd",)),
        "control": cells(control, "season branch part", WAYS),
        "years": cells(years, "year worker_no", ("pay_usd", "before_usd")),
        "schedule": cells(schedule, "season branch built_season later_season", ("carried_usd",)),
        "goods back": {
            (r["season"], r["branch"], r["job_no"], r["item_no"]): round(Fraction(r["usable_quantity"]), 6)
            for r in gone
            if r["usable_quantity"]
        },
    }


def by_hand(*seasons: Season) -> dict[str, Figures]:
    """The same from the second costing."""
    books = cost_of(*seasons)
    found: dict[str, Figures] = {name: {} for name in ("jobs", "seasons", "control", "years", "schedule", "goods back")}
    for season, its in books.items():
        found["jobs"] |= jobs_of(season, its)
        found["schedule"] |= schedule_of(season, its)
        found["seasons"][season, "total_usd"] = sum(its.parts().values())
        for (branch, part), usd in its.control_in_cents().items():
            found["control"] |= {(season, branch, part, way): cent for way, cent in zip(WAYS, usd, strict=True) if cent}
        if season - 1 in books:
            for kit in absent_kits(books[season - 1].goods, its.season):
                if kit.back and kit.carried:
                    key = season, kit.job["branch"], kit.job["job_no"], kit.item_no
                    found["goods back"][key] = round(kit.back, 6)
    pay: dict[tuple[int, str], Fraction] = defaultdict(Fraction)
    for entry in (entry for its in books.values() for entry in its.entries if entry.engaged == "employee"):
        pay[entry.row["work_date"].year, entry.row["worker_no"]] += entry.pay
        if entry.before:
            found["years"][entry.row["work_date"].year, entry.row["worker_no"], "before_usd"] = in_cents(entry.before)
    found["years"] |= {(*key, "pay_usd"): in_cents(usd) for key, usd in pay.items()}
    return found


def schedule_of(season: int, books: Books) -> Figures:
    """What each later season is to bear of the leased goods that stand, by branch and season of building."""
    carried: dict[tuple[Any, ...], Fraction] = defaultdict(Fraction)
    for kit in books.goods.kits:
        for later in range(1, LONGEST_LIFE + 1):
            if kit.carried_into(later):
                built = season - (kit.age or 0)
                carried[season, kit.job["branch"], built, season + later, "carried_usd"] += kit.carried_into(later)
    return {key: in_cents(usd) for key, usd in carried.items() if in_cents(usd)}


def jobs_of(season: int, books: Books) -> Figures:
    """A season's jobs: the parts, their sum, and the owner's hours where they have a price."""
    found: Figures = defaultdict(Decimal)
    for ((branch, job_no), part), usd in books.parts().items():
        found[season, branch, job_no, f"{part}_usd"] = usd
        found[season, branch, job_no, "total_usd"] += usd
    known = books.owners_known()
    for (branch, job_no), usd in books.owners().items():
        owner = None if usd is None else in_cents(usd)
        total = found[season, branch, job_no, "total_usd"]
        found[season, branch, job_no, "owner_usd"] = owner
        found[season, branch, job_no, "total_without_owner_usd"] = total - in_cents(known[branch, job_no])
    return {key: usd for key, usd in found.items() if usd != 0}


def disagreements(*seasons: Season) -> list[tuple[Any, ...]]:
    """Table, place and column of each figure that differs, with the SQL's and the second costing's."""
    ours, theirs = by_sql(*seasons), by_hand(*seasons)
    return [
        (name, key, ours[name].get(key), theirs[name].get(key))
        for name in theirs
        for key in sorted(ours[name].keys() | theirs[name].keys(), key=str)
        if ours[name].get(key) != theirs[name].get(key)
    ]


def shown(season: Season) -> str:
    """A season's settings and records, without the columns that are blank, to be read in a failed test."""
    lines = [f"season {season.season}", str(season.settings.given)]
    for name, frame in [*season.records.items(), *((f"refused {n}", f) for n, f in season.refused.items())]:
        said = [
            column for column in frame.columns if frame[column].null_count() < frame.height and "source" not in column
        ]
        lines += [name, as_text(said, [[str(cell) for cell in row] for row in frame.select(said).rows()])]
    return "\n".join(lines)


@settings(max_examples=22, suppress_health_check=list(HealthCheck))
@given(chance=st.randoms(use_true_random=False), count=st.integers(1, 3))
def test_two_ways_of_costing_agree_to_the_cent(chance: Random, count: int) -> None:
    """Hypothesis draws every row and cell, and makes a disagreement as small as it can."""
    seasons = made_seasons(chance, count)
    for season in seasons:
        note(shown(season))
    assert disagreements(*seasons) == []


@pytest.mark.parametrize("count", [1, 2, 3])
@pytest.mark.parametrize("seed", range(2))
def test_they_agree_on_larger_seasons(seed: int, count: int) -> None:
    seasons = made_seasons(Random(seed), count, Size())
    assert disagreements(*seasons) == []
