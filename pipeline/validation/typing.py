"""From text to typed values: one working frame a table, and the cells that could not be read."""

from __future__ import annotations

import re
from collections import Counter
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

import polars as pl

from pipeline.units import read_date, reader_of
from pipeline.vocabulary import DECIMAL_KINDS, DECIMAL_PLACES, WHOLE_KINDS, Field, Table
from pipeline.workbook import SheetReading

DECIMAL = pl.Decimal(26, DECIMAL_PLACES)
LARGEST = Decimal(10) ** 13
"""A larger number is a slip of the keyboard, and would not fit its column."""
CANONICAL = ("crew", "branch", "worker_no")
"""Fields whose spelling may vary in case, spaces and punctuation: one spelling stands for all."""
_YES = {"yes": True, "y": True, "true": True, "1": True, "x": True, "no": False, "n": False, "false": False, "0": False}
_NOT_WORD = re.compile(r"[^a-z0-9]+")

ORIGIN = {"source_file": pl.String, "source_sheet": pl.String, "source_row": pl.Int64, "part": pl.Int64}


def polars_type(field: Field) -> pl.DataType | type[pl.DataType]:
    """The column type of a field."""
    if field.kind in DECIMAL_KINDS:
        return DECIMAL
    if field.kind in WHOLE_KINDS:
        return pl.Int32
    return {"date": pl.Date, "yesno": pl.Boolean}.get(field.kind, pl.String)


@dataclass(frozen=True)
class Working:
    """A table while it is checked.

    `frame` has rid, the origin, each field typed and each field's cell as `raw:<field>`; `unread` has rid and field
    of every cell that holds something that could not be read.
    """

    table: Table
    frame: pl.DataFrame
    unread: pl.DataFrame


def fold(text: str) -> str:
    """A name without case, spaces and punctuation."""
    return _NOT_WORD.sub("", text.casefold())


def _words(field: Field) -> dict[str, str]:
    out = {}
    for word in field.allowed:
        for also in (word, *(field.words or {}).get(word, ())):
            out[fold(also)] = word
    return out


def _read(field: Field, text: str, unit: str | None, order: str) -> object:
    if field.kind == "choice":
        return _words(field).get(fold(text))
    if field.kind == "yesno":
        return _YES.get(text.casefold())
    value = reader_of(field.kind, unit, order)(text.casefold())
    if isinstance(value, Decimal):
        if abs(value) >= LARGEST:
            return None
        if field.kind in WHOLE_KINDS:
            whole = value == value.to_integral_value() and abs(value) < 2**31
            return int(value) if whole else None
    return value


def _typed(field: Field, raw: pl.Series, unit: str | None, order: str) -> pl.Series:
    """A column of text as values; each distinct text is read once."""
    if field.kind == "code":
        stripped = raw.str.replace(r"^0*(\d+)(?:\.0+)?$", "$1").str.to_uppercase()
        return stripped.rename(field.name)
    if field.kind in ("name", "text"):
        return raw.rename(field.name)
    texts = raw.drop_nulls().unique().to_list()
    values = pl.Series([_read(field, text, unit, order) for text in texts], dtype=polars_type(field), strict=True)
    if not texts:
        return pl.Series(field.name, [None] * len(raw), dtype=polars_type(field))
    return raw.replace_strict(texts, values, default=None, return_dtype=polars_type(field)).rename(field.name)


def _part(table: Table, sheet: SheetReading, order: str) -> pl.DataFrame:
    height = sheet.cells.height
    columns = [
        pl.Series("source_file", [sheet.file] * height, dtype=pl.String),
        pl.Series("source_sheet", [sheet.sheet] * height, dtype=pl.String),
        sheet.cells["source_row"],
        pl.Series("part", [sheet.part] * height, dtype=pl.Int64),
    ]
    for field in table.fields.values():
        column = sheet.column(field.name)
        raw = sheet.cells[field.name] if column else pl.Series([None] * height, dtype=pl.String)
        columns.append(raw.rename(f"raw:{field.name}"))
        columns.append(_typed(field, raw, column.heading_unit if column else None, order))
    return pl.DataFrame(columns)


def spellings(readings: list[SheetReading]) -> dict[str, dict[str, str]]:
    """For each field of CANONICAL the spelling that stands for all of a name's: the most frequent, then the first."""
    seen: dict[str, Counter[str]] = {field: Counter() for field in CANONICAL}
    for sheet in readings:
        for field in CANONICAL:
            if sheet.column(field):
                counts = sheet.cells[field].drop_nulls().value_counts(sort=True)
                seen[field].update(dict(counts.iter_rows()))
    out: dict[str, dict[str, str]] = {}
    for field, counter in seen.items():
        best: dict[str, str] = {}
        for name, _ in sorted(counter.items(), key=lambda item: (-item[1], item[0])):
            best.setdefault(fold(name), name)
        out[field] = {name: best[fold(name)] for name in counter}
    return out


def type_table(table: Table, sheets: list[SheetReading], order: str, canon: dict[str, dict[str, str]]) -> Working:
    """All sheets of a table as one working frame."""
    frame = pl.concat([_part(table, sheet, order) for sheet in sheets], rechunk=True).with_row_index("rid")
    for field in CANONICAL:
        if field in table.fields and canon[field]:
            spelled = pl.col(f"raw:{field}").replace(canon[field]).alias(field)
            frame = frame.with_columns(spelled)
    unread = [
        frame.filter(pl.col(f"raw:{name}").is_not_null() & pl.col(name).is_null()).select("rid", field=pl.lit(name))
        for name in table.fields
    ]
    return Working(table, frame.rechunk(), pl.concat(unread))


def other_order_only(texts: pl.Series, order: str) -> bool:
    """Whether a column of dates holds one that only the other order of day and month can read."""
    other = "dmy" if order == "mdy" else "mdy"
    found: list[date | None] = [
        read_date(text, order=other)
        for text in texts.drop_nulls().unique().to_list()
        if read_date(text.casefold(), order=order) is None
    ]
    return any(found)
