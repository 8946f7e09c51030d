"""Rows that were put right in a workbook of rejected rows: how many, and each cell old and new."""

from __future__ import annotations

from typing import Any

from pipeline.documents.build import counted, note, row, table
from pipeline.documents.columns import prose, words
from pipeline.documents.model import Block, Figure, Section, Source, say
from pipeline.documents.results import Results

Record = dict[str, Any]

MOST_LISTED = 200
"""Cells printed one by one; the store has all."""
LONGEST_CELL = 60
"""Characters of a cell that are printed."""


def _place(record: Record, side: str) -> str:
    sheet = f", {record[f'{side}_sheet']}" if record[f"{side}_sheet"] else ""
    return f"{record[f'{side}_file']}{sheet}, row {record[f'{side}_row']}"


def _shown(text: str | None) -> str:
    if not text:
        return "blank"
    return text if len(text) <= LONGEST_CELL else f"{text[:LONGEST_CELL]}..."


def corrections_section(results: Results) -> tuple[Section, ...]:
    """The corrections in force; nothing where there are none."""
    records = results.rows("audit.corrections")
    if not records:
        return ()
    source = Source("audit.corrections", f"season={results.season}")
    corrected = len({_place(record, "source") for record in records})
    figure = Figure("rows_corrected", "rows put right", corrected, "count", "rows",
                    "rows that take the place of the one at their origin", source)  # fmt: skip
    said = say(
        "{} put right in a workbook of rejected rows; each counts in the place of the one in its own file, which is "
        "set aside.", counted(figure, "row was", "rows were"),
    )  # fmt: skip
    columns = (
        prose("origin", "Row of origin"),
        prose("column", "Column of the correction"),
        words("old", "Was"),
        words("new", "Is"),
        prose("where", "Corrected in"),
        words("place", "Now"),
    )
    ordered = sorted(records, key=lambda r: (_place(r, "source"), r["column_name"]))
    rows = [
        row(
            {
                "origin": _place(record, "origin"),
                "column": record["column_name"],
                "old": _shown(record["old_value"]),
                "new": _shown(record["new_value"]),
                "where": _place(record, "source"),
                "place": record["place"],
            },
            columns,
            str(number),
            source,
        )
        for number, record in enumerate(ordered[:MOST_LISTED], start=1)
    ]
    footnote = None
    if len(rows) < len(records):
        shown = Figure("corrections_listed", "cells listed", len(rows), "count", "cells", "cells printed", source)
        whole = Figure("corrections", "cells corrected", len(records), "count", "cells", "cells corrected", source)
        footnote = say("{} of {} cells are listed; all are in the store, audit.corrections.", shown, whole)
    blocks: tuple[Block, ...] = (note(said), table("corrections", "What was put right", columns, rows, footnote))
    return (Section("corrections", "Rows put right", blocks),)
