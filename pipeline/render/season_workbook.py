"""season.xlsx: the season's measures, decisions and printed figures as typed tables, with what they mean."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from decimal import Decimal
from pathlib import Path
from typing import Any

import xlsxwriter

from pipeline import __version__
from pipeline.documents.listing import figures_of
from pipeline.documents.model import Document
from pipeline.documents.results import label_of
from pipeline.documents.season_tables import SeasonSheet
from pipeline.render.figures import plain
from pipeline.workbook.origins import as_cell

CREATED = datetime(2000, 1, 1)
"""A fixed day, so that the same season gives the same bytes."""
FORMATS = {
    "usd": "$#,##0.00;[Red]-$#,##0.00",
    "share": "0.0%",
    "feet": "#,##0.0",
    "hours": "#,##0.00",
    "ratio": "#,##0.000",
    "count": "#,##0",
    "plain": "0",
    "date": "yyyy-mm-dd",
    "yesno": "General",
    "text": "@",
    "any": "#,##0.00####",
}
"""Number formats by a column's kind."""
LEAST_WIDTH, WIDEST = 9, 46
SAMPLE = 200
"""Rows by which the width of a column is chosen."""
Heading = tuple[str, str]
"""A heading and the kind of what stands under it."""


@dataclass(frozen=True)
class SeasonBook:
    """What the workbook holds: its tables, the reports whose figures it lists, and what was read for them.

    `files` are rows of audit.files and `settings` those in force, with their origin.
    """

    season: int
    firm: str | None
    sheets: tuple[SeasonSheet, ...]
    documents: tuple[Document, ...]
    files: tuple[Mapping[str, Any], ...]
    settings: tuple[Mapping[str, Any], ...]


class _Writer:
    """A workbook being written."""

    def __init__(self, book: Any) -> None:
        self.book = book
        self.formats = {kind: book.add_format({"num_format": text, "valign": "top"}) for kind, text in FORMATS.items()}
        head = {"bold": True, "text_wrap": True, "valign": "bottom", "bottom": 2, "bg_color": "#F4F1EA"}
        self.left = book.add_format(head)
        self.right = book.add_format(head | {"align": "right"})
        self.title = book.add_format({"bold": True, "font_size": 14})
        self.wrapped = book.add_format({"text_wrap": True, "valign": "top"})

    def cell(self, sheet: Any, row: int, column: int, value: Any, kind: str) -> None:
        """Write a value by its own type: text is text, whatever it begins with."""
        form = self.formats[kind]
        if value is None or (isinstance(value, float) and value != value):
            sheet.write_blank(row, column, None, form)
        elif isinstance(value, bool):
            sheet.write_boolean(row, column, value, form)
        elif isinstance(value, date):
            sheet.write_datetime(row, column, value, self.formats["date"])
        elif isinstance(value, int | float | Decimal):
            sheet.write_number(row, column, float(value), form)
        else:
            sheet.write_string(row, column, as_cell(str(value)), self.formats["text"])

    def table(self, name: str, headings: Sequence[Heading], rows: Sequence[Sequence[Any]], keys: int = 1) -> None:
        """A sheet with one table: headings that stay and filter, values in the formats of their kinds."""
        sheet = self.book.add_worksheet(name)
        sheet.freeze_panes(1, keys)
        sheet.set_landscape()
        sheet.fit_to_pages(1, 0)
        sheet.repeat_rows(0)
        sheet.set_row(0, 32)
        for column, (heading, kind) in enumerate(headings):
            sheet.set_column(column, column, _width(heading, [row[column] for row in rows[:SAMPLE]]))
            sheet.write_string(0, column, heading, self.left if kind in ("text", "yesno") else self.right)
        for at, row in enumerate(rows, start=1):
            for column, (value, (_, kind)) in enumerate(zip(row, headings, strict=True)):
                self.cell(sheet, at, column, value, kind)
        sheet.autofilter(0, 0, max(1, len(rows)), len(headings) - 1)


def _width(heading: str, values: Iterable[Any]) -> float:
    longest = max((len(v) if isinstance(v, str) else 10 for v in values if v is not None), default=0)
    return max(LEAST_WIDTH, min(WIDEST, max(longest, len(heading) * 0.62) + 2))


def _contents(writer: _Writer, book: SeasonBook) -> None:
    sheet = writer.book.add_worksheet("Contents")
    sheet.set_column(0, 0, 26)
    sheet.set_column(1, 1, 90)
    sheet.set_column(2, 2, 12)
    firm = f"{book.firm}, " if book.firm else ""
    sheet.write_string(0, 0, as_cell(f"{firm}season {label_of(book.season)}"), writer.title)
    sheet.write_string(1, 0, f"Made by perfoot {__version__}. A blank cell is not known; it is never a zero.")
    for column, heading in enumerate(("Sheet", "One row is", "Rows")):
        sheet.write_string(3, column, heading, writer.right if column == 2 else writer.left)
    listed = [
        ("Figures", "a figure that is printed in a report", sum(len(figures_of(d)) for d in book.documents)),
        *((one.name, one.grain.removeprefix("one row ").strip(), len(one.rows) + one.left_out) for one in book.sheets),
        ("Definitions", "a column of these sheets: what it means, and in which unit", None),
        ("Sources", "a file that was read", len(book.files)),
        ("Settings", "a setting in force, and where its value is from", len(book.settings)),
    ]
    for at, (name, grain, rows) in enumerate(listed, start=4):
        sheet.write_url(at, 0, f"internal:'{name}'!A1", string=name)
        more = next((one.left_out for one in book.sheets if one.name == name), 0)
        said = f"{grain}; {more:,} rows more are in the store" if more else grain
        sheet.write_string(at, 1, said, writer.wrapped)
        if rows is not None:
            sheet.write_number(at, 2, rows, writer.formats["count"])
    sheet.freeze_panes(4, 0)


def _figures(writer: _Writer, documents: Iterable[Document]) -> None:
    headings: list[Heading] = [("Name", "text"), ("What it is", "text"), ("Value", "any"), ("Unit", "text"),
                               ("Low", "any"), ("High", "any"), ("Level", "share"), ("Definition", "text"),
                               ("Table of the store", "text"), ("Its row", "text")]  # fmt: skip
    rows = []
    for document in documents:
        for figure in figures_of(document).values():
            level = figure.level if figure.low is not None else None
            rows.append(
                (
                    figure.name,
                    figure.label,
                    _number(figure.value),
                    figure.unit,
                    _number(figure.low),
                    _number(figure.high),
                    level,
                    figure.definition,
                    figure.source.table,
                    figure.source.row,
                )
            )
    writer.table("Figures", headings, rows)


def _number(value: Any) -> Any:
    """A value as figures.json has it: a float to as many digits as are meant."""
    return plain(value) if isinstance(value, float) else value


def _definitions(writer: _Writer, sheets: Iterable[SeasonSheet]) -> None:
    rows = [
        (sheet.name, column.titled, column.key, column.unit, column.meaning)
        for sheet in sheets
        for column in sheet.columns
    ]
    headings = [(text, "text") for text in ("Sheet", "Column", "Name in the store", "Unit", "What it means")]
    writer.table("Definitions", headings, rows, keys=2)


def write_season_workbook(book: SeasonBook, path: Path) -> None:
    """Write the workbook. Numbers are numbers, to the cent and beyond; text is text and never a formula or a link."""
    options = {"constant_memory": True, "strings_to_formulas": False, "strings_to_urls": False}
    with xlsxwriter.Workbook(str(path), options) as made:
        made.set_properties({"title": f"Season {label_of(book.season)}", "created": CREATED})
        writer = _Writer(made)
        _contents(writer, book)
        _figures(writer, book.documents)
        for sheet in book.sheets:
            writer.table(sheet.name, [(column.titled, column.kind) for column in sheet.columns], sheet.rows)
        _definitions(writer, book.sheets)
        files = [(one["path"], one["sha256"], one["rows"]) for one in book.files]
        writer.table("Sources", [("File", "text"), ("SHA-256", "text"), ("Rows", "count")], files)
        settings = [(one["setting"], one["value"], one["origin"]) for one in book.settings]
        writer.table("Settings", [("Setting", "text"), ("Value", "text"), ("Where it is from", "text")], settings)
