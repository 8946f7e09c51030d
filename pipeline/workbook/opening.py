"""Open a file and give its sheets as frames of text, whatever its format."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import polars as pl
from python_calamine import PasswordError

from pipeline.workbook.cells import text_column, without_trailing_blanks
from pipeline.workbook.delimited import read_csv
from pipeline.workbook.guarding import Grid, grids
from pipeline.workbook.looking import Seen, Unreadable, look
from pipeline.workbook.opendocument import Merge, clock

SPREADSHEETS = (".xlsx", ".xlsm", ".xls", ".ods")
SUFFIXES = (*SPREADSHEETS, ".csv")


@dataclass(frozen=True)
class SheetCells:
    """A sheet's name and its cells as clean text from row 1 and column A on; columns are named `0`, `1` and so on."""

    name: str
    cells: pl.DataFrame


class _Merges:
    """Cells merged down a column hold their value in each of their rows; rows come some at a time."""

    def __init__(self, merges: Iterable[Merge]) -> None:
        self._merges = [merge for merge in merges if merge[0][0] < merge[1][0]]
        self._held: dict[Merge, Any] = {}

    def fill(self, rows: list[list[Any]], first: int) -> None:
        """Fill rows, the first of which stands at `first`."""
        after = first + len(rows)
        for merge in self._merges:
            (top, left), (bottom, _) = merge
            if first <= top < after and left < len(rows[0]):
                self._held[merge] = rows[top - first][left]
            if merge in self._held and bottom >= first:
                for row in rows[max(top + 1 - first, 0) : bottom + 1 - first]:
                    if row[left] == "":
                        row[left] = self._held[merge]


def _frame(grid: Grid, seen: Seen, is_opendocument: bool) -> pl.DataFrame:
    merged, chunks = grid.read()
    merges = _Merges(merged or seen.merges.get(grid.name, []))
    errors = seen.errors.get(grid.name, ())
    parts: list[pl.DataFrame] = []
    first = 0
    for rows in chunks:
        if is_opendocument:
            rows = [[clock(value) if isinstance(value, str) else value for value in row] for row in rows]
        for row, column, text in errors:
            # The library gives an error cell as a blank one, which would hide it.
            if 0 <= row - first < len(rows) and column < len(rows[0]):
                rows[row - first][column] = text
        merges.fill(rows, first)
        columns = zip(*rows, strict=True)
        parts.append(pl.DataFrame([text_column(str(place), cells) for place, cells in enumerate(columns)]))
        first += len(rows)
    return without_trailing_blanks(pl.concat(parts, rechunk=True)) if parts else pl.DataFrame()


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
        sheets = grids(data, is_trusted=seen.is_bounded)
        grid = next(sheets, None)
    except Unreadable:
        raise
    except BaseException as error:
        raise _guarded(error) from None
    while grid is not None:
        try:
            found: SheetCells | Unreadable = SheetCells(grid.name, _frame(grid, seen, is_opendocument))
        except BaseException as error:
            found = Unreadable(f"sheet '{grid.name}' cannot be read: {_guarded(error)}")
        yield found
        grid = next(sheets, None)


def open_sheets(path: Path, data: bytes) -> Iterator[SheetCells | Unreadable]:
    """The sheets of a file, and in place of one that cannot be read the reason. Raises Unreadable for the whole."""
    if path.suffix.casefold() == ".csv":
        yield SheetCells("", read_csv(data))
    else:
        yield from _spreadsheet(data, is_opendocument=path.suffix.casefold() == ".ods")
