"""The rows under a table's headings: records, totals, notes and blanks, told apart a column at a time."""

from __future__ import annotations

import re
from dataclasses import dataclass

import polars as pl

from pipeline.vocabulary import Field, Table

SOURCE_ROW = "source_row"
LONGEST_LONE_WORD = 20
"""A lone cell that is longer, or has a space or no digit in it, is a note and not the start of a record."""

_WRITTEN_FREELY = frozenset({"name", "text"})
_LABEL = re.compile(
    r"(?:(?:grand|sub|overall|season|year|month|week|day|crew|branch|page|running|all)\W*)?(?:totals?|sums?)"
    r"(?:\W+\d{4})?\W*",
    re.IGNORECASE,
)
_BEGINS_OR_ENDS = re.compile(r"\W*(?:grand |sub)?-?(?:totals?|sum)\b.*|.*\b(?:sub)?totals?\W*", re.IGNORECASE)
_SENTENCE = r"\S+ \S+ \S+"


@dataclass(frozen=True)
class Sorted:
    """The rows of a part: records and totals by field, and the rows set aside with the reason."""

    cells: pl.DataFrame
    totals: pl.DataFrame
    set_aside: pl.DataFrame


def _is_totals(table: Table, fields: dict[str, str], row: dict[str, str | None]) -> bool:
    """Whether a row is a totals row and not a record in which the word occurs.

    A label in a column of numbers, dates, codes or choices is no record's. In a column written freely, or one that
    is not read, a record may speak of a total: there the row must lack what every record has.
    """
    lacking = sum(row[place] is None for place, name in fields.items() if name in table.required)
    lacking += sum(name not in fields.values() for name in table.required)
    for place, text in row.items():
        if text is None or not _BEGINS_OR_ENDS.fullmatch(text):
            continue
        field: Field | None = table.fields.get(fields.get(place, ""))
        if field is not None and field.kind not in _WRITTEN_FREELY:
            return True
        if _LABEL.fullmatch(text) or field is not None:
            if lacking:
                return True
        elif 2 * lacking >= len(table.required):
            return True
    return False


def _totals_rows(frame: pl.DataFrame, table: Table, fields: dict[str, str], places: list[str]) -> list[int]:
    speaks = [pl.col(place).str.contains_any(["total", "sum"], ascii_case_insensitive=True) for place in places]
    candidates = frame.filter(pl.any_horizontal(speaks).fill_null(False))
    return [
        row[SOURCE_ROW]
        for row in candidates.iter_rows(named=True)
        if _is_totals(table, fields, {place: row[place] for place in places})
    ]


def _why(table: Table, fields: dict[str, str], places: list[str]) -> pl.Expr:
    """Why a row is no record; null for a record."""
    read = list(fields)
    filled = pl.sum_horizontal(pl.col(place).is_not_null() for place in places)
    in_fields = pl.sum_horizontal(pl.col(place).is_not_null() for place in read)
    required = [place for place, name in fields.items() if name in table.required]
    lone = pl.coalesce(read)
    bare = (
        ~lone.str.contains(" ", literal=True) & (lone.str.len_chars() <= LONGEST_LONE_WORD) & lone.str.contains(r"\d")
    )
    after_records = pl.int_range(pl.len()) > pl.int_range(pl.len()).filter(
        pl.all_horizontal(pl.col(place).is_not_null() for place in required)
    ).max().fill_null(-1)
    sentence = pl.any_horizontal(pl.col(place).str.contains(_SENTENCE) for place in places).fill_null(False)
    return (
        pl.when(filled == 0)
        .then(pl.lit("blank row"))
        .when(pl.col("is_totals"))
        .then(pl.lit("totals row"))
        .when((in_fields == 0) | ((filled == 1) & ~bare) | (after_records & (filled <= 2) & sentence))
        .then(pl.lit("note"))
    )


def sort_rows(frame: pl.DataFrame, table: Table, columns: tuple[tuple[int, str], ...]) -> Sorted:
    """Sort the rows under headings; `frame` has `source_row` and the part's columns, named by their place."""
    fields = {str(place): name for place, name in columns}
    places = [name for name in frame.columns if name != SOURCE_ROW]
    totals = _totals_rows(frame, table, fields, places)
    frame = frame.with_columns(pl.col(SOURCE_ROW).is_in(totals).alias("is_totals"))
    frame = frame.with_columns(_why(table, fields, places).alias("why"))
    named = [pl.col(SOURCE_ROW), *(pl.col(place).alias(name) for place, name in fields.items())]
    return Sorted(
        cells=frame.filter(pl.col("why").is_null()).select(named),
        totals=frame.filter(pl.col("is_totals")).select(named),
        set_aside=frame.filter(pl.col("why").is_not_null()).select(SOURCE_ROW, "why"),
    )
