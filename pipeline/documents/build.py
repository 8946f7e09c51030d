"""From rows of the store to tables, figures and notes of a document."""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from typing import Any

from pipeline.documents.columns import COLUMNS
from pipeline.documents.model import Cell, Column, Estimate, Figure, Note, NoteKind, Row, Source, Table, Text, say

Record = dict[str, Any]


def slug(*words: object) -> str:
    """A key of a figure's name: `Maple #2` is `maple_2`; parts are set apart by a dot."""
    return ".".join(re.sub(r"[^a-z0-9]+", "_", str(word).casefold()).strip("_") or "none" for word in words)


def source_row(record: Record, keys: Iterable[str]) -> str:
    """Where a row stands in its table: `season=2025, branch=all`."""
    return ", ".join(f"{key}={record[key]}" for key in keys if record.get(key) is not None)


def cell(record: Record, column: Column) -> Cell:
    """A row's cell for a column: an Estimate where the column has an interval."""
    if column.low and column.high:
        return Estimate(record.get(column.key), record.get(column.low), record.get(column.high))
    return record.get(column.key)


def row(record: Record, columns: Sequence[Column], key: str, source: Source, *, strong: bool = False) -> Row:
    """A row of a table from a record by the columns' keys."""
    return Row(key, tuple(cell(record, column) for column in columns), source, strong)


def rows_by(records: Iterable[Record], columns: Sequence[Column], table: str, keys: Sequence[str]) -> tuple[Row, ...]:
    """Rows named by the values of `keys`, which also say where each stands in the store's table.

    `season` is part of the source and not of the name. Two rows of one name are told apart by a number.
    """
    out: list[Row] = []
    seen: dict[str, int] = {}
    for record in records:
        name = slug(*[record.get(key) for key in keys if key != "season"])
        seen[name] = seen.get(name, 0) + 1
        name = name if seen[name] == 1 else f"{name}.{seen[name]}"
        out.append(row(record, columns, name, Source(table, source_row(record, keys))))
    return tuple(out)


def figure(key: str, record: Record, source: Source, *, label: str = "", name: str = "", **changes: Any) -> Figure:
    """A figure of a sentence or of the first screen, from a record and the column's definition."""
    column = COLUMNS[key]
    values: dict[str, Any] = {
        "name": name or key,
        "label": label or column.heading,
        "value": record.get(key),
        "format": column.format,
        "unit": column.unit,
        "definition": column.definition,
        "source": source,
    }
    return Figure(**(values | changes))


def without_empty(columns: Sequence[Column], records: Sequence[Record]) -> tuple[Column, ...]:
    """The columns of which some row knows something."""
    return tuple(column for column in columns if any(record.get(column.key) is not None for record in records))


def note(text: str | Text, kind: NoteKind = "text") -> Note:
    """A paragraph."""
    return Note(kind, text if isinstance(text, Text) else Text((text,)))


def missing(text: str | Text) -> Note:
    """A paragraph that says what is not there, and why."""
    return note(text, "missing")


def table(
    name: str, title: str, columns: Sequence[Column], rows: Sequence[Row], footnote: str | Text | None = None
) -> Table:
    """A table, its footnote a string or a Text."""
    said = Text((footnote,)) if isinstance(footnote, str) else footnote
    return Table(name, title, tuple(columns), tuple(rows), said)


def listed(words: Sequence[str]) -> str:
    """`a`, `a and b`, `a, b and c`."""
    if len(words) < 2:
        return "".join(words)
    return f"{', '.join(words[:-1])} and {words[-1]}"


def counted(amount: Figure, one: str, many: str) -> Text:
    """`1 job`, `4 jobs`."""
    return say("{} {}", amount, one if amount.value == 1 else many)


def with_capital(words: str) -> str:
    """Words with a capital at their start, the rest as they were."""
    return words[:1].upper() + words[1:]
