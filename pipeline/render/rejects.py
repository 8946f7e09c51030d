"""A workbook of rejected rows: each as it was written, its faulty cells marked, the reasons beside it.

What it says of a row's origin is read again by pipeline.workbook.corrections when the workbook is put back.
"""

from __future__ import annotations

import re
import zipfile
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime
from functools import lru_cache
from pathlib import Path
from textwrap import wrap
from typing import Any

import xlsxwriter

from pipeline.workbook.origins import EXPLAINS, ORIGIN_HEADINGS, OWN_HEADINGS, as_cell

CREATED = datetime(2000, 1, 1)
"""Written into every workbook, so that the same rows give the same bytes; no program that saves it again keeps it."""
WRITER = b"<Application>Microsoft Excel</Application>"
"""What the library says of the program that wrote; another program says its own name, or dates the workbook."""
LONGEST_NAME = 31
"""Characters of a sheet's name."""
MOST_SHEET_ROWS = 1_000_000
"""Rows of one sheet; a spreadsheet program holds 1,048,576."""
_NOT_IN_A_NAME = re.compile(r"[\[\]:*?/\\'\x00-\x1f\x7f]+")
WIDEST, WHY_WIDTH, WORDS_WIDTH = 40, 60, 110
GREY_WIDTHS = (20, 52, 16, 10, 10, 40)
"""Widths of columns in characters."""
LINE_HEIGHT = 15
"""Points of a line of text: not every program makes room for a cell's lines by itself."""
TALLEST = 400
"""Points of a row; a spreadsheet program allows 409."""


@dataclass(frozen=True)
class RejectedRow:
    """A row: where it is (`rejected`, `held`, ...) and why, its cells, those at fault, and the grey cells."""

    place: str
    why: str
    cells: tuple[str | None, ...]
    faulty: frozenset[int]
    origin: tuple[str | None, ...]


@dataclass(frozen=True)
class RejectsSheet:
    """The rows of one sheet of origin under the headings that it had."""

    name: str
    source: str
    headings: tuple[str, ...]
    rows: tuple[RejectedRow, ...]

    def count(self, place: str) -> int:
        """How many of its rows are in a place."""
        return sum(row.place == place for row in self.rows)


@dataclass(frozen=True)
class Rejects:
    """A season's rows to put right; `unlisted` counts held rows that are too many to be written."""

    season: int
    sheets: tuple[RejectsSheet, ...]
    unlisted: int = 0


def sheet_names(names: Iterable[str]) -> list[str]:
    """Names that a spreadsheet program takes, none twice: numbered, without the signs that it forbids."""
    out = []
    for number, name in enumerate(names, start=1):
        plain = " ".join(_NOT_IN_A_NAME.sub(" ", name).split())
        # Characters beyond the first plane count twice.
        fitting = f"{number} {plain}".encode("utf-16-le")[: 2 * LONGEST_NAME].decode("utf-16-le", "ignore")
        out.append(fitting.strip())
    return out


def _formats(book: Any) -> dict[str, Any]:
    text = {"num_format": "@", "valign": "top"}
    grey = {"bg_color": "#D9D9D9", "font_color": "#404040", "font_size": 8}
    return {
        "text": book.add_format(text),
        "held": book.add_format(text | {"italic": True}),
        # The border is what a black-and-white print shows.
        "faulty": book.add_format(text | {"bg_color": "#FFE08A", "bold": True, "border": 5}),
        "why": book.add_format(text | {"text_wrap": True}),
        "grey": book.add_format(text | grey),
        "heading": book.add_format(text | {"bold": True, "bottom": 2, "text_wrap": True}),
        "grey heading": book.add_format(text | grey | {"bottom": 2}),
        "title": book.add_format({"bold": True, "font_size": 14}),
        "words": book.add_format({"text_wrap": True, "valign": "top"}),
        "table": book.add_format({"bold": True, "bottom": 1}),
        "number heading": book.add_format({"bold": True, "bottom": 1, "align": "right"}),
    }


@lru_cache(maxsize=10_000)
def _height(text: str, width: int) -> int:
    """The height of a row that holds a text in a column so wide."""
    lines = sum(len(wrap(line, width)) or 1 for line in text.split("\n"))
    return min(LINE_HEIGHT * lines, TALLEST)


def _words(rejects: Rejects) -> list[str]:
    rejected, held, accepted = (
        sum(sheet.count(place) for sheet in rejects.sheets) for place in ("rejected", "held", "accepted")
    )
    words = [
        f"{rejected:,} rejected and {held + rejects.unlisted:,} held rows of season {rejects.season} are in no figure. "
        "Here they stand as they were written, on a sheet for each sheet that they came from.",
        "1. Change the cells with the thick border. The column 'Why it is here' says what is wrong with each.",
        "2. Leave the grey columns at the right as they are: they say which row of which file is corrected.",
        "3. Save, put this file into the season's folder, in the place of an older one or beside it, and run again. "
        "A corrected row then counts in the place of the one in its file, once. The files of origin stay as they are.",
        "A held row is sound in itself: it waits for its job, and counts by itself once the job is accepted. Change it "
        "only where a cell has the thick border.",
        "A row that is left as it is changes nothing. To drop a record, delete it in its own file: deleting it here "
        "does not drop it.",
    ]
    if accepted:
        words.append(
            f"{accepted:,} rows marked 'accepted' are corrections that count already. They are here so that this file "
            "can take the place of the one in which they were made."
        )
    if any(sheet.count("not counted") for sheet in rejects.sheets):
        words.append(
            "Rows marked 'not counted' came back and could not be used; they are here so that nothing typed is lost. "
            "Delete them when they are dealt with."
        )
    if rejects.unlisted:
        words.append(
            f"{rejects.unlisted:,} more held rows are not listed: they wait for the rejected rows listed here."
        )
    return words


def _write_first(book: Any, rejects: Rejects, names: list[str], formats: dict[str, Any]) -> None:
    sheet = book.add_worksheet(EXPLAINS)
    sheet.set_landscape()
    sheet.fit_to_pages(1, 0)
    sheet.set_column(0, 0, WORDS_WIDTH)
    sheet.set_column(1, 4, 12)
    sheet.write_string(0, 0, f"{EXPLAINS}: season {rejects.season}", formats["title"])
    at = 1
    for at, text in enumerate(_words(rejects), start=2):
        sheet.set_row(at, _height(text, WORDS_WIDTH))
        sheet.write_string(at, 0, text, formats["words"])
    places = ("rejected", "held", "accepted", "not counted")
    for column, heading in enumerate(("sheet, and where its rows came from", *places)):
        sheet.write_string(at + 2, column, heading, formats["number heading" if column else "table"])
    for row, (name, one) in enumerate(zip(names, rejects.sheets, strict=True), start=at + 3):
        sheet.write_string(row, 0, f"{name}: {one.source}")
        for column, place in enumerate(places, start=1):
            sheet.write_number(row, column, one.count(place))


def _widths(sheet: RejectsSheet) -> list[int]:
    widths = [min(WIDEST, max(8, len(heading) + 2)) for heading in sheet.headings]
    for row in sheet.rows[:1000]:
        for column, text in enumerate(row.cells):
            if text and len(text) > widths[column]:
                widths[column] = min(WIDEST, len(text) + 2)
    return widths


def _write_sheet(book: Any, name: str, one: RejectsSheet, formats: dict[str, Any]) -> None:
    sheet = book.add_worksheet(name)
    sheet.set_landscape()
    sheet.fit_to_pages(1, 0)
    sheet.repeat_rows(0)
    sheet.freeze_panes(1, 1)
    first_grey = 2 + len(one.headings)
    sheet.set_column(0, 0, 14)
    sheet.set_column(1, 1, WHY_WIDTH)
    for column, width in enumerate(_widths(one), start=2):
        sheet.set_column(column, column, width)
    for column, width in enumerate(GREY_WIDTHS, start=first_grey):
        sheet.set_column(column, column, width)
    # The grey columns are for the program: on paper they would take the place of what is to be read.
    sheet.print_area(0, 0, len(one.rows), first_grey - 1)
    sheet.autofilter(0, 0, max(1, len(one.rows)), first_grey + len(ORIGIN_HEADINGS) - 1)
    sheet.set_row(0, 2 * LINE_HEIGHT)
    headings = (*OWN_HEADINGS[:2], *one.headings, *ORIGIN_HEADINGS)
    for column, heading in enumerate(headings):
        kind = "grey heading" if column >= first_grey else "heading"
        sheet.write_string(0, column, as_cell(heading), formats[kind])
    for at, row in enumerate(one.rows, start=1):
        plain = formats["held" if row.place == "held" else "text"]
        sheet.set_row(at, _height(row.why, WHY_WIDTH))
        sheet.write_string(at, 0, row.place, plain)
        sheet.write_string(at, 1, as_cell(row.why), formats["why"])
        for column, text in enumerate(row.cells):
            form = formats["faulty"] if column in row.faulty else plain
            if text is not None:
                sheet.write_string(at, column + 2, as_cell(text), form)
            else:
                sheet.write_blank(at, column + 2, None, form)
        for column, text in enumerate(row.origin, start=first_grey):
            sheet.write_string(at, column, as_cell(text or ""), formats["grey"])


def _in_bounds(sheets: Iterable[RejectsSheet]) -> list[RejectsSheet]:
    """The sheets, one with more rows than a sheet holds as several."""
    return [
        RejectsSheet(one.name, one.source, one.headings, one.rows[start : start + MOST_SHEET_ROWS])
        for one in sheets
        for start in range(0, len(one.rows), MOST_SHEET_ROWS)
    ]


def write_rejects(rejects: Rejects, path: Path) -> None:
    """Write the workbook. Every cell of a record is text: nothing in it is ever a formula, a number or a link."""
    # Written row by row, so that memory does not grow with the rows.
    with xlsxwriter.Workbook(str(path), {"constant_memory": True}) as book:
        book.set_properties({"title": f"{EXPLAINS}: season {rejects.season}", "created": CREATED})
        formats = _formats(book)
        sheets = _in_bounds(rejects.sheets)
        names = sheet_names(sheet.name for sheet in sheets)
        _write_first(book, Rejects(rejects.season, tuple(sheets), rejects.unlisted), names, formats)
        for name, sheet in zip(names, sheets, strict=True):
            _write_sheet(book, name, sheet, formats)


def is_as_written(path: Path) -> bool:
    """Whether a workbook is still as write_rejects left it: a program that saves it dates it or names itself."""
    dated = f">{CREATED:%Y-%m-%dT%H:%M:%S}Z</dcterms:modified>".encode()
    try:
        with zipfile.ZipFile(path) as archive:
            return dated in archive.read("docProps/core.xml") and WRITER in archive.read("docProps/app.xml")
    except (OSError, KeyError, zipfile.BadZipFile):
        return False
