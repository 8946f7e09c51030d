"""The rows under a table's headings: records, totals, notes and blanks, told apart a column at a time."""

from __future__ import annotations

import math
import re
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

import polars as pl

from pipeline.vocabulary import Field, Table

SOURCE_ROW = "source_row"
LONGEST_LONE_WORD = 20
"""A lone cell that is longer, or has a space or no digit in it, is a note and not the start of a record."""

_WRITTEN_FREELY = frozenset({"name", "text"})
_MEASURED = frozenset({"money", "feet", "miles", "hours", "quantity", "whole"})
_NUMBER = re.compile(r"\$?\s*(\d[\d,]*(?:\.\d*)?|\.\d+)")
_LABEL = re.compile(
    r"(?:(?:grand|sub|overall|season|year|month|week|day|crew|branch|page|running|all)\W*)?(?:totals?|sums?)"
    r"(?:\W+\d{4})?\W*",
    re.IGNORECASE,
)
_BEGINS_OR_ENDS = re.compile(r"\W*(?:grand |sub)?-?(?:totals?|sum)\b.*|.*\b(?:sub)?totals?\W*", re.IGNORECASE)
_SENTENCE = r"\S+ \S+ \S+"


Words = Mapping[str, pl.Series]
"""The texts that columns hold, each at least once, by the column's place."""


@dataclass(frozen=True)
class Sorted:
    """The rows of a part: records and totals by field, and the rows set aside with the reason."""

    cells: pl.DataFrame
    totals: pl.DataFrame
    set_aside: pl.DataFrame


def _is_labelled(table: Table, fields: dict[str, str], row: dict[str, Any], after_records: bool) -> bool:
    """Whether a row is a totals row and not a record in which the word occurs.

    A bare label where a number, date, code or choice belongs is no record's. Anything longer may be one ("Total loss
    insurance", a customer by the name of Total), so that such a row must also lack what every record has.
    """
    lacking = len(table.required) - sum(
        row[place] is not None for place, name in fields.items() if name in table.required
    )
    for place, text in row.items():
        if not isinstance(text, str) or not _BEGINS_OR_ENDS.fullmatch(text):
            continue
        field: Field | None = table.fields.get(fields.get(place, ""))
        bare = _LABEL.fullmatch(text) is not None
        strict = field is not None and field.kind not in _WRITTEN_FREELY
        if (bare and strict) or (lacking and (bare or strict)):
            return True
        if 2 * lacking >= len(table.required) or (lacking and after_records and field is not None):
            return True
    return False


def _number(text: str | None) -> float | None:
    found = _NUMBER.match(text or "")
    return float(found[1].replace(",", "")) if found else None


def _is_sum(row: dict[str, Any], frame: pl.DataFrame, measured: list[str]) -> bool:
    """Whether a row without a label is the sum of the rows above it in every column in which it has a number."""
    above = frame.filter(pl.col(SOURCE_ROW) < row[SOURCE_ROW])
    sums = {place: [_number(text) or 0 for text in above[place]] for place in measured if row[place] is not None}
    return all(
        len(numbers) > 1 and math.isclose(sum(numbers), _number(row[place]) or 0, rel_tol=1e-9, abs_tol=0.005)
        for place, numbers in sums.items()
    )


def _speaking(frame: pl.DataFrame, place: str, words: Words) -> list[str]:
    """The texts of a column that speak of a total."""
    texts = words[place] if place in words else frame[place].unique()
    return texts.filter(texts.str.contains_any(["total", "sum"], ascii_case_insensitive=True)).to_list()


def _totals_rows(
    frame: pl.DataFrame, table: Table, fields: dict[str, str], places: list[str], words: Words
) -> list[int]:
    """The totals rows: by their label, and the last row where it is the bare sum of those above it."""
    speaks = [pl.col(place).is_in(spoken) for place in places if (spoken := _speaking(frame, place, words))]
    named = frame.filter(pl.any_horizontal(speaks).fill_null(False)) if speaks else frame.clear()
    totals = [
        row[SOURCE_ROW]
        for row in named.iter_rows(named=True)
        if _is_labelled(table, fields, {place: row[place] for place in places}, row["after_records"])
    ]
    measured = [place for place, name in fields.items() if table.fields[name].kind in _MEASURED]
    others = [place for place in places if place not in measured]
    used = pl.any_horizontal(pl.col(place).is_not_null() for place in places)
    last = frame.filter(pl.col("after_records") & used & ~pl.col(SOURCE_ROW).is_in(totals)).head(1)
    bare = last.filter(pl.all_horizontal(pl.lit(True), *(pl.col(place).is_null() for place in others)))
    return totals + [row[SOURCE_ROW] for row in bare.iter_rows(named=True) if _is_sum(row, frame, measured)]


def _after_records(table: Table, fields: dict[str, str]) -> pl.Expr:
    """Whether a row stands below the last one that has all required fields."""
    row = pl.int_range(pl.len())
    required = [pl.col(place).is_not_null() for place, name in fields.items() if name in table.required]
    return row > row.filter(pl.all_horizontal(row >= 0, *required)).max().fill_null(-1)


def _why(fields: dict[str, str], places: list[str], filled: pl.Expr) -> pl.Expr:
    """Why a row is no record; null for a record."""
    read = list(fields)
    in_fields = pl.sum_horizontal(pl.col(place).is_not_null() for place in read)
    lone = pl.coalesce(read)
    bare = (
        ~lone.str.contains(" ", literal=True) & (lone.str.len_chars() <= LONGEST_LONE_WORD) & lone.str.contains(r"\d")
    )
    sentence = pl.any_horizontal(pl.col(place).str.contains(_SENTENCE) for place in places).fill_null(False)
    return (
        pl.when(filled == 0)
        .then(pl.lit("blank row"))
        .when(pl.col("is_totals"))
        .then(pl.lit("totals row"))
        .when((in_fields == 0) | ((filled == 1) & ~bare) | (pl.col("after_records") & (filled <= 2) & sentence))
        .then(pl.lit("note"))
    )


def sort_rows(
    frame: pl.DataFrame, table: Table, columns: tuple[tuple[int, str], ...], words: Words | None = None
) -> Sorted:
    """Sort the rows under headings; `frame` has `source_row` and the part's columns, named by their place.

    `words` has the texts of columns where they are known.
    """
    fields = {str(place): name for place, name in columns}
    places = [name for name in frame.columns if name != SOURCE_ROW]
    frame = frame.with_columns(_after_records(table, fields).alias("after_records"))
    totals = _totals_rows(frame, table, fields, places, words or {})
    filled = pl.sum_horizontal(pl.col(place).is_not_null() for place in places)
    in_fields = pl.any_horizontal(pl.col(place).is_not_null() for place in fields)
    is_totals = pl.col(SOURCE_ROW).is_in(totals)
    # Nearly all rows are records, whose texts need no closer look.
    doubtful = frame.filter((filled <= 2) | ~in_fields | is_totals).with_columns(is_totals=is_totals)
    others = doubtful.with_columns(why=_why(fields, places, filled)).filter(pl.col("why").is_not_null())
    named = [pl.col(SOURCE_ROW), *(pl.col(place).alias(name) for place, name in fields.items())]
    records = frame.join(others, on=SOURCE_ROW, how="anti", maintain_order="left") if others.height else frame
    return Sorted(
        cells=records.select(named),
        totals=others.filter(pl.col("is_totals")).select(named),
        set_aside=others.select(SOURCE_ROW, "why"),
    )
