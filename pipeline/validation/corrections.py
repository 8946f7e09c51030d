"""Corrected rows among the checked: where each first stood, and what became of it cell by cell."""

from __future__ import annotations

import polars as pl

from pipeline.workbook import FolderReading

SCHEMA = {
    "origin_file": pl.String,
    "origin_sheet": pl.String,
    "origin_row": pl.Int64,
    "source_file": pl.String,
    "source_sheet": pl.String,
    "source_row": pl.Int64,
    "record_table": pl.String,
    "column_name": pl.String,
    "old_value": pl.String,
    "new_value": pl.String,
    "place": pl.String,
}
SET_ASIDE = "set aside"
"""Where a corrected row ends whose branch was not asked for."""
_SOURCE = ["source_file", "source_sheet", "source_row"]
_HOMES = {
    "source_file": pl.String,
    "source_sheet": pl.String,
    "source_row": pl.Int64,
    "home_file": pl.String,
    "home_sheet": pl.String,
    "home_part": pl.Int64,
    "home_row": pl.Int64,
}


def homes_of(reading: FolderReading) -> pl.DataFrame:
    """Where each corrected row first stood: its source, and home_file, home_sheet, home_part, home_row."""
    rows = [
        (one.at.file, one.at.sheet, one.at.row, one.origin.file, one.origin.sheet, one.origin.part, one.origin.row)
        for one in reading.corrections
    ]
    return pl.DataFrame(rows, schema=_HOMES, orient="row")


def at_home(rows: pl.DataFrame, homes: pl.DataFrame) -> pl.DataFrame:
    """Rows with the file, sheet, part and row where each first stood: its own, unless it was corrected elsewhere."""
    own = {"home_file": "source_file", "home_sheet": "source_sheet", "home_part": "part", "home_row": "source_row"}
    if homes.is_empty():
        return rows.with_columns(**{home: pl.col(name) for home, name in own.items()})
    joined = rows.join(homes, on=_SOURCE, how="left", maintain_order="left")
    assert joined.height == rows.height, "a corrected row has one origin"
    return joined.with_columns(**{home: pl.coalesce(home, name) for home, name in own.items()}).rechunk()


def corrections_frame(reading: FolderReading, placed: pl.DataFrame) -> pl.DataFrame:
    """One row a cell that was changed, with its old and its new text and the place in which its row ended.

    `placed` has the source and place of every row of a record table.
    """
    labels = {
        (sheet.file, sheet.sheet, sheet.table, column.field): f"column {column.letter} '{column.heading}'"
        for sheet in reading.sheets
        for column in sheet.columns
    }
    rows = [
        (
            *(one.origin.file, one.origin.sheet, one.origin.row, one.at.file, one.at.sheet, one.at.row, one.table),
            labels[one.at.file, one.at.sheet, one.table, field],
            one.old[field],
            text,
        )
        for one in reading.corrections
        for field, text in one.new.items()
        if text != one.old[field]
    ]
    kinds = {name: kind for name, kind in SCHEMA.items() if name != "place"}
    cells = pl.DataFrame(rows, schema=kinds, orient="row")
    ended = placed.select(*_SOURCE, "place").join(cells.select(_SOURCE).unique(), on=_SOURCE, how="semi").unique()
    found = cells.join(ended, on=_SOURCE, how="left", maintain_order="left")
    assert found.height == cells.height, "a corrected row ends in one place"
    return found.with_columns(pl.col("place").fill_null(SET_ASIDE)).select(list(SCHEMA))
