"""Seasons of records as large as the benchmarks need, loaded into a store; every name and figure is invented."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date
from typing import Any

import numpy as np
import polars as pl

from pipeline.settings import Settings
from pipeline.validation.corrections import SCHEMA as CORRECTIONS
from pipeline.vocabulary import DECIMAL_KINDS, DECIMAL_PLACES, WHOLE_KINDS, tables
from pipeline.warehouse import Run, Store, load_season, make_tables, transaction

JOBS_A_BRANCH = 1_000
CREWS_A_BRANCH = 6
JOBS_A_WORKER = 14
"""36 hours a job, 500 hours a season and worker."""
START = date(2025, 10, 1)
ITEMS = {"LL12": ("light_line", 500, 150), "B9": ("bulb", 25, 20), "CL": ("fastener", 100, 10), "PL": ("plug", 10, 9)}
TASKS = ("prep", "drive", "install", "install", "takedown", "service")
"""An hours row each for every job; every fifth job's service row is one, the others' are storage."""
SETTINGS = {
    "state_unemployment": "0.027", "state_base": "9000", "compensation": "0.08", "owner_wage": "30",
}  # fmt: skip


def frame(name: str, rows: int, given: dict[str, Any]) -> pl.DataFrame:
    """A record table of so many rows; the fields that are not given are blank."""
    types: dict[str, Any] = {"season": pl.Int32, "branch": pl.String}
    for field, about in tables()[name].fields.items():
        if about.kind in DECIMAL_KINDS:
            types[field] = pl.Decimal(26, DECIMAL_PLACES)
        elif about.kind in WHOLE_KINDS:
            types[field] = pl.Int32
        else:
            types[field] = {"date": pl.Date, "yesno": pl.Boolean}.get(about.kind, pl.String)
    types |= {"source_file": pl.String, "source_sheet": pl.String, "source_row": pl.Int32}
    given = {
        "season": START.year,
        "source_file": "made.csv",
        "source_sheet": name,
        "source_row": np.arange(rows),
    } | given
    columns = [_column(given.get(field), rows).cast(kind).alias(field) for field, kind in types.items()]
    return pl.DataFrame(columns)


def _column(values: Any, rows: int) -> pl.Series:
    if isinstance(values, np.ndarray | pl.Series):
        return pl.Series(values)
    return pl.repeat(values, rows, eager=True)


def days(offsets: np.ndarray) -> pl.Series:
    """Days after the first one."""
    return pl.Series(np.datetime64(START) + offsets.astype("timedelta64[D]"), dtype=pl.Date)


def words(choices: Sequence[str], places: np.ndarray) -> pl.Series:
    """The words at these places."""
    return pl.Series(choices).gather(places)


def season(jobs: int, seed: int = 1) -> dict[str, pl.DataFrame]:
    """Jobs with six hours rows, four goods rows, a run and a connection each, and what branches have beside them."""
    chance = np.random.default_rng(seed)
    job = np.arange(jobs)
    at = job % max(1, jobs // JOBS_A_BRANCH)
    branches = [f"B{number:04d}" for number in range(at.max() + 1)]
    branch, job_no = words(branches, at), pl.Series(job).cast(pl.String)
    crew = pl.Series(at * CREWS_A_BRANCH + job // (at.max() + 1) % CREWS_A_BRANCH).cast(pl.String) + "-crew"
    installed = chance.integers(30, 85, jobs)
    feet = chance.integers(600, 4_000, jobs) / 10
    place = {"branch": branch, "job_no": job_no}
    made = {
        "jobs": frame("jobs", jobs, place | {
            "customer_no": "C" + job_no, "property_no": "C" + job_no, "crew": crew, "feet": feet,
            "work": words(("new", "repeat"), job % 2), "terms": words(("leased", "sold"), job // 2 % 2),
            "built_season": pl.Series(np.where(job % 2 == 1, START.year - 1 - job % 3, -1)).replace(-1, None),
            "stories": job % 3 + 1, "drive_miles": chance.integers(1, 60, jobs), "install_date": days(installed),
            "invoiced": chance.integers(300_00, 3_000_00, jobs) / 100, "takedown_date": days(installed + 60),
            "lit_nights": 60,
        }),
        "runs": frame("runs", jobs, place | {
            "run_no": "1", "surface": "gutter", "feet": feet, "spacing_in": 12, "line_item": "LL12", "bulb_item": "B9",
            "fastener_item": "CL", "sockets": feet.astype(int),
        }),
        "connections": frame("connections", jobs, place | {"kind": "plug", "count": job % 5}),
    }  # fmt: skip
    made["hours"] = _hours(chance, made["jobs"], installed, len(branches))
    made["materials"] = _materials(chance, made["jobs"], feet)
    return made | _rest(chance, branches, made["hours"]["worker_no"].unique().sort())


def _hours(chance: np.random.Generator, jobs: pl.DataFrame, installed: np.ndarray, branches: int) -> pl.DataFrame:
    """Six rows a job, by workers of its branch."""
    count = jobs.height
    workers = max(1, count // JOBS_A_WORKER // branches)
    parts = []
    for place, task in enumerate(TASKS):
        later = {"takedown": 60, "service": 20}.get(task, 0)
        tasks = words(("storage", "service"), (np.arange(count) % 5 == 0).astype(int)) if task == "service" else task
        who = (np.arange(count) % branches) * workers + chance.integers(0, workers, count)
        parts.append(frame("hours", count, {
            "branch": jobs["branch"], "job_no": jobs["job_no"], "crew": jobs["crew"], "task": tasks,
            "work_date": days(installed + later), "worker_no": "W" + pl.Series(who).cast(pl.String),
            "hours": chance.integers(4, 48, count) / 4, "source_row": np.arange(count) * 6 + place,
        }))  # fmt: skip
    return pl.concat(parts).sort("source_row")


def _materials(chance: np.random.Generator, jobs: pl.DataFrame, feet: np.ndarray) -> pl.DataFrame:
    """What a job was issued of each item; a tenth more than stands there, or a little back."""
    count = jobs.height
    parts = [
        frame("materials", count, {
            "branch": jobs["branch"], "job_no": jobs["job_no"], "item_no": item, "moved": moved,
            "move_date": jobs["install_date"], "quantity": quantity, "source_row": np.arange(count) * 4 + place,
        })
        for place, (item, moved, quantity) in enumerate((
            ("LL12", "issued", (feet * 11 // 1) / 10), ("B9", "issued", feet // 1 + chance.integers(0, 5, count)),
            ("CL", "issued", feet // 1 + 10), ("LL12", "returned", chance.integers(1, 20, count)),
        ))
    ]  # fmt: skip
    return pl.concat(parts).sort("source_row")


def _rest(chance: np.random.Generator, branches: list[str], workers: pl.Series) -> dict[str, pl.DataFrame]:
    """Workers, prices, purchases, counts, charges and trips."""
    each, many, paid = len(ITEMS), len(branches), workers.len()
    names = pl.Series(list(ITEMS))
    places = pl.Series(branches)
    kinds, sizes, prices = (pl.Series(column) for column in zip(*ITEMS.values(), strict=True))
    crews = pl.Series(np.repeat(np.arange(many * CREWS_A_BRANCH), 60)).cast(pl.String) + "-crew"
    return {
        "workers": frame("workers", paid, {"worker_no": workers, "engaged": "employee", "role": "installer",
                                           "hourly_wage": chance.integers(16_00, 30_00, paid) / 100}),
        "pay": frame("pay", paid, {"worker_no": workers, "kind": "bonus", "amount": 50,
                                   "from_date": days(np.full(paid, 0)), "to_date": days(np.full(paid, 180))}),
        "items": frame("items", each, {"item_no": names, "kind": kinds, "pack_size": sizes, "pack_price": prices,
                                       "unit": words(("ft", "each"), np.array([0, 1, 1, 1])), "life_seasons": 4}),
        "purchases": frame("purchases", each, {"item_no": names, "bought_date": days(np.zeros(each)), "packs": 1000,
                                               "pack_size": sizes, "paid": prices * 900, "freight": 250}),
        "stock": frame("stock", 2 * each, {"item_no": pl.concat([names, names]), "on_hand": 10_000,
                                           "condition": "usable", "counted_on": days(np.repeat([0, 200], each))}),
        "equipment": frame("equipment", many, {"branch": places, "use_date": days(np.full(many, 40)), "kind": "lift",
                                               "amount": 285}),
        "overheads": frame("overheads", many, {"branch": places, "what": "rent", "amount": 9000.5, "basis": "feet",
                                               "behaves": "fixed"}),
        "trips": frame("trips", crews.len(), {"crew": crews, "branch": None, "miles": 70,
                                              "trip_date": days(np.tile(np.arange(30, 90), many * CREWS_A_BRANCH))}),
    }  # fmt: skip


def _nothing(columns: str, whole: str = "") -> pl.DataFrame:
    return pl.DataFrame(schema=dict.fromkeys(columns.split(), pl.String) | dict.fromkeys(whole.split(), pl.Int64))


def load(store: Store, records: dict[str, pl.DataFrame]) -> None:
    """Load a season into a store."""
    make_tables(store)
    with transaction(store):
        load_season(
            store,
            season=START.year,
            branches=tuple(records["jobs"]["branch"].unique().sort()),
            records=records,
            refused={},
            findings=_nothing("source_file source_sheet column_name value rule severity message remedy", "source_row"),
            intake=_nothing("source_file source_sheet record_table headings left_out note",
                            "rows_read accepted rejected held set_aside"),
            corrections=pl.DataFrame(schema=CORRECTIONS),
            files=(),
            settings=Settings.from_pairs(SETTINGS.items()).rows(),
            run=Run(run_id="made", started="2026-03-01T00:00:00+00:00", version="0", folder="made"),
        )  # fmt: skip
