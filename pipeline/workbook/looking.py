"""A look into a zipped workbook before any library opens it: what would exhaust the machine, and error cells."""

from __future__ import annotations

import io
import posixpath
import re
import zipfile
from dataclasses import dataclass, field
from xml.etree import ElementTree

from pipeline.workbook import compound, opendocument
from pipeline.workbook.opendocument import Merge

LARGEST_UNPACKED_BYTES = 512 * 1024 * 1024
"""A zip that unpacks to more is not opened: nothing that people keep by hand is that large."""
MOST_ENTRIES = 10_000
"""Parts of a workbook; an honest one has a few for each sheet."""
LARGEST_SHEET_CELLS = 20_000_000
"""Rows x columns of a sheet: a library reserves them all, and one stray cell in the far corner needs 512 GB."""
TOO_FAR = "20 million cells; delete the rows and columns beyond the table and save it again."
NARROW_COLUMNS = 200
"""Up to here the rows can be counted quickly: 99,999 rows of this width are within the limit."""

_ROW_NUMBER = re.compile(rb'<(?:\w+:)?row\b[^>]*? r="(\d+)"')
_LONG_REFERENCE = re.compile(rb' r="[A-Z]{1,3}(\d{6,7})"')
_WIDE_REFERENCE = re.compile(rb' r="([A-Z]{2,3})\d+"')
_REFERENCE = re.compile(rb"\br\s*=\s*[\"']([A-Z]{1,3})(\d{1,7})[\"']")
_ROW_OR_CELL = re.compile(rb"<(?:\w+:)?(?:row\b([^>]*)|c\b([^>]*))>((?=\s*<[^/]))?")
_ROW_REFERENCE = re.compile(rb"\br\s*=\s*[\"'](\d{1,7})[\"']")
_ERROR_CELL = re.compile(
    rb'<c r="([A-Z]{1,3})(\d{1,7})"[^>]*? t="e"[^>]*>(?:<f\b[^>]*/>|<f\b[^>]*>[^<]*</f>)?<v>(#[^<]*)</v>'
)
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


def _column_number(letters: bytes) -> int:
    number = 0
    for letter in letters:
        number = number * 26 + letter - 64
    return number


def sheet_extent(xml: bytes) -> tuple[int, int]:
    """The rows and columns up to the farthest cell of a sheet, not trusting what it says of itself."""
    columns = max(map(_column_number, set(_WIDE_REFERENCE.findall(xml))), default=26)
    rows = max(map(int, _ROW_NUMBER.findall(xml)), default=0)
    if columns > NARROW_COLUMNS or rows == 0:
        found = _REFERENCE.findall(xml)
        columns = max(map(_column_number, {letters for letters, _ in found}), default=1)
        return max([rows, *(int(number) for _, number in found)]), columns
    return max([rows, *map(int, _LONG_REFERENCE.findall(xml))]), columns


def filled_extent(xml: bytes) -> tuple[int, int]:
    """The rows and columns up to the farthest cell that holds something.

    Slower than `sheet_extent`, for a sheet that seems too large: some programs write blank rows, and blank cells with a
    format, down to the last row of the grid, and no library reserves room for those.
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
        column = _column_number(placed[1]) if placed else column + 1
        if content is not None and not of_cell.endswith(b"/"):
            rows, columns = max(rows, int(placed[2]) if placed else row), max(columns, column)
    return rows, columns


def _error_cells(xml: bytes) -> list[tuple[int, int, str]]:
    if b't="e"' not in xml:
        return []
    return [
        (int(row) - 1, _column_number(letters) - 1, text.decode("utf-8", "replace"))
        for letters, row, text in _ERROR_CELL.findall(xml)
    ]


def _sheet_parts(archive: zipfile.ZipFile) -> dict[str, str]:
    """The part of the archive that holds each sheet, by the sheet's name."""
    relations = ElementTree.fromstring(archive.read("xl/_rels/workbook.xml.rels"))
    targets = {relation.get("Id"): relation.get("Target", "") for relation in relations}
    parts = {}
    for element in ElementTree.fromstring(archive.read("xl/workbook.xml")).iter():
        target = targets.get(element.get(_RELATIONSHIP)) if element.tag.endswith("}sheet") else None
        if target:
            parts[element.get("name", "")] = posixpath.normpath(posixpath.join("/xl", target)).lstrip("/")
    return parts


def _look_at_sheets(archive: zipfile.ZipFile) -> Seen:
    errors = {}
    names = set(archive.namelist())
    for sheet, part in _sheet_parts(archive).items():
        if part not in names:
            continue
        xml = archive.read(part)
        rows, columns = sheet_extent(xml)
        if rows * columns > LARGEST_SHEET_CELLS:
            rows, columns = filled_extent(xml)
        if rows * columns > LARGEST_SHEET_CELLS:
            raise Unreadable(f"sheet '{sheet}' spans more than {TOO_FAR}")
        errors[sheet] = _error_cells(xml)
    return Seen(errors)


def _look_at_opendocument(archive: zipfile.ZipFile) -> Seen:
    xml = archive.read("content.xml")
    rows, columns = opendocument.extent(xml)
    if rows * columns > LARGEST_SHEET_CELLS:
        raise Unreadable(f"its sheets span more than {TOO_FAR}")
    if (kind := opendocument.unknown_type(xml)) is not None:
        raise Unreadable(f"it holds a cell of the type '{kind}', which is none of a spreadsheet's; save it as .xlsx.")
    return Seen(merges=opendocument.merges(xml))


def look(data: bytes) -> Seen:
    """Look into a workbook; raises Unreadable for what must not be opened. An .xls is bounded by its format."""
    is_compound = data.startswith(compound.BEGINS)
    if not zipfile.is_zipfile(io.BytesIO(data)):
        return Seen(compound.error_cells(data)) if is_compound else Seen()
    with zipfile.ZipFile(io.BytesIO(data)) as archive:
        entries = archive.infolist()
        if len(entries) > MOST_ENTRIES:
            raise Unreadable(f"it has more than {MOST_ENTRIES:,} parts, which no workbook needs; save it again.")
        if sum(entry.file_size for entry in entries) > LARGEST_UNPACKED_BYTES:
            raise Unreadable("it unpacks to more than 512 MB; save its sheets as several smaller workbooks.")
        names = {entry.filename for entry in entries}
        if "xl/workbook.xml" in names:
            return _look_at_sheets(archive)
        if "content.xml" in names:
            return _look_at_opendocument(archive)
    if is_compound:
        return Seen(compound.error_cells(data))
    raise Unreadable("it is a zip file but no workbook that we read; save it as .xlsx.")
