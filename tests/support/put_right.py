"""Workbooks of rejected rows as a person has them: written by a run, opened, changed, saved and put back.

    folder = made(tmp_path, hours=HOURS)
    book = rejects(folder)
    book.row("see note")["Hours"] = "6"
    book.save(folder / "rejects.xlsx")
    checked = check(folder)

A book is read and written here by itself, as any spreadsheet program would: cells in, cells out.
"""

from __future__ import annotations

import csv
import re
from collections.abc import Callable, Iterator
from datetime import datetime
from pathlib import Path

import polars as pl
import xlsxwriter
from python_calamine import CalamineWorkbook

from pipeline.flows.rejects import rejects_of
from pipeline.render.rejects import write_rejects
from pipeline.validation import Checked, check_folder
from pipeline.workbook import read_folder

JOBS = """Job #,Customer,Crew,Work,Terms,Stories,Invoiced,Installed,Feet
1,C1,Maple,new,sold,1,700,2025-11-10,100
2,C2,Maple,new,sold,2,800,2025-11-11,120
"""
HOURS = """Work date,Job #,Crew,Worker,Task,Hours
2025-11-10,1,Maple,W1,install,see note
2025-11-10,2,Maple,W1,install,3
2025-11-11,1,Maple,W1,drive,~2
"""
Cell = object
_NUMBER = re.compile(r"-?\d+(?:\.\d+)?")
_DAYS = ((re.compile(r"\d{4}-\d\d-\d\d"), "%Y-%m-%d"), (re.compile(r"\d\d?-[A-Z][a-z]{2}-\d\d"), "%d-%b-%y"))


def made(folder: Path, **texts: str) -> Path:
    """A folder of CSV files: jobs 1 and 2 unless they are given, and hours or any other table."""
    folder.mkdir(parents=True, exist_ok=True)
    for name, text in ({"jobs": JOBS} | texts).items():
        (folder / f"{name}.csv").write_text(text, encoding="utf-8")
    return folder


class Line(dict[str, Cell]):
    """A row of a book by its headings."""


class Book:
    """The sheets of a workbook: the headings in the first row of each, the rows under them."""

    def __init__(self, path: Path) -> None:
        opened = CalamineWorkbook.from_path(path)
        self.headings: dict[str, list[str]] = {}
        self.lines: dict[str, list[Line]] = {}
        for name in opened.sheet_names:
            rows = opened.get_sheet_by_name(name).to_python(skip_empty_area=False)
            self.headings[name] = [str(text) for text in rows[0]]
            self.lines[name] = [Line(zip(self.headings[name], row, strict=True)) for row in rows[1:]]

    def __iter__(self) -> Iterator[Line]:
        for name, lines in self.lines.items():
            if "Origin row" in self.headings[name]:
                yield from lines

    def row(self, cell: str) -> Line:
        """The one row that holds a cell."""
        (found,) = [line for line in self if cell in line.values()]
        return found

    def places(self) -> dict[str, int]:
        """How many rows are rejected, held, accepted or not counted."""
        found = [str(line["Rejected or held"]) for line in self]
        return {place: found.count(place) for place in dict.fromkeys(found)}

    def save(self, path: Path, spelled: Callable[[Cell], Cell] = lambda cell: cell) -> Path:
        """Write all sheets as another program would; `spelled` says what it makes of a cell."""
        with xlsxwriter.Workbook(path, {"default_date_format": "yyyy-mm-dd"}) as book:
            for name, headings in self.headings.items():
                sheet = book.add_worksheet(name)
                for row, line in enumerate([dict(zip(headings, headings, strict=True)), *self.lines[name]]):
                    for column, heading in enumerate(headings):
                        value = spelled(line[heading])
                        if isinstance(value, str):
                            sheet.write_string(row, column, value)
                        elif value is not None:
                            sheet.write(row, column, value)
        return path

    def save_csv(self, path: Path, name: str) -> Path:
        """Write one sheet as CSV."""
        with path.open("w", encoding="utf-8", newline="") as file:
            writer = csv.DictWriter(file, self.headings[name])
            writer.writeheader()
            writer.writerows(self.lines[name])
        return path


def without_formats(cell: Cell) -> Cell:
    """What a program makes of a text whose format was lost: a number or a date where it looks like one."""
    if not isinstance(cell, str):
        return cell
    if _NUMBER.fullmatch(cell):
        return float(cell)
    for pattern, form in _DAYS:
        if pattern.fullmatch(cell):
            try:
                return datetime.strptime(cell, form).date()
            except ValueError:
                return cell
    return cell


def check(folder: Path) -> Checked:
    """A folder read and checked."""
    return check_folder(read_folder(folder), 2025)


def write(folder: Path, path: Path) -> bool:
    """Write a folder's workbook of rejected rows; whether there was anything to write."""
    reading = read_folder(folder)
    rejects = rejects_of(reading, check_folder(reading, 2025))
    if rejects is not None:
        write_rejects(rejects, path)
    return rejects is not None


def rejects(folder: Path) -> Book:
    """The workbook of rejected rows of a folder, opened."""
    path = folder.parent / "written.xlsx"
    assert write(folder, path)
    return Book(path)


def counts(checked: Checked) -> dict[str, int]:
    """Rows accepted, rejected and held, after seeing that for every sheet the four places add up."""
    placed = checked.intake.select(pl.sum_horizontal("accepted", "rejected", "held", "set_aside")).to_series()
    assert checked.intake["rows_read"].to_list() == placed.to_list()
    return checked.intake.select("accepted", "rejected", "held").sum().row(0, named=True)


def hours(checked: Checked) -> list[tuple[str, str, float]]:
    """Accepted hours: day, task and hours, in order."""
    rows = checked.records["hours"].select("work_date", "task", "hours").rows()
    return sorted((day.isoformat(), task, float(spent)) for day, task, spent in rows)


def errors(checked: Checked) -> list[str]:
    """The rules that errors broke, other than those of cells."""
    found = checked.findings.filter(pl.col("severity") == "error")["rule"].to_list()
    return [rule for rule in found if not rule.endswith("_can_be_read")]
