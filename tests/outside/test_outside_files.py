"""Dirty spreadsheets that general-purpose packages ship: each is set aside by name, or read cell for cell.

Where the files come from, what is odd in each and what it must be read as: tests/outside/SOURCES.toml. A .csv is
compared with what the csv module of Python reads, an .xlsx with what openpyxl reads, an .xls or .ods with facts that
were written by hand from what xlrd and odfpy gave.
"""

from __future__ import annotations

import csv
import hashlib
import io
import tomllib
from datetime import date, datetime, time
from pathlib import Path
from typing import Any

import openpyxl
import pytest
from support.checking import checked_folder, plain_season, record_bytes
from support.small_season import small_season
from support.twelve_ways import one_csv_a_table

from pipeline.errors import UsageError
from pipeline.validation import check_folder
from pipeline.workbook import SheetReading, read_folder
from pipeline.workbook.opening import SUFFIXES, SheetCells, open_sheets

FILES = Path(__file__).parent / "files"
SOURCES: dict[str, dict[str, Any]] = tomllib.loads((FILES.parent / "SOURCES.toml").read_text(encoding="utf-8"))
KEPT = {FILES / package / name: says for package, about in SOURCES.items() for name, says in about["files"].items()}
READ = {path: says for path, says in KEPT.items() if "refused" not in says}
REFUSED = {path: says for path, says in KEPT.items() if "refused" in says}
BY_OPENPYXL = [path for path, says in READ.items() if path.suffix in (".xlsx", ".xlsm") and "facts" not in says]
BY_CSV = [path for path in READ if path.suffix == ".csv"]
BY_FACTS = [path for path, says in READ.items() if "facts" in says]

Rows = list[list[str]]


def name_of(path: Path) -> str:
    return path.relative_to(FILES).as_posix()


def trimmed(rows: Rows) -> Rows:
    """Rows without blank cells at their end and without blank rows at the end of the sheet."""
    out = []
    for row in rows:
        last = max((place for place, text in enumerate(row) if text), default=-1)
        out.append(row[: last + 1])
    while out and not out[-1]:
        out.pop()
    return out


def spaced(text: str) -> str:
    """Text without invisible signs, its blanks and line ends as single spaces."""
    return " ".join(text.replace("\ufeff", "").split())


def ours(path: Path) -> dict[str, Rows]:
    """Each sheet's rows as this program opens them."""
    sheets = [sheet for sheet in open_sheets(path, path.read_bytes()) if isinstance(sheet, SheetCells)]
    return {sheet.name: trimmed([[cell or "" for cell in row] for row in sheet.cells.rows()]) for sheet in sheets}


def cell_text(value: object) -> str:
    """A cell of openpyxl as the text that stands for it."""
    if isinstance(value, bool):
        return str(value).upper()
    if isinstance(value, datetime):
        return value.date().isoformat() if value.time() == time(0) else value.isoformat()
    if isinstance(value, time):
        return f"{value.hour}:{value:%M}" + (f":{value:%S}" if value.second else "")
    if isinstance(value, date):
        return value.isoformat()
    if isinstance(value, int | float):
        return f"{value:.15g}"
    return "" if value is None else spaced(str(value))


def by_openpyxl(path: Path) -> dict[str, Rows]:
    """Each sheet's rows as openpyxl reads them; cells merged down a column hold their value in each row in use."""
    found = {}
    for sheet in openpyxl.load_workbook(path, data_only=True).worksheets:
        rows = [[cell_text(value) for value in row] for row in sheet.iter_rows(values_only=True)]
        height = len(trimmed(rows))
        for block in sheet.merged_cells.ranges:
            for row in range(block.min_row, min(block.max_row, height)):
                rows[row][block.min_col - 1] = rows[block.min_row - 1][block.min_col - 1]
        found[sheet.title] = trimmed(rows)
    return found


def test_every_file_kept_is_described_and_is_what_its_package_ships() -> None:
    kept = {path for path in FILES.rglob("*") if path.suffix in SUFFIXES}
    assert kept == set(KEPT)
    for path, says in KEPT.items():
        assert hashlib.sha256(path.read_bytes()).hexdigest() == says["sha256"], path
    assert all((FILES / package / "LICENSE.txt").is_file() for package in SOURCES)


@pytest.mark.filterwarnings("ignore::UserWarning:openpyxl.*")
@pytest.mark.parametrize("path", BY_OPENPYXL, ids=name_of)
def test_a_workbook_is_opened_cell_for_cell_as_another_library_reads_it(path: Path) -> None:
    assert ours(path) == by_openpyxl(path)


@pytest.mark.parametrize("path", BY_CSV, ids=name_of)
def test_a_csv_is_opened_cell_for_cell_as_the_csv_module_reads_it(path: Path) -> None:
    text = path.read_bytes().decode(KEPT[path]["encoding"])
    rows = [[spaced(cell) for cell in row] for row in csv.reader(io.StringIO(text, newline=""))]
    assert ours(path) == {"": trimmed(rows)}


@pytest.mark.parametrize("path", BY_FACTS, ids=name_of)
def test_a_workbook_of_another_format_is_opened_as_was_written_down_by_hand(path: Path) -> None:
    says, found = KEPT[path], ours(path)
    assert {sheet: len(rows) for sheet, rows in found.items()} == says["used_rows"]
    for sheet, row, column, text in says["facts"]:
        cells = found[sheet][row - 1]
        assert (cells[column - 1] if column <= len(cells) else "") == text, (sheet, row, column)


@pytest.mark.parametrize("path", REFUSED, ids=name_of)
def test_a_file_that_cannot_be_read_is_named_with_the_reason(path: Path) -> None:
    name = name_of(path)
    (problem,) = [file.problem for file in read_folder(path.parent).files if file.path == path.name]
    assert problem is not None
    assert problem.startswith(f"{path.name}: {KEPT[path]['refused']}"), name


def accounted(readings: list[SheetReading]) -> list[int]:
    return sorted(
        row for reading in readings for row in [*reading.cells["source_row"], *reading.set_aside["source_row"]]
    )


@pytest.mark.parametrize("path", READ, ids=name_of)
def test_every_row_of_every_sheet_alone_in_a_folder_is_accounted_for_once(path: Path, tmp_path: Path) -> None:
    (tmp_path / path.name).write_bytes(path.read_bytes())
    reading = read_folder(tmp_path)
    for sheet, rows in ours(path).items():
        assert accounted([one for one in reading.sheets if one.sheet == sheet]) == list(range(1, len(rows) + 1))
    assert all(sheet.table or sheet.note for sheet in reading.sheets)
    with pytest.raises(UsageError, match="was recognised as jobs"):
        check_folder(reading)


def test_beside_all_of_them_a_season_gives_the_same_records(tmp_path: Path) -> None:
    one_csv_a_table(small_season(), tmp_path)
    for path in KEPT:
        (tmp_path / f"{path.parent.name} {path.name}").write_bytes(path.read_bytes())
    plain, found = plain_season(), checked_folder(tmp_path)
    assert {name: record_bytes(found, name) for name in found.records} == {
        name: record_bytes(plain, name) for name in plain.records
    }
    assert sum(found.intake["rejected"]) == sum(found.intake["held"]) == 0
    named = set(found.intake["source_file"]) | set(found.findings["source_file"])
    assert named >= {f"{path.parent.name} {path.name}" for path in KEPT}
