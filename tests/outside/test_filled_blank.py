"""The blank workbook, filled in with LibreOffice as blank/fill.py says, goes in clean: every row, every cell."""

from __future__ import annotations

import shutil
import tomllib
from datetime import date, datetime
from decimal import Decimal
from functools import cache
from io import BytesIO
from pathlib import Path

import openpyxl
import pytest

from pipeline import cli
from pipeline.dictionary import sheet_title
from pipeline.validation import Checked, check_folder
from pipeline.vocabulary import Field, tables
from pipeline.workbook import FolderReading, read_folder
from pipeline.workbook.blank import blank_workbook

HERE = Path(__file__).parent / "blank"
FILES = ("filled.xlsx", "filled.ods")
TYPED = tomllib.loads((HERE / "typed.toml").read_text(encoding="utf-8"))
DATES = ("%m/%d/%Y", "%Y-%m-%d", "%d-%b-%Y")


@pytest.fixture(scope="module", params=FILES)
def folder(request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory) -> Path:
    made = tmp_path_factory.mktemp("filled")
    shutil.copy(HERE / request.param, made)
    return made


@cache
def reading_of(folder: Path) -> FolderReading:
    return read_folder(folder)


@cache
def checked_of(folder: Path) -> Checked:
    return check_folder(reading_of(folder))


def meant(field: Field, typed: str) -> object:
    """The value that a person who typed this meant, worked out without the pipeline."""
    if field.kind == "date":
        return next(day for form in DATES if (day := _day(typed, form)))
    if field.kind == "code":
        return typed.lstrip("0")
    if field.kind == "yesno":
        return {"yes": True, "no": False}[typed]
    if field.kind in ("choice", "name", "text"):
        return typed
    if field.kind == "hours" and ":" in typed:
        hours, minutes = typed.split(":")
        return Decimal(hours) + Decimal(minutes) / 60
    if field.kind == "slope":
        return Decimal(typed.split("/")[0])
    number = Decimal(typed.strip("$%").replace(",", "").strip())
    return number / 100 if typed.endswith("%") else number


def _day(typed: str, form: str) -> date | None:
    try:
        return datetime.strptime(typed, form).date()
    except ValueError:
        return None


def test_the_season_was_typed_into_the_workbook_that_is_written_today() -> None:
    blank = openpyxl.load_workbook(BytesIO(blank_workbook()))
    filled = openpyxl.load_workbook(HERE / "filled.xlsx")
    headings = [[[cell.value for cell in sheet[1]] for sheet in book] for book in (blank, filled)]
    assert headings[0] == headings[1], "make the filled workbooks anew: tests/outside/blank/fill.py says how"


def test_every_table_was_typed_into() -> None:
    assert sorted(TYPED) == sorted(tables())


def test_every_typed_row_is_accepted_and_nothing_is_found_wrong(folder: Path) -> None:
    checked = checked_of(folder)
    assert checked.findings.is_empty()
    for name, rows in TYPED.items():
        (found,) = checked.intake.filter(record_table=name).select("accepted", "rejected", "held").rows()
        assert found == (len(rows), 0, 0), name


@pytest.mark.parametrize("name", list(tables()))
def test_every_cell_is_read_as_it_was_meant(name: str, folder: Path) -> None:
    records = checked_of(folder).records[name].sort("source_row")
    for row, typed in zip(records.iter_rows(named=True), TYPED[name], strict=True):
        for field, text in typed.items():
            assert row[field] == meant(tables()[name].fields[field], text), (field, text)


def test_leading_zeros_stay_in_the_cells(folder: Path) -> None:
    read = {sheet.table: sheet.cells for sheet in reading_of(folder).sheets}
    assert read["jobs"]["job_no"].to_list() == ["0107", "108"]
    assert read["hours"]["worker_no"].to_list() == ["007"] * 5
    assert read["items"]["item_no"].to_list()[-1] == "0042"
    assert read["jobs"]["slope"].to_list() == ["6/12", "4"]


def test_the_example_is_set_aside_where_it_still_stands(folder: Path) -> None:
    for sheet in reading_of(folder).sheets:
        if sheet.table:
            aside = dict(sheet.set_aside.iter_rows())
            # On Trips the first record was typed over it.
            assert aside == {1: "headings"} | ({} if sheet.table == "trips" else {2: "example row"})


def test_the_drop_downs_are_there_after_the_program_has_saved_them() -> None:
    filled = openpyxl.load_workbook(HERE / "filled.xlsx")
    for name, table in tables().items():
        rules = [rule for rule in filled[sheet_title(name)].data_validations.dataValidation if rule.type == "list"]
        listed = [field for field in table.fields.values() if field.allowed or field.kind == "yesno"]
        assert len(rules) == len(listed) + (name == "settings")


def test_the_season_closes(folder: Path, tmp_path: Path) -> None:
    assert cli.main(["close", str(folder), "--direct", "--strict", "--quiet", "--out", str(tmp_path)]) == 0
    assert (tmp_path / "reports/2025/owner.html").is_file()
