"""Sheets of rejected rows that people put back: told by their own headings, each row with the origin that it names."""

from __future__ import annotations

from dataclasses import dataclass

from pipeline.workbook.opening import SheetCells
from pipeline.workbook.origins import EXPLAINS, ORIGIN_HEADINGS, OWN_HEADINGS

ROWS_SEARCHED = 60
"""Rows at the top of a sheet in which the headings are looked for."""
LEAST_OWN_HEADINGS = 2
"""So many of the own headings mark a sheet: where the grey columns were deleted, the others still say what it is."""
_OWN = {heading.casefold(): heading for heading in OWN_HEADINGS}
_ORIGIN = frozenset(ORIGIN_HEADINGS)


@dataclass(frozen=True)
class PutBack:
    """A row of such a sheet: its number, the cells under ORIGIN_HEADINGS, and the others with their headings."""

    row: int
    claimed: tuple[str | None, ...]
    cells: tuple[tuple[str, str | None], ...]

    @property
    def is_emptied(self) -> bool:
        """Whether nothing is left but the origin."""
        return all(text is None for _, text in self.cells)

    @property
    def is_blank(self) -> bool:
        """Whether the row holds nothing at all."""
        return self.is_emptied and not any(self.claimed)


@dataclass(frozen=True)
class PutBackSheet:
    """A sheet of a workbook of rejected rows; `headings_at` counts from 1 and is None on the sheet that explains."""

    file: str
    sheet: str
    height: int
    headings_at: int | None
    headings: tuple[tuple[int, str], ...]
    """Column, counted from 0, and heading of all but the own columns."""
    rows: tuple[PutBack, ...]


def _own_columns(row: tuple[str | None, ...]) -> dict[str, int]:
    """The own headings of a row and their columns; the first where one stands twice."""
    found: dict[str, int] = {}
    for column, text in enumerate(row):
        if text and (own := _OWN.get(text.casefold())):
            found.setdefault(own, column)
    return found


def _put_back(name: str, cells: SheetCells, at: int, own: dict[str, int]) -> PutBackSheet:
    frame = cells.cells
    headings = tuple(
        (column, text) for column, text in enumerate(frame.row(at)) if text and text.casefold() not in _OWN
    )
    places = [own.get(heading) for heading in ORIGIN_HEADINGS]
    rows = tuple(
        PutBack(
            row=number,
            claimed=tuple(None if place is None else row[place] for place in places),
            cells=tuple((heading, row[column]) for column, heading in headings),
        )
        for number, row in enumerate(frame.slice(at + 1).iter_rows(), start=at + 2)
    )
    return PutBackSheet(name, cells.name, frame.height, at + 1, headings, rows)


def put_back_sheet(name: str, cells: SheetCells) -> PutBackSheet | None:
    """A sheet of a workbook of rejected rows; None where it is any other sheet. `name` is its file's."""
    for at, row in enumerate(cells.cells.head(ROWS_SEARCHED).iter_rows()):
        own = _own_columns(row)
        if len(own) >= LEAST_OWN_HEADINGS:
            return _put_back(name, cells, at, own)
        if at == 0 and row[0] and row[0].startswith(EXPLAINS):
            return PutBackSheet(name, cells.name, cells.cells.height, None, (), ())
    return None
