"""A look into a zipped workbook before any library opens it: what would exhaust the machine, and error cells."""

from __future__ import annotations

import io
import posixpath
import re
import zipfile
from dataclasses import dataclass, field

from pipeline.workbook import compound, opendocument
from pipeline.workbook.bounding import LARGEST_GRID_CELLS, Parts, column_number, grid_extent
from pipeline.workbook.opendocument import Merge
from pipeline.workbook.silent_cells import silent_cells

LARGEST_UNPACKED_BYTES = 512 * 1024 * 1024
"""A zip that unpacks to more is not opened: nothing that people keep by hand is that large."""
MOST_ENTRIES = 10_000
"""Parts of a workbook; an honest one has a few for each sheet."""
LARGEST_ZIP_BYTES = 64 * 1024 * 1024
"""A workbook of five million cells takes 25 MB; what makes one larger is pictures."""
TOO_FAR = "5 million cells; delete the rows and columns beyond the table and save it again."

PROTECTED = "it is protected by a password; save it without one."

_MANIFEST = "META-INF/manifest.xml"
_SNIFFED = 4096
_ZIP = b"PK\x03\x04"
_ENTRY = b"PK\x01\x02"
_IS_ENCRYPTED = 1
_REFERENCE = re.compile(rb"\br\s*=\s*[\"']([A-Z]{1,3})(\d{1,7})[\"']")
_ROW_OR_CELL = re.compile(rb"<(?:\w{1,20}:)?(?:row\b([^<>]*)|c\b([^<>]*))>((?=\s*<[^/]))?")
_ROW_REFERENCE = re.compile(rb"\br\s*=\s*[\"'](\d{1,7})[\"']")
_RELATIONSHIP = "{http://schemas.openxmlformats.org/officeDocument/2006/relationships}id"


class Unreadable(Exception):
    """A file cannot be read; the message is a sentence that says why and what to do."""


@dataclass(frozen=True)
class Seen:
    """What a look at a workbook found and its library will not give, by sheet; places are counted from 0.

    `is_bounded`: what reading the workbook takes is known to be little, whatever it says of itself.
    """

    errors: dict[str, list[tuple[int, int, str]]] = field(default_factory=dict)
    merges: dict[str, list[Merge]] = field(default_factory=dict)
    is_bounded: bool = False


def filled_extent(xml: bytes) -> tuple[int, int]:
    """The rows and columns up to the farthest cell that holds something.

    For a sheet that seems too large: some programs write blank rows, and blank cells with a format, down to the last
    row of the grid, and no library reserves room for those.
    """
    row = column = rows = columns = 0
    for token in _ROW_OR_CELL.finditer(xml):
        of_row, of_cell, content = token.groups()
        if of_row is not None:
            numbered = _ROW_REFERENCE.search(of_row)
            row, column = int(numbered[1]) if numbered else row + 1, 0
            continue
        # A cell need not say where it stands: it then follows the one before it.
        placed = _REFERENCE.search(of_cell)
        column = column_number(placed[1]) if placed else column + 1
        if content is not None and not of_cell.endswith(b"/"):
            rows, columns = max(rows, int(placed[2]) if placed else row), max(columns, column)
    return rows, columns


def _sheet_parts(parts: Parts) -> dict[str, str]:
    """The part of the archive that holds each sheet, by the sheet's name."""
    relations = parts.parsed("xl/_rels/workbook.xml.rels")
    targets = {relation.get("Id"): relation.get("Target", "") for relation in relations}
    found = {}
    for element in parts.parsed("xl/workbook.xml").iter():
        target = targets.get(element.get(_RELATIONSHIP)) if element.tag.endswith("}sheet") else None
        if target:
            found[element.get("name", "")] = posixpath.normpath(posixpath.join("/xl", target)).lstrip("/")
    return found


def _is_bounded(parts: Parts, sheets: dict[str, str]) -> bool:
    """Whether no part of a workbook, taken for a sheet, has more cells than can be read."""
    if parts.small is None:
        return False
    extents = {name: [grid_extent(xml) for xml in copies] for name, copies in parts.small.items()}
    large = {
        name
        for name, found in extents.items()
        if any(extent is None or extent[0] * extent[1] > LARGEST_GRID_CELLS for extent in found)
    }
    for sheet, part in sheets.items():
        if part in large and None not in extents[part]:
            rows, columns = filled_extent(parts.small[part][-1])
            if rows * columns > LARGEST_GRID_CELLS:
                raise Unreadable(f"sheet '{sheet}' spans more than {TOO_FAR}")
    return not large


def _look_at_sheets(parts: Parts) -> Seen:
    sheets = _sheet_parts(parts)
    is_bounded = _is_bounded(parts, sheets)
    errors = {}
    for sheet, part in sheets.items():
        if part in parts:
            errors[sheet] = [cell for xml in parts.pieces(part, b"<c ") for cell in silent_cells(xml)]
    return Seen(errors, is_bounded=is_bounded)


def _look_at_opendocument(parts: Parts) -> Seen:
    is_bounded, is_notable = parts.small is not None, False
    for xml in (parts.small or {}).get("content.xml", ()):
        extent = opendocument.extent(xml)
        is_bounded = is_bounded and extent is not None
        if extent and extent[0] * extent[1] > LARGEST_GRID_CELLS:
            raise Unreadable(f"its sheets span more than {TOO_FAR}")
    if _MANIFEST in parts and any(b"encryption-data" in xml for xml in parts.pieces(_MANIFEST, b"<")):
        raise Unreadable(PROTECTED)
    for xml in parts.pieces("content.xml", b"<"):
        if (kind := opendocument.unknown_type(xml)) is not None:
            raise Unreadable(f"it holds a cell of the type '{kind}', which no spreadsheet has; save it as .xlsx.")
        is_notable = is_notable or opendocument.has_notable_cells(xml)
    merges, errors = opendocument.notable_cells(parts.pieces("content.xml", b"<")) if is_notable else ({}, {})
    return Seen(errors, merges, is_bounded)


def _look_at_zip(data: bytes) -> Seen | None:
    """None where it is a zip of something else."""
    if len(data) > LARGEST_ZIP_BYTES:
        raise Unreadable("it is larger than 64 MB; take its pictures out, or save its sheets as smaller workbooks.")
    if data.count(_ENTRY) > MOST_ENTRIES:
        raise Unreadable(f"it has more than {MOST_ENTRIES:,} parts, which no workbook needs; save it again.")
    with zipfile.ZipFile(io.BytesIO(data)) as archive:
        parts = Parts(data, archive)
        if sum(entry.file_size for entry in parts.entries) > LARGEST_UNPACKED_BYTES:
            raise Unreadable("it unpacks to more than 512 MB; save its sheets as several smaller workbooks.")
        if any(entry.flag_bits & _IS_ENCRYPTED for entry in parts.entries):
            raise Unreadable(PROTECTED)
        if "xl/workbook.xml" in parts:
            return _look_at_sheets(parts)
        return _look_at_opendocument(parts) if "content.xml" in parts else None


def _look_at_other(data: bytes) -> Seen:
    head = data[:_SNIFFED].lower()
    if not data:
        raise Unreadable("it is empty; copy it anew.")
    if data.startswith(_ZIP):
        raise Unreadable("it is cut off, its end is missing; copy it anew.")
    if b"urn:schemas-microsoft-com:office:spreadsheet" in head:
        raise Unreadable("it is a workbook in an old form of XML; open it and save it as .xlsx.")
    if any(word in head for word in (b"<html", b"<table", b"<!doctype html", b"mime-version:")):
        raise Unreadable("it is a web page by the name of a spreadsheet; open it in a spreadsheet, save it as .xlsx.")
    return Seen()


def look(data: bytes) -> Seen:
    """Look into a workbook; raises Unreadable for what must not be opened."""
    is_compound = data.startswith(compound.BEGINS)
    if zipfile.is_zipfile(io.BytesIO(data)):
        seen = _look_at_zip(data)
        if seen is not None:
            return seen
        if not is_compound:
            raise Unreadable("it is a zip file but no workbook that we read; save it as .xlsx.")
    if not is_compound:
        return _look_at_other(data)
    try:
        return Seen(compound.error_cells(data))
    except PermissionError:
        raise Unreadable(PROTECTED) from None
