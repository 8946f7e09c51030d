"""Write tables as people keep them: titles, odd headings, units in cells, totals, notes."""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Callable, Iterable
from dataclasses import dataclass, field
from datetime import date, datetime
from pathlib import Path
from typing import Any

import xlsxwriter

from data_demo.make.records import Record, Written

CREATED = datetime(2026, 3, 1)
"""Fixed, so that the same season gives the same bytes."""

Style = Callable[[Any], Any]


def feet_text(value: float) -> str:
    return f"{value:g} ft"


def feet_and_inches(value: float) -> str:
    return f"{int(value)}'" if value == int(value) else f"{int(value)}' 6\""


def clock(value: float) -> str:
    return f"{int(value)}:{round(value % 1 * 60):02d}"


def h_minutes(value: float) -> str:
    return f"{int(value)}h{round(value % 1 * 60):02d}"


def dollars(value: float) -> str:
    return f"${value:,.2f}"


def american(value: date) -> str:
    return f"{value.month}/{value.day}/{value.year}"


def named_month(value: date) -> str:
    return f"{value.day}-{value:%b}-{value:%y}"


def twelfths(value: int) -> str:
    return f"{value}/12"


def inch_mark(value: int) -> str:
    return f'{value}"'


def yes_no(value: bool) -> str:
    return "yes" if value else "no"


def spaced(value: str) -> str:
    return value.replace("_", " ")


def as_number(value: str) -> int:
    return int(value)


@dataclass(frozen=True)
class Layout:
    """How a table is written: headings by field in order, styles by field, what stands above and below."""

    table: str
    headings: dict[str, str]
    styles: dict[str, Style] = field(default_factory=dict)
    titles: tuple[str, ...] = ()
    blank_after_titles: int = 1
    blank_every: int = 0
    totals: tuple[str, ...] = ()
    note: str = ""
    merge: str | None = None
    extra: dict[str, Callable[[Record], object]] = field(default_factory=dict)
    wrong_total: bool = False


@dataclass(frozen=True)
class Planted:
    """A planted mistake and where it stands, as a person sees it."""

    season: int
    file: str
    sheet: str
    row: int
    column: str
    cell: str
    kind: str
    expected: str
    note: str


@dataclass
class Grid:
    """Rows of cells from row 1 on, runs of merged cells, and the mistakes on it."""

    rows: list[list[Any]] = field(default_factory=list)
    merges: list[tuple[int, int, int]] = field(default_factory=list)
    slips: list[tuple[int, str, str, str, str, str]] = field(default_factory=list)


def _cell(layout: Layout, name: str, value: object) -> object:
    if value is None or isinstance(value, Written):
        return value
    style = layout.styles.get(name)
    return style(value) if style else value


def _total(rows: list[Record], name: str) -> float:
    """The sum of what can be read in the column, a planted number too."""
    values = [row.get(name) for row in rows]
    return round(sum(float(value) for value in values if re.fullmatch(r"[\d.]+", str(value))), 2)


def lay_out(layout: Layout, records: Iterable[Record]) -> Grid:
    """A table's records as a grid."""
    grid = Grid()
    rows = list(records)
    for title in layout.titles:
        grid.rows.append([title])
    grid.rows += [[] for _ in range(layout.blank_after_titles if layout.titles else 0)]
    grid.rows.append([*layout.headings.values(), *layout.extra])
    run_start, run_value = 0, None
    for number, record in enumerate(rows):
        if layout.blank_every and number and number % layout.blank_every == 0:
            grid.rows.append([])
        cells = [_cell(layout, name, record.get(name)) for name in layout.headings]
        grid.rows.append([*cells, *(extra(record) for extra in layout.extra.values())])
        here = len(grid.rows)
        for slip in record.slips:
            shown = cells[list(layout.headings).index(slip.field)] if slip.field in layout.headings else None
            grid.slips.append(
                (here, slip.field, "" if shown is None else str(shown), slip.kind, slip.expected, slip.note)
            )
        if layout.merge:
            if record[layout.merge] != run_value:
                run_start, run_value = here, record[layout.merge]
            last = number + 1 == len(rows) or rows[number + 1][layout.merge] != run_value
            if last and here > run_start:
                grid.merges.append((run_start, here, list(layout.headings).index(layout.merge)))
    _close(layout, rows, grid)
    return grid


def _close(layout: Layout, rows: list[Record], grid: Grid) -> None:
    if layout.totals:
        cells: list[Any] = []
        for place, name in enumerate(layout.headings):
            if name in layout.totals:
                total = _total(rows, name) + (10 if layout.wrong_total else 0)
                cells.append(_cell(layout, name, total))
            else:
                cells.append("Total" if place == 0 else None)
        grid.rows.append(cells)
        if layout.wrong_total:
            name = layout.totals[0]
            shown = str(cells[list(layout.headings).index(name)])
            grid.slips.append((len(grid.rows), name, shown, "wrong total", "warning", "10 more than its rows"))
    if layout.note:
        grid.rows += [[], [layout.note]]


def write_workbook(path: Path, sheets: list[tuple[str, Grid]], hidden: tuple[str, ...] = ()) -> None:
    """An .xlsx with a sheet a grid; dates are real dates."""
    book = xlsxwriter.Workbook(str(path), {"default_date_format": "yyyy-mm-dd"})
    book.set_properties({"created": CREATED, "comments": "Invented demo data"})
    for name, grid in sheets:
        sheet = book.add_worksheet(name)
        for row, cells in enumerate(grid.rows):
            for column, value in enumerate(cells):
                if isinstance(value, str):
                    sheet.write_string(row, column, value)
                elif isinstance(value, date):
                    sheet.write_datetime(row, column, value)
                elif value is not None:
                    sheet.write_number(row, column, value)
        for first, last, column in grid.merges:
            value = grid.rows[first - 1][column]
            sheet.merge_range(first - 1, column, last - 1, column, value)
        if name in hidden:
            sheet.hide()
    book.close()


def write_csv(path: Path, grid: Grid, delimiter: str = ",", encoding: str = "utf-8") -> None:
    """A .csv in one of the encodings that people's programs use."""
    width = max(len(cells) for cells in grid.rows)
    out = io.StringIO(newline="")
    writer = csv.writer(out, delimiter=delimiter, lineterminator="\r\n")
    for cells in grid.rows:
        writer.writerow(["" if value is None else value for value in [*cells, *[None] * (width - len(cells))]])
    path.write_bytes(out.getvalue().encode(encoding))


def planted(season: int, file: str, sheet: str, grid: Grid) -> list[Planted]:
    """The mistakes of a grid with their place."""
    return [Planted(season, file, sheet, *slip) for slip in grid.slips]
