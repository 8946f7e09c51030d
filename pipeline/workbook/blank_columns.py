"""A column of the blank workbook: its heading, format, example, and the rule that its cells are checked by."""

from __future__ import annotations

from datetime import date
from decimal import Decimal
from typing import Any

from pipeline.dictionary import bounds
from pipeline.units import read_date, reader_of
from pipeline.vocabulary import TEXT_KINDS, WHOLE_KINDS, Field, Table
from pipeline.workbook.examples import example_cell

FIRST_DAY, LAST_DAY = date(1990, 1, 1), date(2099, 12, 31)
"""Dates beyond these are a slip of the hand."""
STAR = "\N{NO-BREAK SPACE}*"
"""What marks a heading that every row needs."""
TEXT_FORMAT, GENERAL = "@", "General"
_NUMBER_FORMATS = {"money": "#,##0.00", "date": "yyyy-mm-dd", "whole": "0", "season": "0"}
_TEXT = TEXT_KINDS | {"slope", "yesno"}


def heading(field: Field) -> str:
    """The field's own heading, its unit in brackets unless it ends with it, and a star where every row needs it."""
    words = field.heading
    unit = f" [{field.unit}]" if field.unit and words.split()[-1].casefold() != field.unit.casefold() else ""
    return f"{words}{unit}{STAR if field.required else ''}"


def cell_format(field: Field) -> str:
    """The number format of a column.

    Text keeps leading zeros, and `6/12` from becoming a day in June. Hours and shares stay general: a cell in [h]:mm
    would take 6.5 for six and a half days and one in percent 0.5 for half a percent, while a general one takes 6.5
    and 6:30, 0.5 and 50 % alike.
    """
    return TEXT_FORMAT if field.kind in _TEXT else _NUMBER_FORMATS.get(field.kind, GENERAL)


def example_value(table: Table, field: Field) -> str | date | Decimal:
    """What the example row's cell holds: typed as a person's would be, text where it bears the mark."""
    text = example_cell(table, field)
    if text != field.example or field.kind in _TEXT:
        return text
    value = read_date(text) if field.kind == "date" else reader_of(field.kind, unit=field.unit)(text)
    if value is None:
        raise ValueError(f"{table.name}.{field.name}: the example {text!r} cannot be read")
    return value


def _limits(field: Field, cell: str) -> dict[str, Any] | None:
    """The criteria of a number's range; a formula where a bound is exclusive and there is another."""
    low, high, above = field.min, field.max, field.above
    if above is not None and high is not None:
        return {"validate": "custom", "value": f"=AND(ISNUMBER({cell}),{cell}>{above},{cell}<={high})"}
    kind = "integer" if field.kind in WHOLE_KINDS else "decimal"
    if low is not None and high is not None:
        return {"validate": kind, "criteria": "between", "minimum": float(low), "maximum": float(high)}
    for criteria, bound in ((">", above), (">=", low), ("<=", high)):
        if bound is not None:
            return {"validate": kind, "criteria": criteria, "value": float(bound)}
    return None


def rule(field: Field, cell: str, words: str | None) -> dict[str, Any] | None:
    """The rule that a column's cells are checked by as they are typed, in xlsxwriter's words; None where none is known.

    `cell` is the column's first cell, `words` the range that lists its words. A word that is not on its list is
    stopped; a range, and a name that may go on after a colon, is warned of.
    """
    if words is not None:
        return {
            "validate": "list",
            "source": f"={words}",
            "error_type": "stop" if field.allowed or field.kind == "yesno" else "warning",
            "error_title": field.heading,
            "error_message": f"Choose one of the words of the list; the sheet behind it is {words.split('!')[0]}.",
        }
    if field.kind == "date":
        found: dict[str, Any] | None = {
            "validate": "date", "criteria": "between", "minimum": FIRST_DAY, "maximum": LAST_DAY
        }  # fmt: skip
        text = "This does not read as a date. Write it as 2025-11-14. Keep it?"
    else:
        found = None if field.kind in _TEXT else _limits(field, cell)
        text = f"It should be a number {bounds(field)}. Keep it?"
    return found and found | {"error_type": "warning", "error_title": field.heading, "error_message": text}
