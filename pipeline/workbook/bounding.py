"""What reading a zipped workbook can take at most, told from its bytes and not from what it says of itself.

A small workbook is looked through to its last byte; whatever is not certain here is read under a guard.
"""

from __future__ import annotations

import struct
import zipfile
import zlib
from collections.abc import Iterator
from xml.etree import ElementTree

import polars as pl

SMALL_FILE_BYTES = 16 * 1024 * 1024
SMALL_UNPACKED_BYTES = 64 * 1024 * 1024
"""Up to here a workbook can be read in this process: a million and a half cells, of 100 bytes in memory each."""
LARGEST_GRID_CELLS = 5_000_000
"""Rows x columns up to the last used one: a library reserves room for all, 75 bytes for each that holds a number."""
MOST_COLUMNS = 4_096
"""Each takes a millisecond, however few its rows, and no table of records has a hundred."""
LARGEST_PARSED_BYTES = 8 * 1024 * 1024
"""The list of a workbook's sheets: ten thousand take 2 MB. As a tree it takes ten times its bytes."""
PIECE_BYTES = 1024 * 1024

_LOCAL_HEADER = 30
_CELL = r"<(?:[^\s<>/:]*:)?c"
_PLACED = r' r="[A-Z]{1,3}[0-9]{1,7}"'
# What follows the name of a cell and is not ` r="A1"`, letter by letter: the engine knows no look-ahead.
_ODD_NUMBER = r'[A-Z]{1,3}(?:[0-9]{1,7}[^0-9"]|[0-9]{8})'
_ODD_PLACE = rf"(?:[^A-Z]|[A-Z](?:[^A-Z0-9]|[A-Z](?:[^A-Z0-9]|[A-Z][^0-9]))|{_ODD_NUMBER})"
_ODD = rf'(?:[\t\n\r/>]| (?:[^r]|r(?:[^=]|=(?:[^"]|"{_ODD_PLACE}))))'
_NARROW, _LOW = 26, 189_999
"""Columns of one letter, and rows that are few enough in so many."""
_FAR = r' r="(?:[A-Z]{2}|[A-Z](?:19[0-9]{4}|[2-9][0-9]{5}|[0-9]{7}))'
_WIDE = r' r="[A-Z]{2,3}'
_FIVE_DIGITS = 99_999
_LOWER = r' r="[A-Z]{1,3}[0-9]{6}'


def _unpacked(data: bytes, entry: zipfile.ZipInfo) -> bytes | None:
    """A part's bytes; None where it is packed in a way of its own or does not have the size that it says.

    A zip says each part's size beside it, and a library that trusts the parts reads on where zipfile stops.
    """
    header = data[entry.header_offset : entry.header_offset + _LOCAL_HEADER]
    if len(header) < _LOCAL_HEADER:
        return None
    start = entry.header_offset + _LOCAL_HEADER + sum(struct.unpack_from("<2H", header, 26))
    packed = data[start : start + entry.compress_size]
    if entry.compress_type == zipfile.ZIP_STORED:
        return packed if len(packed) == entry.file_size else None
    if entry.compress_type != zipfile.ZIP_DEFLATED:
        return None
    packing = zlib.decompressobj(-zlib.MAX_WBITS)
    try:
        part = packing.decompress(packed, entry.file_size + 1)
    except zlib.error:
        return None
    return part if packing.eof and len(part) == entry.file_size else None


class Parts:
    """The parts of a zip. `small` has every copy of each where the zip is small and says what is so, else nothing."""

    def __init__(self, data: bytes, archive: zipfile.ZipFile) -> None:
        self._archive = archive
        self.entries = archive.infolist()
        self.small: dict[str, list[bytes]] | None = None
        if len(data) <= SMALL_FILE_BYTES and sum(entry.file_size for entry in self.entries) <= SMALL_UNPACKED_BYTES:
            self.small = self._unpack(data)

    def _unpack(self, data: bytes) -> dict[str, list[bytes]] | None:
        parts: dict[str, list[bytes]] = {}
        for entry in self.entries:
            part = _unpacked(data, entry)
            if part is None:
                return None
            parts.setdefault(entry.filename, []).append(part)
        return parts

    def __contains__(self, name: str) -> bool:
        return name in self._archive.NameToInfo

    def pieces(self, name: str, cut: bytes) -> Iterator[bytes]:
        """A part in pieces, each cut off before what begins with `cut`; that of a small zip in one."""
        if self.small is not None:
            yield self.small[name][-1]
            return
        kept = b""
        with self._archive.open(name) as stream:
            while piece := stream.read(PIECE_BYTES):
                kept += piece
                end = kept.rfind(cut)
                # Where nothing begins so for long, nothing of use is cut in two.
                end = len(kept) if end <= 0 and len(kept) > 4 * PIECE_BYTES else max(end, 0)
                if end:
                    yield kept[:end]
                    kept = kept[end:]
        yield kept

    def parsed(self, name: str) -> ElementTree.Element:
        """A part's markup as a tree. Raises ValueError where it is too large or declares a type."""
        if self._archive.getinfo(name).file_size > LARGEST_PARSED_BYTES:
            raise ValueError(f"{name} is larger than 8 MB")
        xml = self._archive.read(name)
        if b"\0" in xml or b"<!DOCTYPE" in xml:
            raise ValueError(f"{name} declares a document type, which no spreadsheet program writes")
        return ElementTree.fromstring(xml)


def column_number(letters: bytes) -> int:
    """A column's place, A being 1."""
    number = 0
    for letter in letters:
        number = number * 26 + letter - 64
    return number


def markup(xml: bytes) -> pl.Series:
    """Markup as one text for polars, which searches it many times as fast; bytes of another kind are a letter each."""
    try:
        return pl.Series([xml]).cast(pl.String)
    except pl.exceptions.ComputeError:
        return pl.Series([xml.decode("latin-1")])


def grid_extent(xml: bytes) -> tuple[int, int] | None:
    """At least the rows and columns up to the farthest cell of an Office Open XML sheet; None where it is not certain.

    Every cell must say where it stands in the one way in which spreadsheet programs write it.
    """
    text = markup(xml).str
    if not text.contains(f"{_CELL}(?:{_ODD}|{_FAR})")[0]:
        return _LOW, _NARROW
    if text.contains(_CELL + _ODD)[0]:
        return None
    wide = text.extract_all(_CELL + _WIDE).explode().drop_nulls().unique()
    columns = max((column_number(cell.rpartition('"')[2].encode()) for cell in wide), default=_NARROW)
    if columns * _FIVE_DIGITS <= LARGEST_GRID_CELLS and not text.contains(_CELL + _LOWER)[0]:
        return _FIVE_DIGITS, columns
    rows = text.extract_all(_CELL + _PLACED).explode().str.extract(r'([0-9]+)"').cast(pl.Int64).max()
    return int(rows or 0), columns  # type: ignore[arg-type]
