"""What one row that was put back says: which row it corrects, how, and from which version of it."""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass, field

import polars as pl

from pipeline.vocabulary import tables
from pipeline.workbook.cells import clean
from pipeline.workbook.corrections import PutBack, PutBackSheet
from pipeline.workbook.headings import column_letter
from pipeline.workbook.origins import NotApplied, Origin, Place, as_cell, content_of, parse_versions, version_of
from pipeline.workbook.readings import Column, FolderReading, SheetReading, Trouble

AS_IT_WAS = "left as it was: the row of origin stands"
SHORT_DIGEST = 12
"""Characters of a file's SHA-256 that a message quotes."""
_Key = tuple[str, str, int]
Mapping = tuple[tuple[Column, int | None], ...]
"""Columns of the sheet of origin, each with its column on the sheet that was put back; None where it is not there."""


@dataclass(frozen=True)
class Corrected:
    """A row that takes the place of the one at its origin, unless another that was made from it does."""

    at: Place
    origin: Origin
    origin_text: str
    reading: SheetReading
    mapping: Mapping
    old: dict[str, str | None]
    new: dict[str, str | None]
    seen: tuple[str, ...]
    id: str
    claimed: tuple[str | None, ...]
    cells: tuple[tuple[str, str | None], ...]

    @property
    def is_as_at_origin(self) -> bool:
        """Whether every cell is again what stands at the origin."""
        return self.new == self.old


@dataclass(frozen=True)
class Told:
    """A row that corrects nothing: why, and what is to be said and kept of it."""

    at: Place
    why: str
    trouble: Trouble | None = None
    lost: NotApplied | None = None


@dataclass
class Folder:
    """The rows of a folder that can be corrected."""

    files: dict[str, list[str]]
    sheets: dict[_Key, SheetReading]
    _names: dict[_Key, list[str]]
    _rows: dict[_Key, dict[int, dict[str, str | None]]] = field(default_factory=dict)
    _mappings: dict[tuple[int, _Key], Mapping] = field(default_factory=dict)

    @classmethod
    def of(cls, reading: FolderReading) -> Folder:
        """The files by their hash and the tables by file, sheet and part."""
        files: dict[str, list[str]] = defaultdict(list)
        for file in reading.files:
            files[file.sha256].append(file.path)
        sheets = {(s.file, s.sheet, s.part): s for s in reading.sheets if s.table is not None}
        names: dict[_Key, list[str]] = defaultdict(list)
        for file_name, name, part in sheets:
            names[file_name, _plain(name), part].append(name)
        return cls(dict(files), sheets, dict(names))

    def origin(self, claimed: tuple[str | None, ...]) -> Origin | None:
        """The origin that grey cells name; None where they name none.

        Its file is the one of that hash, and of several alike the one of that name.
        """
        file, sha256, sheet, row, part = claimed[:5]
        at, nth = _number(row), _number(part)
        if not sha256 or at is None or nth is None:
            return None
        alike = self.files.get(sha256.casefold(), [])
        path = next((path for path in alike if _plain(path) == file), alike[0] if alike else file or "")
        # A cell's text is cleaned where a sheet's name is not; two names that are one when cleaned are not certain.
        names = self._names.get((path, sheet or "", nth), [])
        return Origin(path, sha256.casefold(), names[0] if len(names) == 1 else sheet or "", at, nth)

    def row(self, origin: Origin) -> dict[str, str | None] | None:
        """The cells of a record by field; None where there is no record, or the file is not the one that was read."""
        key = (origin.file, origin.sheet, origin.part)
        if key not in self.sheets or origin.file not in self.files.get(origin.sha256, []):
            return None
        if key not in self._rows:
            cells = self.sheets[key].cells
            rows = cells.drop("source_row").iter_rows(named=True)
            self._rows[key] = dict(zip(cells["source_row"].to_list(), rows, strict=True))
        return self._rows[key].get(origin.row)

    def mapping(self, sheet: PutBackSheet, origin: Origin) -> Mapping:
        """The columns of a sheet that was put back, as those of a sheet of origin."""
        home = (origin.file, origin.sheet, origin.part)
        key = (id(sheet), home)
        if key not in self._mappings:
            self._mappings[key] = _map_columns(sheet, self.sheets[home])
        return self._mappings[key]


def _map_columns(sheet: PutBackSheet, reading: SheetReading) -> Mapping:
    """Headings as they were written stand for the columns of origin; those of two columns alike, in their order.

    A field that the sheet of origin has no column for may stand under its own heading.
    """
    free = list(sheet.headings)
    found: list[tuple[Column, int | None]] = []

    def take(heading: str) -> int | None:
        place = next((i for i, (_, text) in enumerate(free) if text == as_cell(heading)), None)
        return None if place is None else free.pop(place)[0]

    for column in reading.columns:
        place = take(column.heading)
        found.append((column, place))
    known = {column.field for column in reading.columns}
    for name, described in tables()[reading.table or ""].fields.items():
        place = None if name in known else take(described.heading)
        if place is not None:
            found.append((Column(name, described.heading, column_letter(place)), place))
    return tuple(found)


def _plain(name: str) -> str:
    """A name as a cell gives it back."""
    return clean(pl.Series([as_cell(name)]))[0] or ""


def _number(text: str | None) -> int | None:
    """A whole number of a grey cell, which some programs give back as `12.0`."""
    whole = (text or "").strip().removesuffix(".0")
    return int(whole) if whole.isascii() and whole.isdigit() and len(whole) < 10 else None


def _refused(at: Place, row: PutBack, rule: str, text: str, how: str) -> Told:
    trouble = Trouble(at.file, at.sheet, at.row, None, None, rule, "error", text, how)
    return Told(at, "a correction without its origin", trouble, NotApplied(at, row.claimed, row.cells, text))


def _without_origin(at: Place, row: PutBack) -> Told:
    return _refused(
        at, row, "a_correction_names_its_origin", "does not say which row it corrects: its grey cells were changed",
        "write new records into the season's own sheets; to correct a row, change it where a fresh rejects.xlsx has it",
    )  # fmt: skip


def _origin_gone(folder: Folder, at: Place, row: PutBack, origin: Origin) -> Told:
    place = Place(origin.file, origin.sheet, origin.row)
    why = (
        "where no record stands now"
        if origin.sha256 in folder.files
        else f"but no file in the folder has its SHA-256, {origin.sha256[:SHORT_DIGEST]}...: it was changed or removed"
    )
    return _refused(
        at, row, "the_origin_of_a_correction_is_in_the_folder", f"corrects {place}, {why}; it is not counted",
        "correct the row in its file or in the new rejects.xlsx, then delete this row",
    )  # fmt: skip


def _emptied(at: Place, origin: Origin) -> Told:
    text = f"every cell was deleted; {Place(origin.file, origin.sheet, origin.row)} stands as it did without this row"
    how = "to drop a record, delete it in its own file; to correct it, write its cells here"
    trouble = Trouble(at.file, at.sheet, at.row, None, None, "a_row_is_not_dropped_here", "warning", text, how)
    return Told(at, "every cell deleted", trouble)


def read_row(folder: Folder, sheet: PutBackSheet, row: PutBack) -> Corrected | Told:
    """What a row of a sheet that was put back says."""
    at = Place(sheet.file, sheet.sheet, row.row)
    if row.is_blank:
        return Told(at, "blank row")
    shown, versions, rivals = parse_versions(row.claimed[5])
    is_first = len(versions) <= 1
    if is_first and shown == content_of(row.cells):
        return Told(at, AS_IT_WAS)
    origin = folder.origin(row.claimed)
    if origin is None:
        return _without_origin(at, row)
    if row.is_emptied:
        return _emptied(at, origin)
    old = folder.row(origin)
    if old is None:
        return _origin_gone(folder, at, row, origin)
    mapping = folder.mapping(sheet, origin)
    by_column = {column: text for (column, _), (_, text) in zip(sheet.headings, row.cells, strict=True)}
    new = {c.field: _cell(old.get(c.field), by_column, place) for c, place in mapping}
    old = {name: old.get(name) for name in new}
    content = content_of((c.heading, by_column.get(-1 if p is None else p)) for c, p in mapping)
    if is_first and (content == shown or new == old):
        return Told(at, AS_IT_WAS)
    parents = (*versions[-1:], *rivals)
    is_changed = content != shown
    return Corrected(
        at=at,
        origin=origin,
        origin_text=str(Place(origin.file, origin.sheet, origin.row)),
        reading=folder.sheets[origin.file, origin.sheet, origin.part],
        mapping=mapping,
        old=old,
        new=new,
        seen=(*versions, *rivals) if is_changed else versions,
        id=version_of(parents, content) if is_changed else versions[-1],
        claimed=row.claimed,
        cells=row.cells,
    )


def _cell(old: str | None, by_column: dict[int, str | None], place: int | None) -> str | None:
    """A cell as it was put back; where it reads as it was shown, or its column was deleted, the text of the origin."""
    if place is None:
        return old
    text = by_column[place]
    return old if old is not None and text == as_cell(old) else text


def frame_of(rows: list[Corrected], mapping: Mapping) -> pl.DataFrame:
    """The cells of corrected rows of one sheet of origin, as a reading has them."""
    places = pl.Series("source_row", [claim.at.row for claim in rows], dtype=pl.Int64)
    fields = [column.field for column, _ in mapping]
    return pl.DataFrame(
        [places, *(pl.Series(name, [claim.new[name] for claim in rows], dtype=pl.String) for name in fields)]
    )
