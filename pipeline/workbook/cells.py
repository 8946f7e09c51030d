"""Typed cells as the text that stands for their value, a column at a time."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from decimal import Decimal
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
    # These two turn the signs behind them round: what a person saw is then not what the digits say, nor is it to be
    # shown so again.
    **dict.fromkeys("\u202d\u202e", "\N{REPLACEMENT CHARACTER}"),
}
_UNSEEN = r"[[\p{Cc}\p{Cf}]--\s]"
"""Signs that are not seen: no value is told from another by them."""
_SHORT_NUMBER, _SHORT_DIGITS = r"^-?(?:[1-9]\d*|0\.\d+|[1-9]\d*\.\d+)$", 15
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


Columns = list[tuple[pl.Series, pl.Series]]
"""Columns of text, each with the texts that it holds."""


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
    second = value.replace(microsecond=0)
    if value.microsecond >= 500_000 and value.year < datetime.max.year:
        second += timedelta(seconds=1)
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
            text = str(int(value)) if 1e15 <= abs(value) < 1e17 else f"{value + 0.0:.15g}"
            return f"{Decimal(text):f}" if "e-" in text else text
        case datetime():
            return _datetime_text(value)
        case date():
            return value.isoformat()
        case time():
            return _duration_text(timedelta(hours=value.hour, minutes=value.minute, seconds=value.second))
        case timedelta():
            return _duration_text(value)
    return "" if value is None else str(value)


def _number_texts(numbers: Sequence[float]) -> list[str]:
    """Numbers as `value_text` writes them: up to 15 digits the shortest text that is that number alone is the same."""
    texts = pl.Series(numbers, dtype=pl.Float64).cast(pl.String).str.strip_suffix(".0")
    is_short = texts.str.contains(_SHORT_NUMBER) & (texts.str.len_bytes() <= _SHORT_DIGITS)
    written = texts.to_list()
    for place in (~is_short).arg_true():
        written[place] = value_text(numbers[place])
    return written


def _known_texts(values: set[object]) -> dict[object, str]:
    numbers = [value for value in values if isinstance(value, float)]
    known: dict[object, str] = dict(zip(numbers, _number_texts(numbers), strict=True))
    return known | {value: value_text(value) for value in values if value not in known}


def _cleaned(column: pl.Series) -> pl.Series:
    column = column.str.replace_many(_PLAIN).str.replace_all(_UNSEEN, "").str.replace_all(r"\s+", " ").str.strip_chars()
    return column.set(column == "", None)


def clean(column: pl.Series) -> pl.Series:
    """Text trimmed, with plain quotes and single spaces; null where nothing is left."""
    return _clean(column, column.unique())[0]


def _clean(column: pl.Series, words: pl.Series) -> tuple[pl.Series, pl.Series]:
    """A column cleaned, and the texts that it holds: `words` has each, so that they alone need be looked at."""
    dirty = words.filter(words.str.contains(_NEEDS_CLEANING))
    if len(dirty):
        column, words = (series.replace(dirty, _cleaned(dirty)) for series in (column, words))
    return (column.set(column == "", None) if (words == "").any() else column), words


def _text_column(name: str, values: Sequence[object]) -> tuple[pl.Series, pl.Series]:
    """A column of typed cells as clean text, null where a cell is blank; and the texts that it holds."""
    kinds = set(map(type, values))
    if kinds <= {str} or bool in kinds:
        # True equals 1, so that a look-up by value could not tell them apart.
        texts = values if kinds <= {str} else [value_text(value) for value in values]
        column = pl.Series(name, texts, dtype=pl.String)
        return _clean(column, column.unique())
    # Each distinct value is written once: a season's columns repeat theirs.
    known = _known_texts(set(values))
    column = pl.Series(name, list(map(known.__getitem__, values)), dtype=pl.String)
    return _clean(column, pl.Series(known.values(), dtype=pl.String))


def distinct(cells: pl.DataFrame) -> tuple[pl.Series, ...]:
    """The texts of each column, each once; null where there is none."""
    found = cells.select(pl.all().drop_nulls().unique().implode())
    return tuple(column.explode() for column in found) if cells.height else tuple(cells)


def text_columns(columns: Iterable[Sequence[object]]) -> Columns:
    """Columns of typed cells as clean text, each with the texts that it holds; they are named `0`, `1` and so on."""
    return [_text_column(str(place), values) for place, values in enumerate(columns)]


def clean_columns(cells: pl.DataFrame) -> Columns:
    """Columns as they are written, null where blank, as clean text, each with the texts that it holds."""
    return list(map(_clean, cells, distinct(cells)))


def sheet_of(name: str, pieces: Sequence[Columns]) -> SheetCells:
    """A sheet from pieces of one width, the first one on top; trailing blank rows are cut."""
    frames = [pl.DataFrame([column for column, _ in piece]) for piece in pieces]
    words = [tuple(texts for _, texts in piece) for piece in pieces]
    if len(pieces) == 1:
        return SheetCells(name, without_trailing_blanks(frames[0]), words[0])
    all_words = tuple(pl.concat(texts).unique() for texts in zip(*words, strict=True))
    return SheetCells(name, without_trailing_blanks(pl.concat([pl.DataFrame(), *frames], rechunk=True)), all_words)


def without_trailing_blanks(frame: pl.DataFrame) -> pl.DataFrame:
    """The frame up to its last used row."""
    if frame.is_empty():
        return frame
    used = frame.select(pl.any_horizontal(pl.all().is_not_null())).to_series().arg_true()
    return frame.head(used[-1] + 1 if len(used) else 0)
