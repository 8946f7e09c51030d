"""The lines of a CSV file with quotes in it, read many together where no quoted cell runs over several of them."""

from __future__ import annotations

import csv
import re
from collections.abc import Callable

import polars as pl

from pipeline.workbook.bounding import MOST_COLUMNS
from pipeline.workbook.looking import Unreadable

MOST_CELLS_BY_LINE = 3_000_000
"""Cells of lines that are read one by one: there each takes 150 bytes, ten times as many as of others."""
LARGEST_SHEET_CELLS = 20_000_000
"""Rows x columns of a CSV file: 30 bytes each while it is read."""

_END = "the end"


def check_extent(rows: int, columns: int, most_cells: int) -> None:
    """Raises Unreadable where a file spans more than can be read."""
    if columns > MOST_COLUMNS:
        raise Unreadable(f"it has more than {MOST_COLUMNS:,} columns; correct its longest line, or split it.")
    if rows * columns > most_cells:
        by_line = " in lines with quotes" if most_cells == MOST_CELLS_BY_LINE else ""
        raise Unreadable(
            f"it spans more than {most_cells // 10**6} million cells{by_line}; split it into smaller files."
        )


def _sound_line(delimiter: str) -> str:
    """A line in which each quoted cell is one from its first sign to its last: every reader takes it alike."""
    sign = re.escape(delimiter)
    cell = rf'(?:[^"{sign}]*|"(?:[^"]|"")*")'
    return rf"^{cell}(?:{sign}{cell})*$"


def _odd_rows(lines: list[str], delimiter: str) -> list[list[str]] | None:
    """Lines with other quotes, such as inch marks, each by itself; None where a quote stays open at a line's end."""
    try:
        rows = list(csv.reader([*lines, _END], delimiter=delimiter))
    except csv.Error:
        return None
    return rows[:-1] if len(rows) == len(lines) + 1 and rows[-1] == [_END] else None


def _put_together(cells: pl.DataFrame, rows: list[list[str]], is_sound: pl.Series) -> pl.DataFrame:
    width = max(cells.width, *(len(row) for row in rows))
    missing = [pl.lit(None, dtype=pl.String).alias(str(place)) for place in range(cells.width, width)]
    padded = [row + [""] * (width - len(row)) for row in rows]
    odd = pl.DataFrame(padded, {str(place): pl.String for place in range(width)}, orient="row")
    places = pl.concat([is_sound.arg_true(), (~is_sound).arg_true()])
    return pl.concat([cells.with_columns(missing), odd])[places.arg_sort()]


def read_by_lines(text: str, delimiter: str, read: Callable[[bytes, str | None], pl.DataFrame]) -> pl.DataFrame | None:
    """The cells as they are written, null or empty where blank; None where a line may not be a row.

    `read` reads lines of UTF-8 with a sign for quotes.
    """
    lines = pl.Series(text.replace("\r\n", "\n").replace("\r", "\n").rstrip("\n").split("\n"), dtype=pl.String)
    is_sound = lines.str.contains(_sound_line(delimiter))
    odd = lines.filter(~is_sound)
    widest = 1 + int(odd.str.count_matches(delimiter, literal=True).max() or 0)  # type: ignore[arg-type]
    check_extent(len(odd), widest, MOST_CELLS_BY_LINE)
    check_extent(len(lines), widest, LARGEST_SHEET_CELLS)
    rows = _odd_rows(odd.to_list(), delimiter)
    if rows is None:
        return None
    sound = lines.filter(is_sound)
    cells = read(("\n".join(sound.to_list()) + "\n").encode(), '"') if len(sound) else pl.DataFrame()
    if cells.height != len(sound):
        return None
    whole = _put_together(cells, rows, is_sound) if rows else cells
    while whole.width and whole.to_series(-1).null_count() == whole.height:
        whole = whole.drop(whole.columns[-1])
    return whole
