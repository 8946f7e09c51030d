"""The readings of a folder once it is known which corrections count: each row accounted for, none twice."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import replace

import polars as pl

from pipeline.workbook.corrected import Corrected, frame_of
from pipeline.workbook.corrections import PutBackSheet
from pipeline.workbook.headings import column_letter
from pipeline.workbook.origins import EXPLAINS, Correction, Place
from pipeline.workbook.readings import LeftOut, SheetReading

_ASIDE = {"source_row": pl.Int64, "why": pl.String}
EXPLAINING = f"the sheet '{EXPLAINS}' explains a workbook of rejected rows"
NOTHING_CHANGED = "a sheet of rejected rows; no correction on it is in force"


def whole_sheet_aside(sheet: PutBackSheet) -> SheetReading:
    """A sheet that was put back, before it is known which of its rows count: all of it is set aside."""
    note = EXPLAINING if sheet.headings_at is None else NOTHING_CHANGED
    empty = pl.DataFrame(schema={"source_row": pl.Int64})
    aside = _aside(sheet, {}, range(1, sheet.height + 1))
    return SheetReading(sheet.file, sheet.sheet, None, 1, (), (), empty, aside, empty, note=note)


def _aside(sheet: PutBackSheet, why: dict[Place, str], rows: Sequence[int]) -> pl.DataFrame:
    def reason(row: int) -> str:
        if sheet.headings_at is None or row < sheet.headings_at:
            return "words that explain"
        return "headings" if row == sheet.headings_at else why.get(Place(sheet.file, sheet.sheet, row), "blank row")

    return pl.DataFrame([(row, reason(row)) for row in rows], schema=_ASIDE, orient="row")


def set_aside_origins(sheets: Sequence[SheetReading], corrections: Sequence[Correction]) -> list[SheetReading]:
    """The readings without the rows that corrections take the place of: those are set aside, each with where it is."""
    by_sheet: dict[tuple[str, str, int], list[Correction]] = defaultdict(list)
    for one in corrections:
        by_sheet[one.origin.file, one.origin.sheet, one.origin.part].append(one)
    out = []
    for sheet in sheets:
        own = by_sheet.get((sheet.file, sheet.sheet, sheet.part), [])
        if own:
            rows = [one.origin.row for one in own]
            moved = pl.DataFrame([(one.origin.row, f"corrected in {one.at}") for one in own], _ASIDE, orient="row")
            cells = sheet.cells.filter(~pl.col("source_row").is_in(rows))
            assert cells.height + len(own) == sheet.cells.height, f"{sheet.file} {sheet.sheet}: a row was lost"
            sheet = replace(sheet, cells=cells, set_aside=pl.concat([sheet.set_aside, moved]).sort("source_row"))
        out.append(sheet)
    return out


def put_back_readings(
    sheet: PutBackSheet, winners: dict[Place, Corrected], why: dict[Place, str]
) -> list[SheetReading]:
    """A sheet that was put back: one reading for each sheet of origin whose rows it corrects, or one that has none."""
    groups: dict[tuple[str, str, int], list[Corrected]] = defaultdict(list)
    taken = set()
    for row in sheet.rows:
        claim = winners.get(Place(sheet.file, sheet.sheet, row.row))
        if claim:
            groups[claim.origin.file, claim.origin.sheet, claim.origin.part].append(claim)
            taken.add(row.row)
    rest = _aside(sheet, why, [row for row in range(1, sheet.height + 1) if row not in taken])
    if not groups:
        return [replace(whole_sheet_aside(sheet), set_aside=rest)]
    readings = []
    for part, claims in enumerate(groups.values(), start=1):
        readings.append(_reading(sheet, part, claims, rest))
        rest = rest.clear()
    return readings


def _reading(sheet: PutBackSheet, part: int, claims: list[Corrected], aside: pl.DataFrame) -> SheetReading:
    origin, mapping = claims[0].reading, claims[0].mapping
    used = {place for _, place in mapping}
    cells = frame_of(claims, mapping)
    from_sheet = f"{origin.file}, sheet '{origin.sheet}'" if origin.sheet else origin.file
    return SheetReading(
        file=sheet.file,
        sheet=sheet.sheet,
        table=origin.table,
        part=part,
        columns=tuple(
            column if place is None else replace(column, letter=column_letter(place)) for column, place in mapping
        ),
        left_out=tuple(
            LeftOut(heading, column_letter(column), "not a heading of the sheet of origin")
            for column, heading in sheet.headings
            if column not in used
        ),
        cells=cells,
        set_aside=aside,
        totals=cells.clear(),
        note=f"corrections of {from_sheet}",
    )
