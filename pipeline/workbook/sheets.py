"""From a sheet's cells to readings: each table that lies on it, and each of its rows accounted for."""

from __future__ import annotations

from dataclasses import replace

import polars as pl

from pipeline.vocabulary import tables
from pipeline.workbook.examples import split_examples
from pipeline.workbook.known import KnownHeadings, known_headings
from pipeline.workbook.layout import ROWS_SEARCHED, Region, find_parts, lay_out, likely_rows, within
from pipeline.workbook.opening import SheetCells
from pipeline.workbook.readings import KnownWords, SheetReading
from pipeline.workbook.recognising import closest, columns_of, explain
from pipeline.workbook.rows import SOURCE_ROW, sort_rows

NOT_CERTAIN = "the sheet's table is not certain"

_ASIDE = {SOURCE_ROW: pl.Int64, "why": pl.String}


def _aside(rows: list[tuple[int, str]]) -> pl.DataFrame:
    return pl.DataFrame(rows, schema=_ASIDE, orient="row")


def _above(region: Region, own: pl.DataFrame) -> pl.DataFrame:
    """The rows above the headings: titles and blank ones; beside another table the titles alone."""
    rows = own.filter(pl.col(SOURCE_ROW) <= region.part.at)
    blank = pl.all_horizontal(pl.exclude(SOURCE_ROW).is_null())
    named = rows.select(SOURCE_ROW, why=pl.when(blank).then(pl.lit("blank row")).otherwise(pl.lit("title")))
    return named.filter(pl.col("why") == "title") if region.is_beside else named


def _reading(
    file: str, sheet: SheetCells, number: int, region: Region, own: pl.DataFrame, known: KnownHeadings
) -> SheetReading:
    """A region's reading; `own` has its rows and columns."""
    part, verdict = region.part, region.part.verdict
    match, problem = verdict.match, verdict.problem
    headings = [*range(part.at, part.under), *part.repeats]
    above = _above(region, own)
    body = own.slice(part.under - region.top)
    if part.repeats:
        body = body.filter(~pl.col(SOURCE_ROW).is_in([row + 1 for row in part.repeats]))
    words = {str(place): texts for place, texts in enumerate(sheet.words)}
    filled = [int(name) for name in body.columns if name != SOURCE_ROW and body[name].null_count() < body.height]
    columns, left_out = columns_of(part.row, match, known, part.units, filled)
    body, examples = split_examples(body, match.table, match.columns, words)
    rows = sort_rows(body, match.table, match.columns, words)
    aside = pl.concat([above, _aside([(row + 1, "headings") for row in headings]), examples, rows.set_aside])
    cells = rows.cells
    if problem:
        uncertain = cells.select(SOURCE_ROW, why=pl.lit(NOT_CERTAIN))
        aside, cells = pl.concat([aside, uncertain]), cells.clear()
        # A near miss under which no rows stand is a line of words, not a table that someone meant.
        problem = problem if uncertain.height else None
    return SheetReading(
        file=file,
        sheet=sheet.name,
        table=None if verdict.problem else match.table.name,
        part=number,
        columns=columns,
        left_out=left_out,
        cells=cells,
        set_aside=aside.sort(SOURCE_ROW),
        totals=rows.totals,
        note=verdict.problem or explain(verdict, part.row),
        problem=problem,
        known_words=KnownWords(cells, {name: words[str(place)] for place, name in match.columns}),
    )


def set_aside_whole(file: str, sheet: SheetCells, why: str, note: str) -> SheetReading:
    """The reading of a sheet without any record."""
    empty = pl.DataFrame(schema={SOURCE_ROW: pl.Int64})
    rows = pl.select(pl.int_range(1, sheet.cells.height + 1).alias(SOURCE_ROW), why=pl.lit(why))
    return SheetReading(file, sheet.name, None, 1, (), (), empty, rows, empty, note=note)


def _no_table(file: str, sheet: SheetCells, known: KnownHeadings) -> SheetReading:
    note = "an empty sheet"
    if sheet.cells.height:
        top = sheet.cells.head(ROWS_SEARCHED)
        near = (closest(top.row(at), known) for at in likely_rows(top, known))
        unknown = f"no row holds the headings of a table that we know ({', '.join(tables())})"
        note = next((text for text in near if text), unknown)
    return set_aside_whole(file, sheet, "not a table of ours", note)


def _whole_row(region: Region, cells: pl.DataFrame) -> Region:
    """The region with all that stands beside its headings, as headings that nobody knows."""
    part = region.part
    beside = [cells.row(at) for at in range(part.at, part.under - bool(part.units))]
    row = tuple(
        part.row[i] or next((r[i] for r in reversed(beside) if r[i]), None) if region.left <= i < region.right else None
        for i in range(cells.width)
    )
    units = within(cells.row(part.under - 1), region.left, region.right) if part.units else ()
    return replace(region, part=replace(part, row=row, units=units))


def read_sheet(file: str, sheet: SheetCells, known: KnownHeadings | None = None) -> list[SheetReading]:
    """The tables of a sheet, down the sheet and from left to right.

    Each row is accounted for once; beside a table, once more for each table that stands beside it.
    """
    known = known or known_headings()
    cells = sheet.cells
    parts = find_parts(sheet, known)
    if not parts:
        return [_no_table(file, sheet, known)]
    numbered = cells.with_columns(pl.int_range(1, pl.len() + 1, dtype=pl.Int64).alias(SOURCE_ROW))
    readings = []
    for number, region in enumerate(lay_out(parts, cells, 0, cells.height, 0, cells.width), start=1):
        columns = [str(column) for column in range(region.left, region.right)]
        own = numbered.slice(region.top, region.bottom - region.top).select(SOURCE_ROW, *columns)
        readings.append(_reading(file, sheet, number, _whole_row(region, cells), own, known))
    return readings
