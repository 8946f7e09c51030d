"""Cells as people write them, grids of them, and files of every format."""

from __future__ import annotations

import csv
import io
from collections.abc import Callable, Iterable, Mapping, Sequence
from datetime import date, datetime, timedelta
from decimal import Decimal
from pathlib import Path
from xml.sax.saxutils import escape, quoteattr

import xlsxwriter
from support.small_season import Record, Value
from support.workbooks import FORMATS, write_ods

from pipeline.vocabulary import Field, tables

Grid = list[list[object]]
Heading = Callable[[Field], str]
Cell = Callable[[Field, Value], object]
Merge = tuple[int, int, int, int]
"""First row, first column, last row, last column, counted from 0."""

SERIAL_ZERO = date(1899, 12, 30)


def own_heading(field: Field) -> str:
    """The field's own heading."""
    return field.heading


def plain(field: Field, value: Value) -> str | None:
    """The value as the plainest text: `1042`, `120.5`, `2025-11-14`, `yes`."""
    if value is None or isinstance(value, str):
        return value
    if isinstance(value, bool):
        return "yes" if value else "no"
    return format(value.normalize(), "f") if isinstance(value, Decimal) else str(value)


def typed(field: Field, value: Value) -> object:
    """The value as a spreadsheet's own: numbers, dates, durations and Booleans; codes of digits are numbers."""
    if field.kind == "hours" and isinstance(value, Decimal):
        return timedelta(minutes=float(round(value * 60, 6)))
    if isinstance(value, str):
        is_number = field.kind == "code" and value.isdigit() and str(int(value)) == value
        return int(value) if is_number else value
    return float(value) if isinstance(value, Decimal) else value


def dated(write: Callable[[date], str]) -> Cell:
    """Plain cells with dates in another form."""
    return lambda field, value: write(value) if isinstance(value, date) else plain(field, value)


def american(value: date) -> str:
    return f"{value.month}/{value.day}/{value.year}"


def european(value: date) -> str:
    return f"{value.day:02}/{value.month:02}/{value.year}"


def serial(value: date) -> str:
    return str((value - SERIAL_ZERO).days)


def feet_and_inches(value: Decimal) -> str:
    """`120' 6"`; a whole number of feet is `120'`."""
    feet, inches = divmod(value * 12, 12)
    return f"{feet:f}' {inches.normalize():f}\"" if inches else f"{feet:f}'"


def grid(
    name: str, rows: Iterable[Record], *, heading: Heading = own_heading, cell: Cell = plain,
    order: Sequence[str] | None = None,
) -> Grid:  # fmt: skip
    """A table as rows of cells, its headings first."""
    fields = [tables()[name].fields[field] for field in order or tables()[name].fields]
    head: list[object] = [heading(field) for field in fields]
    return [head, *([cell(field, row[field.name]) for field in fields] for row in rows)]


def summed(name: str, rows: Sequence[Record], field: str) -> Record:
    """A totals row: the word in the table's first field, the sum in one."""
    first = next(iter(tables()[name].fields))
    total = sum((row[field] or Decimal(0) for row in rows), Decimal(0))  # type: ignore[misc]
    return dict.fromkeys(tables()[name].fields) | {first: "Total", field: total}


def write_csv(path: Path, cells: Grid, *, delimiter: str = ",", encoding: str = "utf-8", end: str = "\r\n") -> None:
    """A CSV file; rows are as wide as the widest."""
    width = max(map(len, cells))
    text = io.StringIO(newline="")
    writer = csv.writer(text, delimiter=delimiter, lineterminator=end)
    writer.writerows([*row, *[None] * (width - len(row))] for row in cells)
    path.write_bytes(text.getvalue().encode(encoding))


def write_book(
    path: Path, sheets: Mapping[str, Grid], merges: Mapping[str, Sequence[Merge]] | None = None,
    hidden: Sequence[str] = (),
) -> None:  # fmt: skip
    """An .xlsx; a merged block holds the value of its first cell."""
    with xlsxwriter.Workbook(path, {"default_date_format": "yyyy-mm-dd"}) as book:
        formats = {kind: book.add_format({"num_format": text}) for kind, text in FORMATS.items()}
        for name, cells in sheets.items():
            sheet = book.add_worksheet(name)
            for at, row in enumerate(cells):
                for column, value in enumerate(row):
                    if isinstance(value, str):
                        sheet.write_string(at, column, value)
                    elif value is not None:
                        sheet.write(at, column, value, formats.get(type(value)))
            for first, left, last, right in (merges or {}).get(name, ()):
                value = cells[first][left]
                sheet.merge_range(first, left, last, right, "" if value is None else value)
            if name in hidden:
                sheet.hide()


def _ods_cell(value: object) -> str:
    if value is None:
        return "<table:table-cell/>"
    if isinstance(value, bool):
        kind, shown = "boolean", f'office:boolean-value="{str(value).lower()}"'
    elif isinstance(value, datetime | date):
        kind, shown = "date", f'office:date-value="{value.isoformat()}"'
    elif isinstance(value, timedelta):
        minutes, seconds = divmod(round(value.total_seconds()), 60)
        kind, shown = "time", f'office:time-value="PT{minutes // 60:02}H{minutes % 60:02}M{seconds:02}S"'
    elif isinstance(value, int | float):
        kind, shown = "float", f'office:value="{value!r}"'
    else:
        return f'<table:table-cell office:value-type="string"><text:p>{escape(str(value))}</text:p></table:table-cell>'
    return f'<table:table-cell office:value-type="{kind}" {shown}/>'


def write_open_document(path: Path, sheets: Mapping[str, Grid]) -> None:
    """An .ods of typed cells."""
    parts = []
    for name, cells in sheets.items():
        rows = "".join(f"<table:table-row>{''.join(map(_ods_cell, row))}</table:table-row>" for row in cells)
        parts.append(f"<table:table table:name={quoteattr(name)}>{rows}</table:table>")
    write_ods(path, "".join(parts))
