"""The lines of a figure as a sheet of a workbook, for whoever wants to add them up."""

from __future__ import annotations

from datetime import datetime
from pathlib import Path

import xlsxwriter

from pipeline.documents.trace import Traced

COLUMNS = (
    ("part", "Part", 12), ("what", "What", 44), ("quantity", "Quantity", 12), ("unit", "Unit", 9),
    ("rate_usd", "Rate (usd)", 12), ("amount_usd", "Amount (usd)", 14), ("rule", "Rule", 60),
    ("source_file", "File", 26), ("source_sheet", "Sheet", 16), ("source_row", "Row", 8),
)  # fmt: skip
"""Key, heading and width of each column."""
NUMBERS = {"quantity": "#,##0.00##", "rate_usd": "#,##0.0000", "amount_usd": "#,##0.0000", "source_row": "0"}
MADE_ON = datetime(2000, 1, 1)
"""A fixed day, so that the same figure gives the same bytes."""


def write_trace(traced: Traced, path: Path) -> None:
    """Write the lines, and their sum under them as a number. Text is never a formula."""
    with xlsxwriter.Workbook(path, {"strings_to_formulas": False, "strings_to_urls": False}) as book:
        book.set_properties({"title": traced.title, "created": MADE_ON})
        sheet = book.add_worksheet("Lines")
        head = book.add_format({"bold": True, "bottom": 1})
        formats = {key: book.add_format({"num_format": text}) for key, text in NUMBERS.items()}
        strong = book.add_format({"bold": True, "top": 1, "num_format": "#,##0.00"})
        sheet.write_string(0, 0, traced.title, book.add_format({"bold": True, "font_size": 13}))
        for column, (_, heading, width) in enumerate(COLUMNS):
            sheet.set_column(column, column, width)
            sheet.write_string(2, column, heading, head)
        for row, line in enumerate(traced.lines, start=3):
            for column, (key, _, _) in enumerate(COLUMNS):
                value = line[key]
                if isinstance(value, str):
                    sheet.write_string(row, column, value)
                elif value is not None:
                    sheet.write_number(row, column, float(value), formats[key])
        last = 3 + len(traced.lines)
        place = next(i for i, (key, _, _) in enumerate(COLUMNS) if key == traced.measure)
        if traced.adds_up:
            sheet.write_string(last, 0, f"Sum, {traced.unit}", strong)
            sheet.write_number(last, place, float(traced.sum), strong)
        said = [f"{word}: {text}" for word, text in traced.facts]
        for number, note in enumerate([*said, *traced.notes], start=last + 2):
            sheet.write_string(number, 0, note)
        sheet.freeze_panes(3, 2)
        sheet.autofilter(2, 0, max(last - 1, 3), len(COLUMNS) - 1)
