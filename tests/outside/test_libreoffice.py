"""The small season saved by LibreOffice in every format is read to the same cells, rows and records.

tests/outside/make_libreoffice.py made the files: titles, a total of hours past a day, error cells, Booleans, numbers
stored as text, cells merged down a column, a hidden sheet, filtered rows, units in headings, a foreign sheet, and a
workbook that counts its days from 1904.
"""

from __future__ import annotations

import zipfile
from functools import cache
from pathlib import Path

import polars as pl
import pytest
from support.checking import checked_folder, plain_season, record_bytes
from support.small_season import small_season

from pipeline.validation import Checked
from pipeline.vocabulary import tables
from pipeline.workbook import SheetReading, read_folder

MADE = Path(__file__).parent / "libreoffice"
FORMATS = ("xlsx", "xls", "ods", "csv")
AS_NUMBERS = {"TRUE": "1", "FALSE": "0"}
"""LibreOffice saves a Boolean of an .xlsx in an .ods as the number that it stands for."""


@cache
def readings(kind: str) -> dict[str, SheetReading]:
    """Readings by table; the foreign sheets by their place."""
    sheets = read_folder(MADE / kind).sheets
    foreign = (f"foreign {number}" for number in range(9))
    return {sheet.table or next(foreign): sheet for sheet in sheets}


@cache
def checked(kind: str) -> Checked:
    return checked_folder(MADE / kind)


def cells_of(sheet: SheetReading) -> pl.DataFrame:
    yes_or_no = [field.name for field in tables()[sheet.table or "jobs"].fields.values() if field.kind == "yesno"]
    return sheet.cells.with_columns(pl.col([name for name in yes_or_no if name in sheet.cells]).replace(AS_NUMBERS))


def test_the_files_are_what_they_are_said_to_be() -> None:
    with zipfile.ZipFile(MADE / "xlsx/epoch.xlsx") as book:
        assert b'date1904="true"' in book.read("xl/workbook.xml")
    with zipfile.ZipFile(MADE / "ods/epoch.ods") as book:
        assert b'null-date table:date-value="1904-01-01"' in book.read("content.xml")
    with zipfile.ZipFile(MADE / "xlsx/season.xlsx") as book:
        assert b'name="settings" sheetId="16" state="hidden"' in book.read("xl/workbook.xml")


@pytest.mark.parametrize("kind", FORMATS)
def test_every_table_is_read_to_the_same_cells_under_the_same_headings(kind: str) -> None:
    assert set(readings(kind)) == {*tables(), "foreign 0", "foreign 1"}
    for name, sheet in readings(kind).items():
        as_xlsx = readings("xlsx")[name]
        assert sheet.columns == as_xlsx.columns, name
        assert sheet.left_out == as_xlsx.left_out, name
        assert cells_of(sheet).rows() == cells_of(as_xlsx).rows(), name
        assert sheet.set_aside.rows() == as_xlsx.set_aside.rows(), name
        assert sheet.totals.rows() == as_xlsx.totals.rows(), name


def test_the_cells_are_those_that_were_put_in() -> None:
    hours = readings("xlsx")["hours"]
    entries = small_season()["hours"]
    # A title, a blank row and the headings stand above the first entry.
    assert hours.cells["source_row"].to_list() == list(range(4, 4 + len(entries)))
    assert hours.cells["work_date"].to_list() == [str(entry["work_date"]) for entry in entries]
    minutes = [round(float(str(entry["hours"])) * 60) for entry in entries]
    assert hours.cells["hours"].to_list() == [f"{total // 60}:{total % 60:02}" for total in minutes]
    assert hours.totals["hours"].to_list() == [f"{sum(minutes) // 60}:{sum(minutes) % 60:02}"]
    runs = readings("xlsx")["runs"]
    assert runs.cells["job_no"].to_list() == [run["job_no"] for run in small_season()["runs"]]


@pytest.mark.parametrize("kind", FORMATS)
def test_every_format_gives_the_records_of_the_season_written_plainly(kind: str) -> None:
    plainly = plain_season()
    assert set(checked(kind).records) == set(plainly.records)
    for name in plainly.records:
        assert record_bytes(checked(kind), name) == record_bytes(plainly, name), name


@pytest.mark.parametrize("kind", FORMATS)
def test_a_row_with_an_error_in_a_cell_that_it_needs_is_rejected_alike(kind: str) -> None:
    findings = checked(kind).findings
    assert findings.select("source_row", "value", "severity").rows() == [(47, "#REF!", "error")]
    assert checked(kind).intake["rejected"].sum() == 1
