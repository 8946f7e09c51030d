"""Where the tables of a sheet lie: below each other, side by side, under headings of one row or of two."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

import polars as pl

from pipeline.workbook.cells import SheetCells, distinct
from pipeline.workbook.headings import unit_row
from pipeline.workbook.known import KnownHeadings
from pipeline.workbook.recognising import LEAST_FIELDS, Verdict, recognise

ROWS_SEARCHED = 60
"""Rows at the top of a sheet in which the first headings are looked for."""
LONGEST_HEADING = 80
"""Characters of a text that may be a heading."""

Row = tuple[str | None, ...]


@dataclass(frozen=True)
class Part:
    """Headings on a sheet; rows and columns count from 0.

    They stand in the rows from `at` to below `under`, over the columns from `left` to before `right`. `row` has the
    heading of each column of the sheet, None where another table's stand; `units` the row of units under them.
    `repeats` are the rows that print them again at the top of a page.
    """

    at: int
    under: int
    left: int
    right: int
    row: Row
    verdict: Verdict
    units: Row = ()
    repeats: tuple[int, ...] = ()

    @property
    def found(self) -> int:
        """Headings that were taken for fields; none where the table is not certain."""
        return 0 if self.verdict.problem else len(self.verdict.match.columns)


@dataclass(frozen=True)
class Region:
    """The rows and columns of a sheet that belong to one table, from `top` and `left` to before `bottom` and `right`.

    `is_beside` where another table to the left of it accounts for its blank rows above the headings.
    """

    part: Part
    top: int
    bottom: int
    left: int
    right: int
    is_beside: bool = False


def _known_words(cells: pl.DataFrame, words: Sequence[pl.Series], known: KnownHeadings) -> pl.Series:
    """How many words known as headings each row holds; `words` has each column's distinct texts."""
    hits = pl.zeros(cells.height, dtype=pl.Int16, eager=True)
    for column, texts in zip(cells, words, strict=True):
        # Most are numbers and codes; what stands in brackets is no part of a heading's words.
        likely = texts.filter(~texts.str.contains(known.foreign_digits) | texts.str.contains(r"[\[({]"))
        likely = likely.filter((likely.str.len_chars() <= LONGEST_HEADING) & ~likely.str.contains(r"^[\d$(.-]"))
        if found := [word for word in likely if known.is_known(word)]:
            hits += column.is_in(found).fill_null(False).cast(pl.Int16)
    return hits


def likely_rows(cells: pl.DataFrame, known: KnownHeadings) -> list[int]:
    """Rows that hold at least two words known as headings: the few that are worth a closer look."""
    return (_known_words(cells, distinct(cells), known) >= LEAST_FIELDS).arg_true().to_list()


def _likely_pairs(cells: pl.DataFrame, hits: pl.Series) -> set[int]:
    """Rows that may be the upper of two rows of headings: near the top or under a blank row, with a known word."""
    blank = cells.select(pl.all_horizontal(pl.all().is_null())).to_series()
    begins = blank.shift(1, fill_value=True) | (pl.int_range(cells.height, eager=True) < ROWS_SEARCHED)
    below = hits.shift(-1, fill_value=0)
    return set((begins & ~blank & ~blank.shift(-1, fill_value=True) & (hits + below > 0)).arg_true().to_list())


def _runs(row: Row) -> list[tuple[int, int]]:
    """Runs of filled cells as (from, to) columns."""
    starts = [i for i, cell in enumerate(row) if cell and (i == 0 or not row[i - 1])]
    ends = [i + 1 for i, cell in enumerate(row) if cell and (i + 1 == len(row) or not row[i + 1])]
    return list(zip(starts, ends, strict=True))


def within(row: Row, left: int, right: int) -> Row:
    """The cells of some columns, None in place of the others."""
    return tuple(cell if left <= column < right else None for column, cell in enumerate(row))


def _part(at: int, under: int, row: Row, known: KnownHeadings, edges: tuple[int, int]) -> Part | None:
    row = within(row, *edges)
    verdict = recognise(row, known)
    return Part(at, under, *edges, row, verdict) if verdict else None


def _parts_of(at: int, under: int, row: Row, known: KnownHeadings) -> list[Part]:
    """The tables whose headings a row holds: one over all of it, or several side by side, each whole in itself."""
    runs = _runs(row)
    if not runs:
        return []
    whole_row = _part(at, under, row, known, (runs[0][0], runs[-1][1]))
    if len(runs) == 1:
        return [whole_row] if whole_row else []
    apart = [part for run in runs if (part := _part(at, under, row, known, run))]
    sure = [part for part in apart if part.found]
    most = max((len(part.verdict.match.columns) for part in apart), default=0)
    if len(sure) < 2 and whole_row and len(whole_row.verdict.match.columns) > most:
        return [whole_row]
    if len(sure) > 1 and whole_row and whole_row.found >= sum(part.found for part in sure):
        # A blank column within a table, not between two: one table explains every heading.
        return [whole_row]
    return sure or apart[:1] or ([whole_row] if whole_row else [])


def _joined(upper: Row, lower: Row, known: KnownHeadings) -> Row:
    """Two rows of headings as one: the upper's cell stands over all columns up to its next one.

    `Dates` over `Installed` and `Taken down` are `Dates Installed`, or `Installed` alone where only that is known.
    """
    out: list[str | None] = []
    band: str | None = None
    for above, below in zip(upper, lower, strict=True):
        band = above or (band if below else None)
        if not below or below == band:
            out.append(above or below)
            continue
        both = f"{band} {below}" if band else below
        out.append(both if known.is_known(both) or not known.is_known(below) else below)
    return tuple(out)


def _goes_on(upper: Row, lower: Row, known: KnownHeadings) -> bool:
    """Whether all that stands under a row of headings makes known headings of it: no record does."""
    both = [(above, below) for above, below in zip(upper, lower, strict=True) if below]
    return len(both) > 1 and all(
        known.is_known(f"{above} {below}" if above else below) or unit_row([below]) for above, below in both
    )


def _split_up(part: Part, cells: pl.DataFrame) -> Part:
    """The part with a problem where words under one of its headings divide it into columns that are no fields.

    Hours with a column for each task would otherwise be those of the first task.
    """
    lower = cells.row(part.under) if part.under < cells.height else ()
    filled = [column for column, text in enumerate(lower) if text and column >= part.left]
    if len(filled) < 2 or any(any(sign.isdigit() for sign in lower[column] or "") for column in filled):
        return part
    for first, second in pairwise(filled):
        if second == first + 1 and part.row[first] and not part.row[second]:
            under = ", ".join(f"'{lower[column]}'" for column in filled)
            problem = (
                f"it looks like {part.verdict.match.table.name}, but under its heading '{part.row[first]}' stand "
                f"{under}, which are not headings that we know there; write a row for each, with the word in a "
                "column of its own."
            )
            return replace(part, under=part.under + 1, verdict=replace(part.verdict, problem=problem))
    return part


def _overlap(part: Part, other: Part) -> bool:
    return part.left < other.right and other.left < part.right


def _parts_at(at: int, cells: pl.DataFrame, known: KnownHeadings, pairs: set[int]) -> list[Part]:
    """The tables whose headings begin in a row, in it alone or in it and the next."""
    upper = cells.row(at)
    alone = _parts_of(at, at + 1, upper, known)
    if at not in pairs:
        return alone
    lower = cells.row(at + 1)
    below = _parts_of(at + 1, at + 2, lower, known)
    goes_on = _goes_on(upper, lower, known)
    joined = [
        part
        for part in _parts_of(at, at + 2, _joined(upper, lower, known), known)
        if all(part.found > other.found for other in below if _overlap(part, other))
        and all(part.found + goes_on > other.found for other in alone if _overlap(part, other))
    ]
    return [part for part in alone if not any(_overlap(part, other) for other in joined)] + joined


def _with_units(part: Part, cells: pl.DataFrame) -> Part:
    """The part with the row of units that some write under the headings."""
    below = cells.row(part.under) if part.under < cells.height else ()
    units = within(below, part.left, part.right)
    texts = [text for text in units if text]
    return replace(part, units=units, under=part.under + 1) if texts and unit_row(texts) else part


def _same_headings(part: Part, other: Part) -> bool:
    """Whether headings are those of the part above, printed again at the top of a page."""
    return part.verdict.match.columns == other.verdict.match.columns and part.row == other.row


def find_parts(sheet: SheetCells, known: KnownHeadings) -> list[Part]:
    """The headings of a sheet's tables, down the sheet and from left to right."""
    cells = sheet.cells
    hits = _known_words(cells, sheet.words, known)
    pairs = _likely_pairs(cells, hits)
    parts: list[Part] = []
    for at in sorted({*(hits >= LEAST_FIELDS).arg_true().to_list(), *pairs}):
        if not parts and at >= ROWS_SEARCHED:
            break
        for part in sorted(_parts_at(at, cells, known, pairs), key=lambda part: part.left):
            over = max((i for i, other in enumerate(parts) if _overlap(part, other)), default=None)
            above = None if over is None else parts[over]
            if over is not None and above is not None:
                if at < above.under:
                    # The lower of two rows that were read together, or the units.
                    continue
                if _same_headings(part, above):
                    repeated = range(at, at + part.under - part.at)
                    parts[over] = replace(above, repeats=(*above.repeats, *repeated))
                    continue
                if above.verdict.problem and at == above.under:
                    # Headings in two rows: the upper one alone was not enough.
                    parts.pop(over)
            parts.append(_split_up(_with_units(part, cells), cells))
    return parts


def _beside(parts: list[Part]) -> list[list[Part]]:
    """Parts in groups that share no column, from left to right."""
    groups: list[list[Part]] = []
    reach = -1
    for part in sorted(parts, key=lambda part: part.left):
        if part.left >= reach:
            groups.append([])
        groups[-1].append(part)
        reach = max(reach, part.right)
    return groups


def _topmost(parts: list[Part]) -> list[Part]:
    """The parts that stand under no other."""
    return [part for part in parts if not any(other.at < part.at and _overlap(part, other) for other in parts)]


def _is_title(row: Row, parts: list[Part]) -> bool:
    """Whether a row above headings holds a title for some of their tables: words alone, one text a table."""
    texts = [text for text in row if text]
    words = all(" " in text or not any(sign.isdigit() for sign in text) for text in texts)
    held = [sum(text is not None for text in row[part.left : part.right]) for part in parts]
    return words and max(held) == 1 and sum(held) == len(texts)


def _cut(parts: list[Part], cells: pl.DataFrame, left: int, right: int) -> int:
    """The row at which those of the tables begin that stand under others, with the titles above them.

    A blank row across divides the upper tables from the lower ones, which may then begin on different rows; where there
    is none, the first headings under another table do.
    """
    upper = _topmost(parts)
    below = min((part for part in parts if part not in upper), key=lambda part: part.at)
    at, over = below.at, max(part.under for part in parts if part.at < below.at and _overlap(part, below))
    rows = [within(row, left, right) for row in cells.slice(over, at - over).rows()]
    blank = [not any(row) for row in rows]
    if not any(blank):
        return at
    cut = max(place for place, is_blank in enumerate(blank) if is_blank) + 1
    lower = _topmost([part for part in parts if part.at >= over + cut])
    title = cut
    while title and blank[title - 1]:
        title -= 1
    first = title
    while first and _is_title(rows[first - 1], lower):
        first -= 1
    return over + (first if first < title and first and blank[first - 1] else cut)


def lay_out(parts: list[Part], cells: pl.DataFrame, top: int, bottom: int, left: int, right: int) -> list[Region]:
    """Cut a sheet into a region for each table, first between tables side by side, else above the lower ones."""
    if len(parts) == 1:
        return [Region(parts[0], top, bottom, left, right)]
    groups = _beside(parts)
    if len(groups) > 1:
        edges = [left, *(min(part.left for part in group) for group in groups[1:]), right]
        regions = []
        for number, group in enumerate(groups):
            laid = lay_out(group, cells, top, bottom, edges[number], edges[number + 1])
            regions += [replace(r, is_beside=r.is_beside or (number > 0 and r.top == top)) for r in laid]
        return sorted(regions, key=lambda region: (region.part.at, region.left))
    cut = _cut(parts, cells, left, right)
    return [
        *lay_out([part for part in parts if part.at < cut], cells, top, cut, left, right),
        *lay_out([part for part in parts if part.at >= cut], cells, cut, bottom, left, right),
    ]
