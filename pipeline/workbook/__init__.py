"""Find, open and read a folder's sheets; recognise each table by its headings."""

from __future__ import annotations

import hashlib
from dataclasses import dataclass, replace
from pathlib import Path

from pipeline.errors import UsageError
from pipeline.workbook.corrections import PutBackSheet, put_back_sheet
from pipeline.workbook.folder import Found, find_spreadsheets, plain_name, read_file
from pipeline.workbook.guarding import end_idle
from pipeline.workbook.headings import normalise_heading
from pipeline.workbook.known import KnownHeadings, known_headings
from pipeline.workbook.looking import Unreadable
from pipeline.workbook.opening import SUFFIXES, SheetCells, open_sheets
from pipeline.workbook.own_headings import (
    OWN_HEADINGS_FILE,
    Claim,
    claims_of_sheet,
    claims_of_toml,
    is_own_headings,
    own_headings,
    own_headings_reading,
)
from pipeline.workbook.putting import whole_sheet_aside
from pipeline.workbook.readings import Column, FileRead, FolderReading, LeftOut, SheetReading, Trouble
from pipeline.workbook.replacing import apply_corrections
from pipeline.workbook.sheets import read_sheet

__all__ = [
    "Column",
    "FileRead",
    "FolderReading",
    "LeftOut",
    "SheetReading",
    "Trouble",
    "normalise_heading",
    "read_folder",
]


@dataclass(frozen=True)
class _Opened:
    """A file of the folder: its sheets, or what the firm's own headings in it say, and what could not be read."""

    name: str
    sha256: str
    sheets: tuple[SheetCells, ...]
    claims: tuple[Claim, ...]
    problem: str | None


def _open(found: Found) -> _Opened:
    """Open a file; one that cannot be read is named with its problem."""
    data, sheets, claims, problems = b"", [], [], []
    try:
        if found.problem:
            raise Unreadable(found.problem)
        data = read_file(found.path)
        if found.path.name == OWN_HEADINGS_FILE:
            claims = claims_of_toml(found.name, data)
        else:
            for cells in open_sheets(found.path, data):
                if isinstance(cells, Unreadable):
                    problems.append(str(cells))
                else:
                    sheets.append(replace(cells, name=plain_name(cells.name)))
    except Unreadable as error:
        problems.append(str(error))
    for cells in sheets:
        claims += claims_of_sheet(found.name, cells)
    problem = plain_name(f"{found.name}: {' '.join(problems)}") if problems else None
    return _Opened(found.name, hashlib.sha256(data).hexdigest(), tuple(sheets), tuple(claims), problem)


def _read(opened: _Opened, known: KnownHeadings, put_back: list[PutBackSheet]) -> list[SheetReading]:
    read = []
    for cells in opened.sheets:
        if is_own_headings(cells):
            read.append(own_headings_reading(opened.name, cells))
        elif came_back := put_back_sheet(opened.name, cells):
            put_back.append(came_back)
            read.append(whole_sheet_aside(came_back))
        else:
            read += read_sheet(opened.name, cells, known)
    return read


def read_folder(folder: Path) -> FolderReading:
    """Read every spreadsheet of a folder and its subfolders.

    Returns readings in the order of the files' paths. A file that cannot be read is named with its problem and the
    rest is read on. Raises UsageError where the folder is missing or holds no spreadsheet.
    """
    named = plain_name(str(folder))
    if not folder.is_dir():
        raise UsageError(f"there is no folder {named}; name the folder that holds the season's spreadsheets.")
    found = find_spreadsheets(folder, SUFFIXES, also=OWN_HEADINGS_FILE)
    if all(one.path.name == OWN_HEADINGS_FILE for one in found):
        raise UsageError(f"{named} holds no spreadsheet ({', '.join(SUFFIXES)}); put the season's files into it.")
    opened = [_open(one) for one in found]
    end_idle()
    own = own_headings(claim for one in opened for claim in one.claims)
    known = known_headings(own.words)
    files: list[FileRead] = []
    sheets: list[SheetReading] = []
    put_back: list[PutBackSheet] = []
    for one in opened:
        read = _read(one, known, put_back)
        sheets += read
        files.append(FileRead(one.name, one.sha256, sum(sheet.rows_read for sheet in read), one.problem))
    reading = FolderReading(plain_name(folder.name), tuple(files), tuple(sheets), own.troubles)
    return apply_corrections(reading, put_back) if put_back else reading
