"""Find a folder's spreadsheets and read their bytes, without leaving the folder and without waiting on a device."""

from __future__ import annotations

import os
import re
import stat
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

from pipeline.workbook.looking import Unreadable

LARGEST_FILE_BYTES = 256 * 1024 * 1024
"""A file is held in memory while it is read; the largest sheet that is read in takes less than this as CSV."""

_HIDDEN = re.compile("[\x00-\x1f\x7f-\x9f\xad\u061c\u200b-\u200f\u2028-\u202e\u2060-\u206f\ufeff\ud800-\udfff]")
_OPENED = os.O_RDONLY | getattr(os, "O_BINARY", 0) | getattr(os, "O_NONBLOCK", 0) | getattr(os, "O_NOFOLLOW", 0)


@dataclass(frozen=True)
class Found:
    """A spreadsheet of the folder by its path and its name as it is shown; `problem` says why it is not opened."""

    path: Path
    name: str
    problem: str | None = None


def plain_name(text: str) -> str:
    """A name of a file or sheet in signs that can be seen and encoded: a line break is shown as `\\n`."""
    return _HIDDEN.sub(lambda found: found.group().encode("unicode_escape").decode(), text)


def _why_not_opened(entry: os.DirEntry[str]) -> str | None:
    """Why an entry by the name of a spreadsheet is no file to open."""
    if entry.is_symlink():
        return "it is a link and is not followed; put the file itself into the folder."
    if entry.is_dir(follow_symlinks=False):
        return "it is a folder by the name of a spreadsheet; name it without the ending. The files in it were read."
    if not entry.is_file(follow_symlinks=False):
        return "it is no file but a pipe or a device; remove it from the folder."
    return None


def _entries(folder: Path, suffixes: tuple[str, ...], also: str) -> Iterator[tuple[Path, str | None]]:
    """Entries by the name of a spreadsheet, and subfolders that cannot be entered, each with why it is not opened."""
    waiting = [folder]
    while waiting:
        directory = waiting.pop()
        try:
            with os.scandir(directory) as scan:
                entries = list(scan)
        except OSError as error:
            yield directory, f"this folder cannot be opened ({error.strerror}); allow it to be read, or remove it."
            continue
        for entry in entries:
            path = directory / entry.name
            by_name = path.suffix.casefold() in suffixes or entry.name == also
            is_spreadsheet = by_name and not entry.name.startswith((".", "~$"))
            if entry.is_dir(follow_symlinks=False):
                waiting.append(path)
            elif entry.is_symlink() and path.is_dir() and not is_spreadsheet:
                yield path, "it is a link to a folder and is not followed; put the folder itself into this one."
            if is_spreadsheet:
                yield path, _why_not_opened(entry)


def find_spreadsheets(folder: Path, suffixes: tuple[str, ...], also: str = "") -> list[Found]:
    """Every spreadsheet of a folder and its subfolders in the order of their paths. Links are never followed.

    `also` is the name of another file that is read beside them.
    """
    names: set[str] = set()
    found = []
    for path, problem in sorted(_entries(folder, suffixes, also), key=lambda entry: entry[0]):
        name = plain_name(path.relative_to(folder).as_posix())
        while name in names:
            name += "'"
        names.add(name)
        found.append(Found(path, name, problem))
    return found


def read_file(path: Path) -> bytes:
    """The bytes of a file. Raises Unreadable with one sentence."""
    try:
        with os.fdopen(os.open(path, _OPENED), "rb") as file:
            about = os.fstat(file.fileno())
            if not stat.S_ISREG(about.st_mode):
                raise Unreadable("it is no file but a pipe or a device; remove it from the folder.")
            if about.st_size > LARGEST_FILE_BYTES:
                raise Unreadable("it is larger than 256 MB; split it into smaller files.")
            return file.read(LARGEST_FILE_BYTES)
    except OSError as error:
        raise Unreadable(f"it cannot be read ({error.strerror}); allow it to be read, or copy it anew.") from None
