"""Readings: the text of cells with file, sheet and row. Nothing is interpreted yet."""

from __future__ import annotations

from dataclasses import dataclass

import polars as pl

from pipeline.workbook.origins import Correction, NotApplied

EXAMPLE_ROW = "example row"
"""Why the example row of the blank workbook is set aside."""


@dataclass(frozen=True)
class FileRead:
    """A file that was opened. `problem` is one sentence where it could not be read."""

    path: str
    sha256: str
    rows: int
    problem: str | None = None


@dataclass(frozen=True)
class Column:
    """A column that was taken for a field: its heading as written, its letter, and a unit in the heading."""

    field: str
    heading: str
    letter: str
    heading_unit: str | None = None


@dataclass(frozen=True)
class LeftOut:
    """A column that was not read in, and why."""

    heading: str
    letter: str
    why: str


@dataclass(frozen=True)
class KnownWords:
    """The texts that the columns of these very cells hold, by field, as they were found while reading."""

    cells: pl.DataFrame
    texts: dict[str, pl.Series]


@dataclass(frozen=True)
class SheetReading:
    """One table found on one sheet.

    `cells` has `source_row` (Int64) and a String column a field, null where blank; `set_aside` has `source_row`
    and `why`; `totals` has the cells of the totals rows. Every row from 1 to the last used row of the sheet is in
    `cells` or `set_aside` of exactly one part.
    """

    file: str
    sheet: str
    table: str | None
    part: int
    columns: tuple[Column, ...]
    left_out: tuple[LeftOut, ...]
    cells: pl.DataFrame
    set_aside: pl.DataFrame
    totals: pl.DataFrame
    note: str | None = None
    problem: str | None = None
    known_words: KnownWords | None = None

    @property
    def rows_read(self) -> int:
        """Rows of the sheet that this reading accounts for."""
        return self.cells.height + self.set_aside.height

    @property
    def is_untouched(self) -> bool:
        """Whether nothing but its example row stands under the headings: the sheet was left as the blank one has it."""
        return self.cells.is_empty() and self.totals.is_empty() and EXAMPLE_ROW in self.set_aside["why"]

    def words(self, field: str) -> pl.Series:
        """The texts that a field's cells hold, each at least once."""
        if self.known_words is not None and self.known_words.cells is self.cells:
            return self.known_words.texts[field]
        return self.cells[field].unique()

    def column(self, field: str) -> Column | None:
        """The column taken for a field."""
        return next((column for column in self.columns if column.field == field), None)


@dataclass(frozen=True)
class Trouble:
    """Something that was found wrong while reading, before any value is looked at.

    `row` counts from 1 and is None where the whole sheet is meant; `column` is the label as a person sees it, such as
    `column D 'Length'`. `severity` is one of the findings' severities.
    """

    file: str
    sheet: str
    row: int | None
    column: str | None
    value: str | None
    rule: str
    severity: str
    message: str
    remedy: str


@dataclass(frozen=True)
class FolderReading:
    """All that was read in a folder, in a fixed order."""

    folder: str
    files: tuple[FileRead, ...]
    sheets: tuple[SheetReading, ...]
    troubles: tuple[Trouble, ...] = ()
    corrections: tuple[Correction, ...] = ()
    not_applied: tuple[NotApplied, ...] = ()
    taken_back: tuple[Correction, ...] = ()
