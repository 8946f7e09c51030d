"""Sheets written as small text tables, checked as a folder: tables in, a question, the expected table out.

    checked = check(
        hours=\"\"\"
            | job_no | hours [min] |
            | 1      | 390         |
        \"\"\",
    )
    assert_places(checked, "hours", \"\"\"
            | source_row | place    |
            | 2          | accepted |
    \"\"\")

The headings stand in row 1, so that the first row of cells is row 2. A unit in brackets is the heading's own.
Columns that every row must have and that a test does not care about hold the vocabulary's example; without a table
of jobs there are jobs 1 and 2. A table given as a list of texts stands on as many sheets; `totals` takes the totals
rows of a table, which stand below its rows.
"""

from __future__ import annotations

from collections.abc import Sequence
from decimal import Decimal

import polars as pl
from support.tables import assert_table, headings, text_table

from pipeline.validation import Checked, check_folder
from pipeline.vocabulary import tables
from pipeline.workbook import Column, FileRead, FolderReading, SheetReading

SEASON = 2025
JOBS = """
    | job_no | feet |
    | 1      | 100  |
    | 2      | 100  |
"""
_NO_ROWS = {"source_row": pl.Int64, "why": pl.String}


def _column(place: int, heading: str) -> Column:
    field, _, unit = heading.partition(" [")
    return Column(field, heading, chr(ord("A") + place), unit.rstrip("]") or None)


def _text_frame(columns: Sequence[Column], rows: list[dict[str, str]], first_row: int) -> pl.DataFrame:
    cells = {c.field: pl.Series([row[c.heading] or None for row in rows], dtype=pl.String) for c in columns}
    places = pl.Series("source_row", range(first_row, first_row + len(rows)), dtype=pl.Int64)
    return pl.DataFrame([places, *(cell.alias(name) for name, cell in cells.items())])


def sheet(table: str, text: str, *, file: str = "made.xlsx", name: str | None = None, totals: str = "") -> SheetReading:
    """A text table as one sheet; needed columns that it does not have are filled with the vocabulary's example."""
    columns = [_column(place, heading) for place, heading in enumerate(headings(text))]
    described = tables()[table]
    unknown = {column.field for column in columns} - set(described.fields)
    assert not unknown, f"{table} has no fields {unknown}"
    rows = text_table(text)
    cells = _text_frame(columns, rows, 2)
    missing = [field for field in described.required if field not in cells.columns]
    filled = cells.with_columns(pl.lit(described.fields[field].example).alias(field) for field in missing)
    columns += [_column(len(columns) + place, field) for place, field in enumerate(missing)]
    every = dict.fromkeys((column.heading for column in columns), "")
    below = [every | row for row in (text_table(totals) if totals else [])]
    aside = [(1, "headings"), *((2 + len(rows) + place, "totals row") for place in range(len(below)))]
    return SheetReading(
        file=file,
        sheet=table if name is None else name,
        table=table,
        part=1,
        columns=tuple(columns),
        left_out=(),
        cells=filled,
        set_aside=pl.DataFrame(aside, schema=_NO_ROWS, orient="row"),
        totals=_text_frame(columns, below, 2 + len(rows)),
    )


def folder(*sheets: SheetReading) -> FolderReading:
    """Sheets as a folder."""
    files = {one.file: sum(other.rows_read for other in sheets if other.file == one.file) for one in sheets}
    return FolderReading("made", tuple(FileRead(name, "0" * 64, rows) for name, rows in files.items()), sheets)


def check(
    *, season: int | None = SEASON, branch: str | None = None, totals: dict[str, str] | None = None,
    **given: str | list[str],
) -> Checked:  # fmt: skip
    """Check a folder of text tables."""
    written = {"jobs": JOBS} | given
    sheets = []
    for table, texts in written.items():
        parts = [texts] if isinstance(texts, str) else texts
        for place, text in enumerate(parts, start=1):
            name = table if len(parts) == 1 else f"{table} {place}"
            sheets.append(sheet(table, text, name=name, totals=(totals or {}).get(table, "")))
    return check_folder(folder(*sheets), season, branch)


def places(checked: Checked, table: str) -> pl.DataFrame:
    """Every row of a table with the place it ended in, its fields and why."""
    accepted = checked.records[table].with_columns(place=pl.lit("accepted"), why=pl.lit(None, dtype=pl.String))
    return pl.concat([accepted, checked.refused[table]]).sort("source_sheet", "source_row")


def assert_places(checked: Checked, table: str, expected: str) -> None:
    """Each row of a table ended in the place expected; only the columns named are compared."""
    assert_table(places(checked, table), expected)


def assert_findings(checked: Checked, expected: str, *, severity: str | None = None) -> None:
    """The findings are the expected ones and no others; only the columns named are compared."""
    found = checked.findings
    assert_table(found if severity is None else found.filter(pl.col("severity") == severity), expected)


def messages(checked: Checked, severity: str | None = None) -> list[str]:
    """What the findings say, in their order."""
    found = checked.findings
    return (found if severity is None else found.filter(pl.col("severity") == severity))["message"].to_list()


def assert_read(table: str, heading: str, expected: str) -> None:
    """Each written form of a field is read as the value beside it; `-` marks one that is rejected."""
    rows = text_table(expected)
    field = heading.partition(" [")[0]
    key = [name for name in tables()[table].key if name not in ("branch", field)]
    numbered = ["worker_no"] if table == "hours" else key[-1:]
    others = {"feet": "100"} if table == "jobs" else {}
    head = " | ".join([heading, *numbered, *others])
    body = "\n".join(
        f"| {' | '.join([row['written'], *[str(place) for _ in numbered], *others.values()])} |"
        for place, row in enumerate(rows, 1)
    )
    given = {table: f"| {head} |\n{body}"}
    if table != "jobs":
        given["jobs"] = "| job_no | feet |\n| 1042 | 100 |"
    read = places(check(**given), table)
    found = ["-" if place == "rejected" else _shown(value) for value, place in read.select(field, "place").iter_rows()]
    assert found == [row["value"] for row in rows]


def _shown(value: object) -> str:
    if isinstance(value, Decimal):
        return format(value.normalize(), "f")
    if isinstance(value, bool):
        return "yes" if value else "no"
    return "" if value is None else str(value)
