"""Whatever the cells hold, every row of a folder ends in one place, and every finding says what and how."""

from __future__ import annotations

import random

import polars as pl
import pytest
from support.intake import folder

from pipeline.validation import check_folder
from pipeline.vocabulary import Field, Table, tables
from pipeline.workbook import Column, SheetReading

ODD = (
    "n/a", "~5", "12O", "=1+1", "<b>x</b>", "'; drop table", "x" * 300, "-3", "1e5", "9" * 17, "0", "1042.0", "01042",
    "(125.00)", "$5", "35%", "6:30", "2025-11-14", "25/11/2025", "45975", "\u00e9", "\u0000", "TRUE", "#N/A", "{0}",
    "%s", "nan", "inf", "\u00bd", "\u0661\u0662", "2025-02-30", "1.", ".", "-", "'", '"', "120'", "2 dozen", "1\n2",
)  # fmt: skip
HEADING_UNITS = (None, None, None, "in", "min", "m", "%", "dd/mm/yyyy", "optional")


def made_cell(field: Field, rng: random.Random) -> str | None:
    """A sound cell, a blank one, or an odd one."""
    chance = rng.random()
    if chance < 0.1:
        return None
    if chance < 0.2:
        return rng.choice(ODD)
    if field.name == "job_no":
        return str(rng.randint(1, 6))
    if field.name == "branch":
        return rng.choice(("A", "B", "a"))
    if field.kind == "choice":
        return rng.choice(field.allowed)
    if field.kind == "date":
        return f"2025-1{rng.randint(0, 2)}-{rng.randint(1, 28):02d}"
    return rng.choice((field.example, field.example, "1", "2"))


def made_sheet(table: Table, rng: random.Random, name: str) -> SheetReading:
    """A sheet of a table with some of its columns, and perhaps totals."""
    fields = [field for field in table.fields.values() if field.required or rng.random() < 0.7]
    columns = tuple(Column(f.name, f.name, chr(65 + i), rng.choice(HEADING_UNITS)) for i, f in enumerate(fields))
    rows, totals = rng.randint(0, 12), rng.randint(0, 2)
    cells = pl.DataFrame(
        [
            pl.Series("source_row", range(2, 2 + rows + totals), dtype=pl.Int64),
            *[
                pl.Series(field.name, [made_cell(field, rng) for _ in range(rows + totals)], dtype=pl.String)
                for field in fields
            ],
        ]
    )
    aside = pl.DataFrame(
        {"source_row": [1, *cells["source_row"].tail(totals)], "why": ["headings", *["totals row"] * totals]}
    )
    return SheetReading("made.xlsx", name, table.name, 1, columns, (), cells.head(rows), aside, cells.tail(totals))


@pytest.mark.parametrize("seed", range(12))
def test_rows_add_up_whatever_the_cells_hold(seed: int) -> None:
    rng = random.Random(seed)
    chosen = [table for table in tables().values() if table.name == "jobs" or rng.random() < 0.6]
    reading = folder(*(made_sheet(table, rng, f"{table.name} {part}") for table in chosen for part in (1, 2)))
    named = [set(sheet.cells["branch"]) for sheet in reading.sheets if sheet.table == "jobs" and sheet.column("branch")]
    branch = rng.choice((None, "A")) if any("A" in names for names in named) else None
    checked = check_folder(reading, 2025, branch)
    counts = checked.intake.select("rows_read", pl.sum_horizontal("accepted", "rejected", "held", "set_aside"))
    assert [read for read, _ in counts.rows()] == [placed for _, placed in counts.rows()]
    assert checked.intake["accepted"].sum() == sum(frame.height for frame in checked.records.values())
    assert checked.intake.select(pl.sum_horizontal("rejected", "held").sum()).item() == sum(
        frame.height for frame in checked.refused.values()
    )
    assert checked.findings.select("message", "remedy", "rule").null_count().row(0) == (0, 0, 0)
    for name, frame in checked.records.items():
        needed = [field for field in tables()[name].required if field in frame.columns]
        assert frame.select(needed).null_count().sum_horizontal().sum() == 0, name
