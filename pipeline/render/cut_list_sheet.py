"""A cut list as a workbook for the bench: a row a piece of a spool, with a box to tick."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime
from pathlib import Path

import xlsxwriter

from pipeline.decisions.spools_cut import LineCut, name_of
from pipeline.documents.cut_list import (
    bought_words,
    feet_and_inches,
    numbered,
    pieces_of,
    title_of,
    verdict,
    waste_said,
)

COLUMNS = (("Spool", 16), ("Line", 18), ("Spool, ft", 10), ("Pieces", 8), ("Length", 14), ("Length, ft", 11),
           ("Left, ft", 10), ("Done", 8))  # fmt: skip
"""Heading and width of each column."""
MADE_ON = datetime(2000, 1, 1)
"""A fixed day, so that the same list gives the same bytes."""


def write_cut_list(lines: Sequence[LineCut], path: Path) -> None:
    """Write the cuts spool by spool, and what is to be said of each line under them. Text is never a formula."""
    with xlsxwriter.Workbook(path, {"strings_to_formulas": False, "strings_to_urls": False}) as book:
        book.set_properties({"title": "Cut list", "created": MADE_ON})
        sheet = book.add_worksheet("Cut list")
        head, feet = book.add_format({"bold": True, "bottom": 1}), book.add_format({"num_format": "#,##0.00"})
        box = book.add_format({"border": 1})
        for column, (heading, width) in enumerate(COLUMNS):
            sheet.set_column(column, column, width)
            sheet.write_string(0, column, heading, head)
        row = 1
        for line in lines:
            for name, cut in numbered(line):
                for length, number in pieces_of(line, cut):
                    sheet.write_string(row, 0, name)
                    sheet.write_string(row, 1, name_of(line.spacing_in, line.colour))
                    sheet.write_number(row, 2, line.spools[cut.stock].size_ft, feet)
                    sheet.write_number(row, 3, number)
                    sheet.write_string(row, 4, feet_and_inches(length))
                    sheet.write_number(row, 5, length, feet)
                    sheet.write_number(row, 6, round(line.left_ft(cut), 6), feet)
                    sheet.write_blank(row, 7, None, box)
                    row += 1
        sheet.freeze_panes(1, 0)
        for line in lines:
            row += 1
            for text in (title_of(line), f"Take {bought_words(line)}. {verdict(line)}", waste_said(line)):
                sheet.write_string(row, 0, text)
                row += 1
