"""How cells and headings are worded, on a page as on paper."""

from __future__ import annotations

from pipeline.documents.formats import show, show_range
from pipeline.documents.model import Cell, Chart, Column, Estimate, Note, Table

NOTE_HEADINGS = {"text": "", "caution": "Caution", "missing": "Missing", "method": ""}
"""Words before a paragraph, by its kind."""


def shown_cell(cell: Cell, column: Column) -> str:
    """A cell's value as text."""
    if isinstance(cell, Estimate):
        return show(cell.value, cell.format or column.format, low=cell.low, high=cell.high)
    return show(cell, column.format)


def cell_interval(cell: Cell, column: Column) -> str | None:
    """A cell's interval as text; None where it has none, or nothing for it to be around."""
    if not isinstance(cell, Estimate) or cell.value is None:
        return None
    return show_range(cell.value, cell.low, cell.high, cell.format or column.format)


def says_unit(column: Column) -> bool:
    """Whether a heading needs its unit beside it: `Jobs` is in jobs already."""
    return bool(column.unit) and column.unit.casefold() != column.heading.casefold()


def is_wordy(table: Table) -> bool:
    """Whether a table holds sentences, so that a narrow screen shows each row as a card."""
    return any(column.format == "prose" for column in table.columns)


def block_kind(block: Note | Table | Chart) -> str:
    """Which part of a template draws a block."""
    return type(block).__name__.lower()
