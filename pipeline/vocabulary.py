"""The one description of the season's records, read from vocabulary.toml.

Everything that needs to know a table or a field asks here: reading, validation, the store's tables,
the data dictionary, the blank workbook and the demo.
"""

from __future__ import annotations

import tomllib
from dataclasses import dataclass
from decimal import Decimal
from functools import cache
from pathlib import Path

DECIMAL_PLACES = 12
"""Decimals kept of every measured value: `1h20` and `4"` do not end in decimals."""

KINDS = {
    "code": "identifier; 1042, 1042.0 and 01042 are one number",
    "name": "name; case, spaces and punctuation do not tell two apart",
    "text": "text",
    "choice": "one of a list of words",
    "date": "calendar date",
    "season": "year in which a season starts",
    "whole": "whole number",
    "yesno": "yes or no",
    "money": "amount in the season's currency",
    "feet": "length in feet",
    "inches": "length in inches",
    "slope": "rise in inches for 12 inches of run",
    "miles": "distance in miles",
    "hours": "duration in hours",
    "quantity": "quantity in the item's unit",
    "number": "number",
    "share": "share of one",
}
"""Kinds of value and what each means."""

DECIMAL_KINDS = frozenset({"money", "feet", "inches", "slope", "miles", "hours", "quantity", "number", "share"})
TEXT_KINDS = frozenset({"code", "name", "text", "choice"})
WHOLE_KINDS = frozenset({"whole", "season"})


@dataclass(frozen=True)
class Field:
    """A column of a table of records."""

    name: str
    kind: str
    text: str
    required: bool = False
    unit: str | None = None
    also: tuple[str, ...] = ()
    allowed: tuple[str, ...] = ()
    words: dict[str, tuple[str, ...]] | None = None
    min: Decimal | None = None
    max: Decimal | None = None
    above: Decimal | None = None
    default: str | None = None
    default_text: str | None = None
    ref: str | None = None
    example: str = ""

    @property
    def heading(self) -> str:
        """The field's own heading as a person would write it: `install_date` is `Install date`."""
        return self.name.replace("_", " ").capitalize()

    @property
    def sql_type(self) -> str:
        """The column's type in the store."""
        if self.kind in DECIMAL_KINDS:
            return f"DECIMAL(26, {DECIMAL_PLACES})"
        if self.kind in WHOLE_KINDS:
            return "INTEGER"
        return {"date": "DATE", "yesno": "BOOLEAN"}.get(self.kind, "VARCHAR")


@dataclass(frozen=True)
class Table:
    """A table of records: what a row is, its key and its fields in order."""

    name: str
    row: str
    key: tuple[str, ...]
    fields: dict[str, Field]

    @property
    def required(self) -> tuple[str, ...]:
        """Names of the fields that every row must have."""
        return tuple(f.name for f in self.fields.values() if f.required)


ORIGIN = ("source_file", "source_sheet", "source_row")
"""The columns that say where a record was read; source_row counts from 1 as a person sees it."""

_TUPLES = ("also", "allowed")
_DECIMALS = ("min", "max", "above")


def _field(name: str, raw: dict) -> Field:
    values = dict(raw)
    for key in _TUPLES:
        if key in values:
            values[key] = tuple(values[key])
    for key in _DECIMALS:
        if key in values:
            values[key] = Decimal(str(values[key]))
    if "words" in values:
        values["words"] = {word: tuple(also) for word, also in values["words"].items()}
    return Field(name=name, **values)


@cache
def tables() -> dict[str, Table]:
    """All tables by name, `jobs` first."""
    raw = tomllib.loads((Path(__file__).parent / "vocabulary.toml").read_text(encoding="utf-8"))
    return {
        name: Table(
            name=name,
            row=body["row"],
            key=tuple(body["key"]),
            fields={field: _field(field, value) for field, value in body["fields"].items()},
        )
        for name, body in raw.items()
    }
