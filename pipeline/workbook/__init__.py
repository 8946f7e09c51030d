"""Find, open and read a folder's sheets; recognise each table by its headings."""

from __future__ import annotations

import hashlib
from pathlib import Path

from pipeline.errors import UsageError
from pipeline.workbook.headings import normalise_heading
from pipeline.workbook.looking import Unreadable
from pipeline.workbook.opening import SUFFIXES, open_sheets
from pipeline.workbook.readings import Column, FileRead, FolderReading, LeftOut, SheetReading, Trouble
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


def _spreadsheets(folder: Path) -> list[Path]:
    found = (path for path in folder.rglob("*") if path.suffix.casefold() in SUFFIXES and path.is_file())
    return sorted(path for path in found if not path.name.startswith((".", "~$")))


def read_folder(folder: Path) -> FolderReading:
    """Read every spreadsheet of a folder and its subfolders.

    Returns readings in the order of the files' paths. A file that cannot be read is named with its problem and the
    rest is read on. Raises UsageError where the folder is missing or holds no spreadsheet.
    """
    if not folder.is_dir():
        raise UsageError(f"there is no folder {folder}; name the folder that holds the season's spreadsheets.")
    paths = _spreadsheets(folder)
    if not paths:
        raise UsageError(f"{folder} holds no spreadsheet ({', '.join(SUFFIXES)}); put the season's files into it.")
    files: list[FileRead] = []
    sheets: list[SheetReading] = []
    for path in paths:
        name = path.relative_to(folder).as_posix()
        data = path.read_bytes()
        read: list[SheetReading] = []
        problems: list[str] = []
        try:
            for cells in open_sheets(path, data):
                if isinstance(cells, Unreadable):
                    problems.append(str(cells))
                else:
                    read += read_sheet(name, cells)
        except Unreadable as error:
            problems.append(str(error))
        problem = f"{name}: {' '.join(problems)}" if problems else None
        sheets += read
        files.append(FileRead(name, hashlib.sha256(data).hexdigest(), sum(s.rows_read for s in read), problem))
    return FolderReading(folder.name, tuple(files), tuple(sheets))
