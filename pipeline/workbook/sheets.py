"""From a sheet's rows to readings: which rows are headings, records, totals, notes and blanks."""

from __future__ import annotations

import re
from dataclasses import dataclass, field
from functools import cache

import polars as pl

from pipeline.vocabulary import tables
from pipeline.workbook.headings import Match, _names, columns_of, normalise_heading, recognise
from pipeline.workbook.opening import Row, SheetCells
from pipeline.workbook.readings import Column, LeftOut, SheetReading

ROWS_SEARCHED = 60
"""Rows at the top of a sheet in which the first headings are looked for."""
LONGEST_BARE_WORD = 20
"""A lone cell longer than this, or with a space in it, is a note and not the start of a record."""

_TOTALS = re.compile(r"^(grand |sub)?[ -]?(totals?|sum)\b|\btotals?:?$", re.IGNORECASE)


@cache
def _all_headings() -> frozenset[str]:
    return frozenset(name for table in tables() for name in _names(table))


@dataclass
class _Part:
    """A table on the sheet while its rows are being sorted."""

    match: Match
    columns: tuple[Column, ...]
    left_out: tuple[LeftOut, ...]
    header: Row
    problem: str | None = None
    kept: list[tuple[int, Row]] = field(default_factory=list)
    totals: list[tuple[int, Row]] = field(default_factory=list)
    aside: list[tuple[int, str]] = field(default_factory=list)


def _may_be_headings(row: Row) -> bool:
    filled = [cell for cell in row if cell]
    return len(filled) >= 2 and sum(normalise_heading(cell) in _all_headings() for cell in filled[:3]) >= 2


def _ambiguous(match: Match, other: Match | None) -> str | None:
    if other is None or other.score < match.score:
        return None
    return (
        f"its headings fit {match.table.name} and {other.table.name} alike; give one heading its own name, such as "
        f"'{_telling(match, other)}' for {match.table.name} or '{_telling(other, match)}' for {other.table.name}"
    )


def _telling(match: Match, other: Match) -> str:
    names = [field.heading for name, field in match.table.fields.items() if name not in other.table.fields]
    return names[0] if names else next(iter(match.table.fields.values())).heading


def _classify(part: _Part, number: int, row: Row) -> None:
    filled = [cell for cell in row if cell]
    if not filled:
        part.aside.append((number, "blank row"))
        return
    places = dict(part.match.columns)
    fields = {name: row[index] for index, name in places.items() if index < len(row) and row[index]}
    if not fields:
        part.aside.append((number, "note"))
        return
    lacks = any(name not in fields for name in part.match.table.required)
    if lacks and any(_TOTALS.search(cell) for cell in filled):
        part.totals.append((number, row))
        part.aside.append((number, "totals row"))
    elif len(filled) == 1 and (" " in filled[0] or len(filled[0]) > LONGEST_BARE_WORD):
        part.aside.append((number, "note"))
    else:
        part.kept.append((number, row))


def _start(row: Row) -> _Part | None:
    if not _may_be_headings(row):
        return None
    match, other = recognise(row)
    if match is None:
        return None
    columns, left_out = columns_of(row, match)
    return _Part(match, columns, left_out, row, problem=_ambiguous(match, other))


def _frame(part: _Part, rows: list[tuple[int, Row]]) -> pl.DataFrame:
    data: dict[str, list[int] | Row] = {"source_row": [number for number, _ in rows]}
    schema: dict[str, type[pl.DataType]] = {"source_row": pl.Int64}
    for index, name in part.match.columns:
        data[name] = [row[index] if index < len(row) else None for _, row in rows]
        schema[name] = pl.String
    return pl.DataFrame(data, schema=schema)


def _aside_frame(rows: list[tuple[int, str]]) -> pl.DataFrame:
    return pl.DataFrame(rows, schema={"source_row": pl.Int64, "why": pl.String}, orient="row")


def _reading(file: str, sheet: str, number: int, part: _Part) -> SheetReading:
    aside, cells = part.aside, _frame(part, part.kept)
    if part.problem:
        aside = [*aside, *((row, "the sheet's table is not certain") for row, _ in part.kept)]
        cells = cells.clear()
    return SheetReading(
        file=file,
        sheet=sheet,
        table=None if part.problem else part.match.table.name,
        part=number,
        columns=part.columns,
        left_out=part.left_out,
        cells=cells,
        set_aside=_aside_frame(sorted(aside)),
        totals=_frame(part, part.totals),
        note="taken for " + part.match.table.name + " by " + ", ".join(f"'{c.heading}'" for c in part.columns),
        problem=part.problem,
    )


def _nothing_of_ours(file: str, cells: SheetCells) -> SheetReading:
    near = None
    for row in cells.rows[:ROWS_SEARCHED]:
        match, miss = recognise(row)
        if match is None and miss is not None and (near is None or miss.score > near.score):
            near = miss
    problem = None
    if near is not None:
        lacking = near.table.fields[near.missing[0]]
        problem = (
            f"it looks like {near.table.name} but has no column for {lacking.text}; "
            f"name that column '{lacking.heading}'"
        )
    empty = pl.DataFrame(schema={"source_row": pl.Int64})
    rows = [(number, "not a table of ours") for number in range(1, len(cells.rows) + 1)]
    note = problem or "no row holds the headings of a table that we know"
    return SheetReading(
        file, cells.name, None, 1, (), (), empty, _aside_frame(rows), empty, note=note, problem=problem
    )  # fmt: skip


def read_sheet(file: str, cells: SheetCells) -> list[SheetReading]:
    """The tables of a sheet, in order down the sheet; each row is accounted for in exactly one of them."""
    parts: list[_Part] = []
    before: list[tuple[int, str]] = []
    for number, row in enumerate(cells.rows, start=1):
        if not parts and number > ROWS_SEARCHED:
            break
        started = _start(row)
        if started is not None:
            started.aside = [*before, (number, "headings")]
            before = []
            parts.append(started)
        elif parts:
            _classify(parts[-1], number, row)
        else:
            before.append((number, "title" if any(row) else "blank row"))
    if not parts:
        return [_nothing_of_ours(file, cells)]
    return [_reading(file, cells.name, number, part) for number, part in enumerate(parts, start=1)]
