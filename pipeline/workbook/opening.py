"""Open a file and give its sheets as frames of text, whatever its format."""

from __future__ import annotations

import io
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import polars as pl
from python_calamine import CalamineSheet, CalamineWorkbook, PasswordError, SheetTypeEnum

from pipeline.workbook.cells import text_frame
from pipeline.workbook.delimited import read_csv
from pipeline.workbook.looking import Seen, Unreadable, look
from pipeline.workbook.opendocument import Merge, clock

SPREADSHEETS = (".xlsx", ".xlsm", ".xls", ".ods")
SUFFIXES = (*SPREADSHEETS, ".csv")


@dataclass(frozen=True)
class SheetCells:
    """A sheet's name and its cells as clean text from row 1 and column A on; columns are named `0`, `1` and so on."""

    name: str
    cells: pl.DataFrame


def _fill_merges(rows: list[list[Any]], merges: Iterable[Merge]) -> None:
    """Cells merged down a column hold their value in each of their rows."""
    for (top, left), (bottom, _) in merges:
        for row in rows[top + 1 : bottom + 1]:
            if row[left] == "":
                row[left] = rows[top][left]


def _columns(sheet: CalamineSheet, seen: Seen, is_opendocument: bool) -> list[tuple[Any, ...]]:
    rows: list[list[Any]] = sheet.to_python(skip_empty_area=False)
    if is_opendocument:
        rows = [[clock(value) if isinstance(value, str) else value for value in row] for row in rows]
    for row, column, text in seen.errors.get(sheet.name, ()):
        # The library gives an error cell as a blank one, which would hide it.
        if row < len(rows) and column < len(rows[row]):
            rows[row][column] = text
    _fill_merges(rows, sheet.merged_cell_ranges or seen.merges.get(sheet.name, []))
    return list(zip(*rows, strict=True))


def _guarded(error: BaseException) -> Unreadable:
    """The library's panics are no Exception; only the person's own interruption goes through."""
    if isinstance(error, KeyboardInterrupt | SystemExit | GeneratorExit):
        raise error
    if isinstance(error, PasswordError):
        return Unreadable("it is protected by a password; save it without one.")
    return Unreadable(f"it cannot be opened as a spreadsheet ({error}); save it again as .xlsx.")


def _spreadsheet(data: bytes, is_opendocument: bool) -> Iterator[SheetCells | Unreadable]:
    try:
        seen = look(data)
        book = CalamineWorkbook.from_filelike(io.BytesIO(data))
    except Unreadable:
        raise
    except BaseException as error:
        raise _guarded(error) from None
    for sheet in book.sheets_metadata:
        if sheet.typ is not SheetTypeEnum.WorkSheet:
            continue
        try:
            columns = _columns(book.get_sheet_by_name(sheet.name), seen, is_opendocument)
        except BaseException as error:
            yield Unreadable(f"sheet '{sheet.name}' cannot be read: {_guarded(error)}")
            continue
        yield SheetCells(sheet.name, text_frame(columns))


def open_sheets(path: Path, data: bytes) -> Iterator[SheetCells | Unreadable]:
    """The sheets of a file, and in place of one that cannot be read the reason. Raises Unreadable for the whole."""
    if path.suffix.casefold() == ".csv":
        yield SheetCells("", read_csv(data))
    else:
        yield from _spreadsheet(data, is_opendocument=path.suffix.casefold() == ".ods")
