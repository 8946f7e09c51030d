"""Folders of spreadsheets as large as the benchmarks need; every name and figure is invented."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date, timedelta
from pathlib import Path

import numpy as np
import polars as pl
import xlsxwriter

FIRST_DAY = date(2025, 9, 1)
CREWS = tuple(f"{tree} {number}" for tree in ("Maple", "Alder", "Cedar", "Birch") for number in range(1, 11))
TASKS = ("prep", "drive", "install", "install", "install", "service", "takedown", "storage", "shop")
NOTES = ("gate at the side", "ladder left behind the garage", "rain until noon", "timer set to five", "call before")
SURFACES = ("gutter", "shingle", "ridge", "masonry", "trim", "ground")
HEADINGS = {
    "job_no": "Job #", "customer_no": "Customer no", "feet": "Length (ft)", "branch": "Branch", "crew": "Crew",
    "work": "Work", "terms": "Terms", "stories": "Stories", "drive_miles": "Drive miles", "quoted": "Quoted",
    "invoiced": "Invoiced", "install_date": "Install date", "takedown_date": "Takedown date", "run_no": "Run no",
    "surface": "Surface", "spacing_in": "Spacing in", "line_item": "Line item", "bulb_item": "Bulb item",
    "fasteners": "Fasteners", "feed": "Feed", "work_date": "Date", "worker_no": "Worker no", "task": "Task",
    "hours": "Hours", "notes": "Notes",
}  # fmt: skip
"""Headings as a person writes them."""


def _words(chance: np.random.Generator, words: Sequence[str], rows: int) -> pl.Series:
    return pl.Series(words).gather(chance.integers(0, len(words), rows))


def _days(chance: np.random.Generator, rows: int, days: int, first: date = FIRST_DAY) -> pl.Series:
    return pl.Series(np.datetime64(first) + chance.integers(0, days, rows).astype("timedelta64[D]"), dtype=pl.Date)


def jobs(rows: int, seed: int = 1) -> pl.DataFrame:
    """A table of jobs of 13 columns."""
    chance = np.random.default_rng(seed)
    invoiced = chance.integers(300_00, 4_000_00, rows) / 100
    return pl.DataFrame(
        {
            "job_no": pl.Series(np.arange(1001, 1001 + rows)),
            "customer_no": pl.Series(np.arange(rows)).cast(pl.String).str.zfill(5).str.replace("^", "C"),
            "feet": chance.integers(600, 4_000, rows) / 10,
            "branch": ["main"] * rows,
            "crew": _words(chance, CREWS, rows),
            "work": _words(chance, ("new", "repeat"), rows),
            "terms": _words(chance, ("leased", "sold"), rows),
            "stories": chance.integers(1, 4, rows),
            "drive_miles": chance.integers(0, 120, rows),
            "quoted": invoiced,
            "invoiced": invoiced,
            "install_date": _days(chance, rows, 90),
            "takedown_date": _days(chance, rows, 60, FIRST_DAY + timedelta(days=120)),
        }
    )


def runs(rows: int, of_jobs: int, seed: int = 2) -> pl.DataFrame:
    """A table of runs of 10 columns."""
    chance = np.random.default_rng(seed)
    feet = chance.integers(100, 1_500, rows) / 10
    return pl.DataFrame(
        {
            "job_no": pl.Series(np.arange(rows) % of_jobs + 1001),
            "run_no": pl.Series(np.arange(rows) // of_jobs + 1),
            "surface": _words(chance, SURFACES, rows),
            "feet": feet,
            "spacing_in": chance.choice([6, 12, 15], rows),
            "line_item": _words(chance, ("LL06", "LL12", "LL15"), rows),
            "bulb_item": _words(chance, ("B9WW", "B9R", "B7WW"), rows),
            "fasteners": pl.Series(feet).ceil().cast(pl.Int64),
            "feed": _words(chance, ("A", "B", "C"), rows),
            "notes": _words(chance, NOTES, rows),
        }
    )


def hours(rows: int, of_jobs: int, seed: int = 3) -> pl.DataFrame:
    """A table of hours of 8 columns; about two rows a worker and day."""
    chance = np.random.default_rng(seed)
    workers = [f"W{number:04d}" for number in range(max(1, rows // 300))]
    return pl.DataFrame(
        {
            "work_date": _days(chance, rows, 150),
            "job_no": chance.integers(1001, 1001 + of_jobs, rows),
            "branch": ["main"] * rows,
            "crew": _words(chance, CREWS, rows),
            "worker_no": _words(chance, workers, rows),
            "task": _words(chance, TASKS, rows),
            "hours": chance.integers(1, 17, rows) / 4,
            "notes": pl.DataFrame(
                {"word": _words(chance, NOTES, rows), "number": chance.integers(1, 5_000, rows)}
            ).select(pl.format("{} {}", "word", "number")),
        }
    )  # fmt: skip


def _headed(frame: pl.DataFrame) -> pl.DataFrame:
    return frame.rename(HEADINGS, strict=False)


def write_workbook(path: Path, sheets: dict[str, pl.DataFrame]) -> None:
    """A workbook with typed cells, one sheet a table."""
    with xlsxwriter.Workbook(path) as book:
        day = book.add_format({"num_format": "yyyy-mm-dd"})
        for name, frame in sheets.items():
            sheet = book.add_worksheet(name)
            sheet.write_row(0, 0, _headed(frame).columns)
            for place, column in enumerate(frame.get_columns()):
                sheet.write_column(1, place, column.to_list(), day if column.dtype == pl.Date else None)


def workbook_of_hours(folder: Path) -> Path:
    """One workbook of a million cells: 4,000 jobs and 118,500 rows of hours."""
    folder.mkdir(parents=True, exist_ok=True)
    write_workbook(folder / "season.xlsx", {"Jobs": jobs(4_000), "Hours": hours(118_500, 4_000)})
    return folder


def workbook_of_runs(folder: Path) -> Path:
    """One workbook of a million cells: 20,000 jobs and 74,000 runs."""
    folder.mkdir(parents=True, exist_ok=True)
    write_workbook(folder / "season.xlsx", {"Jobs": jobs(20_000), "Runs": runs(74_000, 20_000)})
    return folder


def csv_season(folder: Path, job_rows: int = 50_000, hour_rows: int = 1_000_000) -> Path:
    """A season as two files of CSV without quotes."""
    folder.mkdir(parents=True, exist_ok=True)
    _headed(jobs(job_rows)).write_csv(folder / "jobs.csv")
    _headed(hours(hour_rows, job_rows).drop("notes")).write_csv(folder / "hours.csv")
    return folder
