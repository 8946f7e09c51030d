"""Open a file and give its sheets as frames of text, whatever its format."""

from __future__ import annotations

import gc
from collections import defaultdict
from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from itertools import chain
from pathlib import Path
from typing import Any

from python_calamine import PasswordError

from pipeline.workbook.bounding import LARGEST_GRID_CELLS, MOST_COLUMNS
from pipeline.workbook.cells import Columns, SheetCells, sheet_of, text_columns
from pipeline.workbook.delimited import read_csv
from pipeline.workbook.guarding import Grid, Rows, grids
from pipeline.workbook.looking import PROTECTED, TOO_FAR, Seen, Unreadable, look
from pipeline.workbook.opendocument import Merge, clock

SPREADSHEETS = (".xlsx", ".xlsm", ".xls", ".ods")
SUFFIXES = (*SPREADSHEETS, ".csv")
LARGEST_TEXT_BYTES = 256 * 1024 * 1024
"""Text of a sheet; five million cells of a number or a name take 150 MB."""
LONGEST_REASON = 200
"""Characters of a library's own words that a sentence quotes."""


class _Merges:
    """Cells merged down a column hold their value in each of their rows; rows come some at a time."""

    def __init__(self, merges: Iterable[Merge]) -> None:
        down = [(top, left, bottom) for (top, left), (bottom, _) in merges if top < bottom]
        self._waiting = sorted(down, reverse=True)
        self._begun: list[tuple[int, int, int, Any]] = []
        self._filled = 0

    def fill(self, rows: Rows, first: int) -> None:
        """Fill rows, the first of which stands at `first`."""
        last = first + len(rows) - 1
        while self._waiting and self._waiting[-1][0] <= last:
            top, left, bottom = self._waiting.pop()
            if left < len(rows[0]):
                self._begun.append((top + 1, left, bottom, rows[top - first][left]))
        for begin, left, bottom, value in self._begun:
            covered = rows[max(begin - first, 0) : bottom - first + 1]
            self._filled += len(covered)
            if self._filled > LARGEST_GRID_CELLS:
                raise ValueError("its merged cells lie upon each other")
            for row in covered:
                if row[left] == "":
                    row[left] = value
        self._begun = [merge for merge in self._begun if merge[2] > last]


def _put(texts: dict[int, list[tuple[int, str]]], rows: Rows, first: int) -> Rows:
    for at, row in enumerate(rows, first) if texts else ():
        for column, text in texts.get(at, ()):
            row[column] = text
    return rows


def _with_silent(chunks: Iterable[Rows], silent: Iterable[tuple[int, int, str]], most_cells: int) -> Iterator[Rows]:
    """Rows with the texts of cells that the library gives as blank, or not at all where no other stands beyond them."""
    texts: dict[int, list[tuple[int, str]]] = defaultdict(list)
    for row, column, text in silent:
        texts[row].append((column, text))
    height = max(texts, default=-1) + 1
    width = max((column for row in texts.values() for column, _ in row), default=-1) + 1
    if height * width > most_cells:
        raise Unreadable(f"the file's sheets up to here span more than {TOO_FAR}")
    first = 0
    for rows in chunks:
        if rows and len(rows[0]) < width:
            rows = [row + [""] * (width - len(row)) for row in rows]
        width = len(rows[0]) if rows else width
        yield _put(texts, rows, first)
        first += len(rows)
    if first < height:
        yield _put(texts, [[""] * width for _ in range(first, height)], first)


def _columns(rows: Rows) -> list[list[Any]]:
    """Rows of one width as columns: cut out of one long list, which for many rows takes a tenth of zipping them."""
    width = len(rows[0]) if rows else 0
    cells = list(chain.from_iterable(rows))
    if len(cells) != width * len(rows):
        raise ValueError("its rows are of different width")
    return [cells[place::width] for place in range(width)]


@contextmanager
def _uncollected() -> Iterator[None]:
    """While millions of cells are made none is garbage; looking for it again and again takes as long as making them."""
    was_enabled = gc.isenabled()
    gc.disable()
    try:
        yield
    finally:
        if was_enabled:
            gc.enable()


@_uncollected()
def _sheet(grid: Grid, seen: Seen, is_opendocument: bool, most_cells: int) -> SheetCells:
    """A sheet's cells as text. Raises Unreadable where there are too many for the file to be read on."""
    merged, chunks = grid.read()
    merges = _Merges(merged or seen.merges.get(grid.name, []))
    pieces: list[Columns] = []
    first = cells = size = 0
    for rows in _with_silent(chunks, seen.errors.get(grid.name, ()), most_cells):
        cells += sum(map(len, rows))
        if cells > most_cells or size > LARGEST_TEXT_BYTES:
            raise Unreadable(f"the file's sheets up to here span more than {TOO_FAR}")
        if rows and len(rows[0]) > MOST_COLUMNS:
            raise Unreadable(f"it has more than {MOST_COLUMNS:,} columns; delete those beyond its table and save it.")
        if is_opendocument:
            rows = [[clock(value) if isinstance(value, str) else value for value in row] for row in rows]
        merges.fill(rows, first)
        pieces.append(text_columns(_columns(rows)))
        size += sum(int(column.estimated_size()) for column, _ in pieces[-1])
        first += len(rows)
    return sheet_of(grid.name, pieces)


def _guarded(error: BaseException) -> Unreadable:
    """The library's panics are no Exception; only the person's own interruption goes through."""
    if isinstance(error, KeyboardInterrupt | SystemExit | GeneratorExit):
        raise error
    if isinstance(error, PasswordError):
        return Unreadable(PROTECTED)
    what = str(error)[:LONGEST_REASON]
    return Unreadable(f"it cannot be opened as a spreadsheet ({what}); save it again as .xlsx.")


def _spreadsheet(data: bytes, is_opendocument: bool) -> Iterator[SheetCells | Unreadable]:
    try:
        seen = look(data)
        sheets = grids(data, is_trusted=seen.is_bounded)
        grid = next(sheets, None)
    except Unreadable:
        raise
    except BaseException as error:
        raise _guarded(error) from None
    left = LARGEST_GRID_CELLS
    while grid is not None:
        try:
            sheet = _sheet(grid, seen, is_opendocument, left)
        except Unreadable as error:
            raise Unreadable(f"sheet '{grid.name}' and those behind it were not read: {error}") from None
        except BaseException as error:
            yield Unreadable(f"sheet '{grid.name}' cannot be read: {_guarded(error)}")
        else:
            left -= sheet.cells.height * sheet.cells.width
            yield sheet
        grid = next(sheets, None)


def open_sheets(path: Path, data: bytes) -> Iterator[SheetCells | Unreadable]:
    """The sheets of a file, and in place of one that cannot be read the reason. Raises Unreadable for the whole."""
    if path.suffix.casefold() == ".csv":
        yield read_csv(data)
    else:
        yield from _spreadsheet(data, is_opendocument=path.suffix.casefold() == ".ods")
