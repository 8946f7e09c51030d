"""Rows put right, as the intake report says them."""

from __future__ import annotations

import polars as pl
from support.made_results import made_results, made_tables

from pipeline.documents import intake_document
from pipeline.documents.corrections import MOST_LISTED
from pipeline.documents.listing import figures_of
from pipeline.documents.model import Document, Table


def corrected(cells: int, cells_a_row: int = 1) -> Document:
    rows = [
        {
            "origin_file": "hours.csv", "origin_sheet": "", "origin_row": 2 + number // cells_a_row,
            "source_file": "rejects.xlsx", "source_sheet": "1 hours", "source_row": 2 + number // cells_a_row,
            "record_table": "hours", "column_name": f"column {'CD'[number % 2]} 'Hours'", "old_value": "see note",
            "new_value": None if number else "x" * 70, "place": "accepted",
        }
        for number in range(cells)
    ]  # fmt: skip
    return intake_document(made_results(tables=made_tables() | {"audit.corrections": pl.DataFrame(rows)}))


def listed(document: Document) -> Table:
    return next(block for block in document.blocks if isinstance(block, Table) and block.name == "corrections")


def test_each_cell_is_listed_old_and_new_with_both_places() -> None:
    document = corrected(2, cells_a_row=2)
    assert [row.cells for row in listed(document).rows] == [
        (
            "hours.csv, row 2",
            "column C 'Hours'",
            "see note",
            "x" * 60 + "...",
            "rejects.xlsx, 1 hours, row 2",
            "accepted",
        ),
        ("hours.csv, row 2", "column D 'Hours'", "see note", "blank", "rejects.xlsx, 1 hours, row 2", "accepted"),
    ]
    assert figures_of(document)["intake.rows_corrected"].value == 1


def test_no_more_are_listed_than_can_be_read_and_the_rest_is_counted() -> None:
    document = corrected(MOST_LISTED + 1)
    assert len(listed(document).rows) == MOST_LISTED
    assert figures_of(document)["intake.corrections"].value == MOST_LISTED + 1


def test_without_corrections_there_is_no_such_section() -> None:
    assert "corrections" not in {section.name for section in intake_document(made_results()).sections}
