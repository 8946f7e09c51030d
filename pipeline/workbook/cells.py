"""Typed cells as the text that stands for their value, a column at a time."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from functools import cached_property

import polars as pl

DURATION_EPOCH = datetime(1899, 12, 31)
"""A clock past midnight is stored as a day of 1900: 31:05 is 1 January 1900, 7:05."""
DURATION_YEARS = 1900
OTHER_EPOCH, OTHER_EPOCH_ENDS = datetime(1904, 1, 1), datetime(1904, 2, 1)
"""In a workbook that counts its days from 1904 such a clock is a day of that year's January."""
_PLAIN = {
    **dict.fromkeys("\u2018\u2019\u201a\u201b\u2032\u02bc", "'"),
    **dict.fromkeys("\u201c\u201d\u201e\u201f\u2033", '"'),
    **dict.fromkeys("\ufeff\u200b\u200c\u200d\u2060\u00ad", ""),
}
_NEEDS_CLEANING = r"[^\x20-\x7e]|  |^ | $"


@dataclass(frozen=True)
class SheetCells:
    """A sheet's name and its cells as clean text from row 1 and column A on; columns are named `0`, `1` and so on."""

    name: str
    cells: pl.DataFrame
    known_words: tuple[pl.Series, ...] | None = None

    @cached_property
    def words(self) -> tuple[pl.Series, ...]:
        """The texts that each column holds, each at least once, some with null: far fewer than cells."""
        return distinct(self.cells) if self.known_words is None else self.known_words


def _duration_text(value: timedelta) -> str:
    seconds = round(value.total_seconds())
    minutes, second = divmod(abs(seconds), 60)
    tail = f":{second:02d}" if second else ""
    return f"{'-' if seconds < 0 else ''}{minutes // 60}:{minutes % 60:02d}{tail}"


def _datetime_text(value: datetime) -> str:
    if value.year <= DURATION_YEARS:
        return _duration_text(value - DURATION_EPOCH)
    if OTHER_EPOCH <= value < OTHER_EPOCH_ENDS:
        return _duration_text(value - OTHER_EPOCH)
    second = (value + timedelta(microseconds=500_000)).replace(microsecond=0)
    return second.date().isoformat() if second.time() == time(0) else second.isoformat()


def value_text(value: object) -> str:
    """A typed cell's text: `1042`, `6.5`, `2025-11-14`, `6:30`, `TRUE`."""
    match value:
        case str():
            return value
        case bool():
            return "TRUE" if value else "FALSE"
        case float() | int():
            # A long number is an identifier: 15 digits are what a spreadsheet itself keeps of any other.
            # Adding zero turns a negative zero into zero.
            return str(int(value)) if 1e15 <= abs(value) < 1e17 else f"{value + 0.0:.15g}"
        case datetime():
            return _datetime_text(value)
        case date():
            return value.isoformat()
        case time():
            return _duration_text(timedelta(hours=value.hour, minutes=value.minute, seconds=value.second))
        case timedelta():
            return _duration_text(value)
    return "" if value is None else str(value)


def _texts(values: Sequence[object]) -> list[str]:
    """Each distinct value is written once: a season's columns repeat theirs."""
    if bool in set(map(type, values)):
        # True equals 1, so that a look-up by value could not tell them apart.
        return [value_text(value) for value in values]
    known = {value: value_text(value) for value in set(values)}
    return list(map(known.__getitem__, values))


def _cleaned(column: pl.Series) -> pl.Series:
    column = column.str.replace_many(_PLAIN).str.replace_all(r"\s+", " ").str.strip_chars()
    return column.set(column == "", None)


def clean(column: pl.Series) -> pl.Series:
    """Text trimmed, with plain quotes and single spaces; null where nothing is left."""
    if column.str.contains(_NEEDS_CLEANING).any():
        return _cleaned(column)
    return column.set(column == "", None)


def distinct(cells: pl.DataFrame) -> tuple[pl.Series, ...]:
    """The distinct texts of each column."""
    found = cells.select(pl.all().drop_nulls().unique().implode())
    return tuple(column.explode() for column in found) if cells.height else tuple(cells)


def clean_sheet(name: str, cells: pl.DataFrame) -> SheetCells:
    """A sheet from its cells as they are written, null where blank; only the distinct texts are looked at."""
    columns, words = [], []
    for column, texts in zip(cells, distinct(cells), strict=True):
        dirty = texts.filter(texts.str.contains(_NEEDS_CLEANING))
        if len(dirty):
            column, texts = (series.replace(dirty, _cleaned(dirty)) for series in (column, texts))
        columns.append(column)
        words.append(texts)
    return SheetCells(name, without_trailing_blanks(pl.DataFrame(columns)), tuple(words))


def text_column(name: str, values: Sequence[object]) -> pl.Series:
    """A column of typed cells as clean text; null where a cell is blank."""
    plain = values if set(map(type, values)) <= {str} else _texts(values)
    return clean(pl.Series(name, plain, dtype=pl.String))


def text_frame(columns: Sequence[Sequence[object]]) -> pl.DataFrame:
    """Columns of typed cells as a frame of clean text, named by their place: `0`, `1`; trailing blank rows are cut."""
    frame = pl.DataFrame([text_column(str(place), values) for place, values in enumerate(columns)])
    return without_trailing_blanks(frame)


def without_trailing_blanks(frame: pl.DataFrame) -> pl.DataFrame:
    """The frame up to its last used row."""
    if frame.is_empty():
        return frame
    used = frame.select(pl.any_horizontal(pl.all().is_not_null())).to_series().arg_true()
    return frame.head(used[-1] + 1 if len(used) else 0)
