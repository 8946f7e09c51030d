"""From text to typed values: one working frame a table, and the cells that could not be read."""

from __future__ import annotations

import re
from collections import Counter, defaultdict
from collections.abc import Callable
from dataclasses import dataclass
from decimal import Decimal
from functools import cache

import polars as pl

from pipeline.units import heading_date_order, read_date, reader_of
from pipeline.vocabulary import DECIMAL_KINDS, DECIMAL_PLACES, WHOLE_KINDS, Field, Table, tables
from pipeline.workbook import Column, SheetReading
from pipeline.workbook.silent_cells import WITHOUT_A_RESULT

DECIMAL = pl.Decimal(26, DECIMAL_PLACES)
LARGEST = Decimal(10) ** 13
"""A larger number is a slip of the keyboard, and would not fit its column."""
PLAIN_NUMBER = r"^[0-9]{1,13}(?:\.[0-9]{1,12})?$"
"""Numbers that polars casts exactly: no unit, no comma, no more decimals than are kept."""
MANY_TEXTS = 500
"""Distinct texts from which casting a column's plain numbers together beats reading each."""
ERROR_CELL = r"^#(?:N/A|REF!|VALUE!|DIV/0!|NAME\?|NULL!|NUM!|SPILL!|CALC!|GETTING_DATA|ERR|Err:\d+)"
"""What a spreadsheet shows where a formula failed."""
NO_RESULT = f"^{WITHOUT_A_RESULT}$"
_YES = {"yes": True, "y": True, "true": True, "1": True, "x": True, "no": False, "n": False, "false": False, "0": False}
_NOT_WORD = re.compile(r"[\W_]+")
_CODE = r"^0*(\d+)(?:\.0+)?$"
HOME = {"worker_no": "workers", "crew": "jobs", "branch": "jobs"}
"""The table that says how a name is spelled."""
AT_HOME = 10**12
"""More than a name can occur elsewhere."""

Spellings = dict[str, dict[str, str]]
"""For each field of names: a name as written, and the spelling that stands for it."""


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

    `frame` has rid (its row's place), the origin, each field typed and each field's cell as `raw:<field>`; `unread`
    has rid and field of every cell that holds something that could not be read.
    """

    table: Table
    frame: pl.DataFrame
    unread: pl.DataFrame

    @classmethod
    def of(cls, table: Table, rows: pl.DataFrame) -> Working:
        """Number the rows and find the cells that could not be read."""
        frame = rows.with_row_index("rid").rechunk()
        lost = {name: pl.col(f"raw:{name}").is_not_null() & pl.col(name).is_null() for name in table.fields}
        counts = frame.select(**{name: is_lost.sum() for name, is_lost in lost.items()})
        found = [frame.filter(lost[name]).select("rid", field=pl.lit(name)) for name in lost if counts[name][0]]
        empty = pl.DataFrame(schema={"rid": pl.UInt32, "field": pl.String})
        return cls(table, frame, pl.concat([empty, *found]))


def fold(text: str) -> str:
    """A name without case, spaces and punctuation."""
    return _NOT_WORD.sub("", text.casefold()) or text.casefold()


@cache
def words_of(table: str, field: str) -> dict[str, str]:
    """The words that people write for a choice, folded, and the word each stands for."""
    described = tables()[table].fields[field]
    also = described.words or {}
    return {fold(word): choice for choice in described.allowed for word in (choice, *also.get(choice, ()))}


UNIT_WORDS = words_of("materials", "unit") | {"'": "ft"}
"""Words for units of goods, and the unit each stands for."""
PACK_WORDS = frozenset(word for word, unit in UNIT_WORDS.items() if unit in ("pack", "spool", "case"))
_COUNTED = frozenset(word for word, unit in UNIT_WORDS.items() if unit in ("ft", "each"))


def quantity_units(table: str, field: str) -> frozenset[str]:
    """The units that may stand behind a quantity: any for goods that moved, a pack's for packs, else the item's."""
    if table == "materials":
        return frozenset(UNIT_WORDS)
    return PACK_WORDS if field == "packs" else _COUNTED


def _reader(table: Table, field: Field, unit: str | None, order: str) -> Callable[[str], object]:
    if field.kind == "choice":
        words = words_of(table.name, field.name)
        return lambda text: words.get(fold(text))
    if field.kind == "yesno":
        return lambda text: _YES.get(text.casefold())
    read = reader_of(
        field.kind,
        unit=field.unit,
        heading_unit=unit,
        order=order,
        quantity_units=quantity_units(table.name, field.name),
    )

    def number_or_date(text: str) -> object:
        value = read(text.casefold())
        if not isinstance(value, Decimal):
            return value
        if abs(value) >= LARGEST:
            return None
        if field.kind not in WHOLE_KINDS:
            return value
        return int(value) if value == value.to_integral_value() and abs(value) < 2**31 else None

    return number_or_date


def _changed(raw: pl.Expr, texts: pl.Series, values: pl.Series) -> pl.Expr:
    """Texts in another form; a column that is in it already stays as it is."""
    differs = texts.ne_missing(values)
    return raw.replace(texts.filter(differs), values.filter(differs)) if differs.any() else raw


def _typed(table: Table, field: Field, words: pl.Series, unit: str | None, order: str) -> pl.Expr:
    """The cells of a field as values, of which `words` has every text. Each is read once; plain numbers are cast."""
    raw = pl.col(f"raw:{field.name}")
    texts = words.drop_nulls().unique()
    if field.kind in ("code", "name", "text"):
        named = texts.str.replace(_CODE, "$1").str.to_uppercase() if field.kind == "code" else texts
        return _changed(raw, texts, named.set(texts.str.contains(f"{ERROR_CELL}|{NO_RESULT}"), None))
    kind = polars_type(field)
    plain = pl.Series([], dtype=kind)
    known = texts.head(0)
    read = _reader(table, field, unit, order)
    # A bare number is itself unless its heading names another unit than the field's.
    if field.kind in DECIMAL_KINDS and len(texts) > MANY_TEXTS and read("1") == 1:
        is_plain = texts.str.contains(PLAIN_NUMBER)
        known, texts = texts.filter(is_plain), texts.filter(~is_plain)
        plain = known.cast(kind)
    odd = pl.Series([read(text) for text in texts], dtype=kind, strict=True)
    if known.is_empty() and odd.is_empty():
        return pl.lit(None, dtype=kind)
    if kind == pl.String:
        return _changed(raw, texts, odd)
    return raw.replace_strict(known.append(texts), plain.append(odd), default=None, return_dtype=kind)


def _part(table: Table, sheet: SheetReading, order: str) -> pl.DataFrame:
    origin = [
        pl.lit(sheet.file).alias("source_file"), pl.lit(sheet.sheet).alias("source_sheet"), pl.col("source_row"),
        pl.lit(sheet.part, dtype=pl.Int64).alias("part"),
    ]  # fmt: skip
    raws, typed, names = [], [], []
    for field in table.fields.values():
        column, raw = sheet.column(field.name), f"raw:{field.name}"
        names += [raw, field.name]
        if column is None:
            raws.append(pl.lit(None, dtype=pl.String).alias(raw))
            typed.append(pl.lit(None, dtype=polars_type(field)).alias(field.name))
            continue
        raws.append(pl.col(field.name).alias(raw))
        value = _typed(table, field, sheet.words(field.name), column.heading_unit, order)
        typed.append(value.alias(field.name))
    rows = sheet.cells.select(*origin, *raws).with_columns(typed)
    return rows.select("source_file", "source_sheet", "source_row", "part", *names)


def _named(table: Table) -> list[str]:
    """Fields whose spelling may vary in case, spaces and punctuation: one spelling stands for all of a name's."""
    return [field.name for field in table.fields.values() if field.kind == "name" or field.name == "worker_no"]


def _spelled_twice(frames: dict[str, pl.DataFrame]) -> set[str]:
    """Fields in which a name has more than one spelling: only there need they be counted."""
    names: dict[str, set[str]] = defaultdict(set)
    for name, frame in frames.items():
        for field in _named(tables()[name]):
            names[field].update(frame[field].drop_nulls().unique())
    return {field for field, texts in names.items() if len(set(map(fold, texts))) < len(texts)}


def spellings(frames: dict[str, pl.DataFrame]) -> Spellings:
    """For each field of names the spelling that stands for all of a name's: its own table's, then the most frequent."""
    seen: dict[str, Counter[str]] = {}
    spelled_twice = _spelled_twice(frames)
    for name, frame in frames.items():
        for field in spelled_twice.intersection(_named(tables()[name])):
            counts = dict(frame[field].drop_nulls().value_counts().iter_rows())
            at_home = AT_HOME if HOME.get(field) == name else 0
            seen.setdefault(field, Counter()).update({text: count + at_home for text, count in counts.items()})
    out: Spellings = {}
    for field, counter in seen.items():
        best: dict[str, str] = {}
        for name, _ in sorted(counter.items(), key=lambda item: (-item[1], item[0])):
            best.setdefault(fold(name), name)
        out[field] = {name: best[fold(name)] for name in counter if best[fold(name)] != name}
    return out


def respell(table: Table, frame: pl.DataFrame, spelled: Spellings) -> pl.DataFrame:
    """Names in the spelling that stands for them."""
    changed = [pl.col(name).replace(spelled[name]) for name in _named(table) if spelled.get(name)]
    return frame.with_columns(changed) if changed else frame


def type_sheets(table: Table, sheets: list[SheetReading], order: str) -> pl.DataFrame:
    """All sheets of a table as one frame, names as they are written."""
    return pl.concat([_part(table, sheet, order) for sheet in sheets], rechunk=True)


def wrong_order_dates(column: Column, texts: pl.Series, order: str) -> tuple[int, int]:
    """How many of a column's distinct dates only the other order of day and month can read, and how many both can."""
    order = heading_date_order(column.heading_unit) or order
    other = "dmy" if order == "mdy" else "mdy"
    distinct = [text.casefold() for text in texts.drop_nulls().unique()]
    read = [(read_date(text, order=order), read_date(text, order=other)) for text in distinct]
    wrong = sum(ours is None and theirs is not None for ours, theirs in read)
    return wrong, sum(None not in pair and pair[0] != pair[1] for pair in read)
