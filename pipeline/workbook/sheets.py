"""From a sheet's cells to readings: where its tables lie, and each row accounted for."""

from __future__ import annotations

from dataclasses import dataclass, replace

import polars as pl

from pipeline.vocabulary import tables
from pipeline.workbook.examples import split_examples
from pipeline.workbook.headings import unit_row
from pipeline.workbook.opening import SheetCells
from pipeline.workbook.readings import Column, SheetReading
from pipeline.workbook.recognising import LEAST_FIELDS, Match, Verdict, closest, columns_of, is_known, recognise
from pipeline.workbook.rows import SOURCE_ROW, sort_rows

ROWS_SEARCHED = 60
"""Rows at the top of a sheet in which the first headings are looked for."""
LONGEST_HEADING = 80
"""Characters of a text that may be a heading."""

NOT_CERTAIN = "the sheet's table is not certain"

_ASIDE = {SOURCE_ROW: pl.Int64, "why": pl.String}
Row = tuple[str | None, ...]


@dataclass(frozen=True)
class _Part:
    """Headings on a sheet: their row counted from 0, the columns that they stand over, and what they are."""

    at: int
    left: int
    right: int
    row: Row
    verdict: Verdict
    units: Row = ()


def _rows_of_headings(cells: pl.DataFrame) -> list[int]:
    """Rows that hold at least two words known as headings: the few that are worth a closer look."""
    hits = pl.Series("hits", [0] * cells.height, dtype=pl.Int64)
    for column in cells.get_columns():
        short = column.str.len_chars() <= LONGEST_HEADING
        words = column.filter(short & ~column.str.contains(r"^[\d$(.-]")).unique()
        known = [word for word in words.to_list() if is_known(word)]
        if known:
            hits += column.is_in(known).fill_null(False).cast(pl.Int64)
    return (hits >= LEAST_FIELDS).arg_true().to_list()


def _side_by_side(row: Row) -> list[tuple[int, int]]:
    """Runs of filled cells as (from, to) columns; the blank columns behind a run belong to it."""
    starts = [i for i, cell in enumerate(row) if cell and (i == 0 or not row[i - 1])]
    return list(zip(starts, [*starts[1:], len(row)], strict=True))


def _within(row: Row, left: int, right: int) -> Row:
    return tuple(cell if left <= column < right else None for column, cell in enumerate(row))


def _parts_of_row(at: int, row: Row) -> list[_Part]:
    """The table whose headings a row holds; several where they stand side by side, each whole in itself."""
    runs = _side_by_side(row)
    if len(runs) > 1:
        found = [(left, right, recognise(_within(row, left, right))) for left, right in runs]
        whole = [(left, right, verdict) for left, right, verdict in found if verdict and verdict.problem is None]
        if len(whole) > 1:
            edges = [0, *(left for left, _, _ in whole[1:]), len(row)]
            return [
                _Part(at, edges[i], edges[i + 1], _within(row, edges[i], edges[i + 1]), verdict)
                for i, (_, _, verdict) in enumerate(whole)
            ]
    verdict = recognise(row)
    return [_Part(at, 0, len(row), row, verdict)] if verdict else []


def _with_units(part: _Part, cells: pl.DataFrame) -> _Part:
    """The part with the row of units that some write under the headings."""
    below = cells.row(part.at + 1) if part.at + 1 < cells.height else ()
    units = _within(below, part.left, part.right)
    texts = [text for text in units if text]
    return replace(part, units=units) if texts and unit_row(texts) else part


def _same_headings(part: _Part, other: _Part) -> bool:
    """Whether headings are those of the part above, printed again at the top of a page."""
    return part.verdict.match.columns == other.verdict.match.columns and part.row == other.row


def _find_parts(cells: pl.DataFrame) -> tuple[list[list[_Part]], list[int]]:
    """The rows of headings from top to bottom, each with its parts; and the rows that repeat the headings above."""
    bands: list[list[_Part]] = []
    repeats: list[int] = []
    for at in _rows_of_headings(cells):
        if not bands and at >= ROWS_SEARCHED:
            break
        parts = _parts_of_row(at, cells.row(at))
        if not parts:
            continue
        if bands and len(parts) == len(bands[-1]) and all(map(_same_headings, parts, bands[-1])):
            repeats.append(at)
            continue
        above = bands[-1] if bands else []
        if above and above[0].verdict.problem and at - above[0].at == 1:
            # Headings in two rows: the upper one alone was not enough.
            bands.pop()
        bands.append([_with_units(part, cells) for part in parts])
    return bands, repeats


def _how(columns: tuple[Column, ...], match: Match) -> str:
    return f"taken for {match.table.name} by " + ", ".join(f"'{column.heading}'" for column in columns)


def _aside(rows: list[tuple[int, str]]) -> pl.DataFrame:
    return pl.DataFrame(rows, schema=_ASIDE, orient="row")


def _reading(file: str, sheet: str, number: int, part: _Part, own: pl.DataFrame, above: pl.DataFrame) -> SheetReading:
    """A part's reading from the rows under its headings, and the rows above them that are set aside."""
    match, problem = part.verdict.match, part.verdict.problem
    filled = [int(column.name) for column in own.drop(SOURCE_ROW).get_columns() if column.null_count() < len(column)]
    columns, left_out = columns_of(part.row, match, part.units, filled)
    own, examples = split_examples(own, match.table, match.columns)
    rows = sort_rows(own, match.table, match.columns)
    aside, cells = pl.concat([above, examples, rows.set_aside]), rows.cells
    if problem:
        uncertain = cells.select(SOURCE_ROW, why=pl.lit(NOT_CERTAIN))
        aside, cells = pl.concat([aside, uncertain]), cells.clear()
        # A near miss under which no rows stand is a line of words, not a table that someone meant.
        problem = problem if uncertain.height else None
    return SheetReading(
        file=file,
        sheet=sheet,
        table=None if part.verdict.problem else match.table.name,
        part=number,
        columns=columns,
        left_out=left_out,
        cells=cells,
        set_aside=aside.sort(SOURCE_ROW),
        totals=rows.totals,
        note=part.verdict.problem or _how(columns, match),
        problem=problem,
    )


def _no_table(file: str, cells: SheetCells) -> SheetReading:
    empty = pl.DataFrame(schema={SOURCE_ROW: pl.Int64})
    rows = [(number, "not a table of ours") for number in range(1, cells.cells.height + 1)]
    note = "an empty sheet"
    if rows:
        near = (closest(cells.cells.row(at)) for at in _rows_of_headings(cells.cells.head(ROWS_SEARCHED)))
        known = f"no row holds the headings of a table that we know ({', '.join(tables())})"
        note = next((text for text in near if text), known)
    return SheetReading(file, cells.name, None, 1, (), (), empty, _aside(rows), empty, note=note)


def read_sheet(file: str, sheet: SheetCells) -> list[SheetReading]:
    """The tables of a sheet, down the sheet and from left to right.

    Each row is accounted for once; beside a table, once more for each table that stands beside it.
    """
    bands, repeats = _find_parts(sheet.cells)
    if not bands:
        return [_no_table(file, sheet)]
    numbered = sheet.cells.with_columns(pl.int_range(1, pl.len() + 1, dtype=pl.Int64).alias(SOURCE_ROW))
    blank = pl.all_horizontal(pl.exclude(SOURCE_ROW).is_null())
    top = numbered.head(bands[0][0].at)
    above = top.select(SOURCE_ROW, why=pl.when(blank).then(pl.lit("blank row")).otherwise(pl.lit("title")))
    readings: list[SheetReading] = []
    ends = [*(parts[0].at for parts in bands[1:]), sheet.cells.height]
    for parts, end in zip(bands, ends, strict=True):
        start = parts[0].at
        headings = [start + 1, *(row + 1 for row in repeats if start < row < end)]
        if any(part.units for part in parts):
            headings.append(start + 2)
        body = numbered.slice(start, end - start).filter(~pl.col(SOURCE_ROW).is_in(headings))
        above = pl.concat([above, _aside([(row, "headings") for row in headings])])
        for part in parts:
            own = body.select(SOURCE_ROW, *(str(column) for column in range(part.left, part.right)))
            readings.append(_reading(file, sheet.name, len(readings) + 1, part, own, above))
            above = above.filter(pl.col("why") == "headings")
        above = above.clear()
    return readings
