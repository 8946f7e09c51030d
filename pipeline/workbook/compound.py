"""Error cells of an .xls, which the library gives as blank ones: the compound file, its stream, its records."""

from __future__ import annotations

import re
import struct
from collections.abc import Iterator

BEGINS = b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1"
"""How a compound file begins. It may hold a zip of its own, the theme of its colours, and is no zipped workbook."""
ERRORS = {
    0x00: "#NULL!",
    0x07: "#DIV/0!",
    0x0F: "#VALUE!",
    0x17: "#REF!",
    0x1D: "#NAME?",
    0x24: "#NUM!",
    0x2A: "#N/A",
}

_STREAMS = ("Workbook", "Book")
_PROTECTED_STREAM = "EncryptedPackage"
"""Where a protected .xlsx stands: [MS-OFFCRYPTO]."""
_PROTECTED = 0x002F
_END_OF_SECTORS = 0xFFFFFFFA
_SECTORS_IN_HEADER = 109
_ENTRY = 128
_OF_ROOT, _OF_STREAM = 5, 2
_SHEET, _FORMULA, _BOOLEAN_OR_ERROR, _END_OF_SHEET, _BEGIN = 0x0085, 0x0006, 0x0205, 0x000A, 0x0809
_MAY_HOLD_ERRORS = re.compile(
    rb"\x05\x02\x08\x00|\x06\x00.{8}\x02.[\x00\x07\x0f\x17\x1d\x24\x2a].{3}\xff\xff", re.DOTALL
)

Errors = dict[str, list[tuple[int, int, str]]]


class _Compound:
    """The sectors of a compound file. Broken chains raise ValueError, struct.error or IndexError."""

    def __init__(self, data: bytes) -> None:
        self._data = data
        sector, mini, directory, self._least, mini_table, more = struct.unpack_from("<30x2H14xI4x2I4xI", data)
        self._size, self._mini_size = 1 << sector, 1 << mini
        places = list(struct.unpack_from(f"<{_SECTORS_IN_HEADER}I", data, 76))
        for _ in range(len(data) // self._size):
            if more >= _END_OF_SECTORS:
                break
            *found, more = struct.unpack(f"<{self._size // 4}I", self._sector(more))
            places += found
        self._next = self._numbers(b"".join(self._sector(place) for place in places if place < _END_OF_SECTORS))
        entries = self._chain(directory)
        self._entries = [entries[at : at + _ENTRY] for at in range(0, len(entries), _ENTRY)]
        root = next(entry for entry in self._entries if entry[66] == _OF_ROOT)
        self._mini_next = self._numbers(self._chain(mini_table))
        self._minis = self._chain(struct.unpack_from("<I", root, 116)[0])

    @staticmethod
    def _numbers(data: bytes) -> tuple[int, ...]:
        return struct.unpack(f"<{len(data) // 4}I", data)

    def _sector(self, place: int) -> bytes:
        return self._data[(place + 1) * self._size : (place + 2) * self._size]

    @staticmethod
    def _places(first: int, following: tuple[int, ...]) -> list[int]:
        places: list[int] = []
        while first < _END_OF_SECTORS:
            places.append(first)
            if len(places) > len(following):
                raise ValueError("its sectors run in a circle")
            first = following[first]
        return places

    def _chain(self, first: int) -> bytes:
        return b"".join(self._sector(place) for place in self._places(first, self._next))

    def stream(self, name: str) -> bytes | None:
        """A stream's bytes; a small one stands among the small sectors."""
        for entry in self._entries:
            length = struct.unpack_from("<H", entry, 64)[0]
            if entry[66] != _OF_STREAM or entry[: max(0, length - 2)].decode("utf-16-le", "replace") != name:
                continue
            first, size = struct.unpack_from("<2I", entry, 116)
            if size >= self._least:
                return self._chain(first)[:size]
            places = self._places(first, self._mini_next)
            return b"".join(self._minis[at * self._mini_size : (at + 1) * self._mini_size] for at in places)[:size]
        return None


def _records(stream: bytes, at: int) -> Iterator[tuple[int, bytes]]:
    """Records up to the end of their sheet, each with its kind."""
    while at + 4 <= len(stream):
        kind, size = struct.unpack_from("<2H", stream, at)
        if kind == _END_OF_SHEET:
            return
        yield kind, stream[at + 4 : at + 4 + size]
        at += 4 + size


def _sheet_name(record: bytes, is_wide: bool) -> str:
    """A sheet's name: since Excel 97 with a byte that says whether its letters take one byte or two."""
    count = record[6]
    if not is_wide:
        return record[7 : 7 + count].decode("cp1252", "replace")
    if record[7] & 1:
        return record[8 : 8 + 2 * count].decode("utf-16-le", "replace")
    return record[8 : 8 + count].decode("latin-1")


def _of_sheet(stream: bytes, at: int) -> list[tuple[int, int, str]]:
    found = []
    for kind, record in _records(stream, at):
        if kind == _BOOLEAN_OR_ERROR and record[7]:
            code = record[6]
        elif kind == _FORMULA and record[6] == 2 and record[12:14] == b"\xff\xff":
            code = record[8]
        else:
            continue
        row, column = struct.unpack_from("<2H", record)
        found.append((row, column, ERRORS.get(code, f"#ERROR {code}")))
    return found


def error_cells(data: bytes) -> Errors:
    """The error cells of each sheet as (row, column, text), counted from 0.

    The layout is that of [MS-CFB] and [MS-XLS] (records BoundSheet8, BoolErr and Formula). Raises ValueError,
    struct.error or IndexError where the file is broken, PermissionError where it is protected by a password.
    """
    compound = _Compound(data)
    if compound.stream(_PROTECTED_STREAM) is not None:
        raise PermissionError
    stream = next((found for name in _STREAMS if (found := compound.stream(name)) is not None), b"")
    globals_ = list(_records(stream, 0))
    if any(kind == _PROTECTED for kind, _ in globals_):
        raise PermissionError
    if not _MAY_HOLD_ERRORS.search(stream):
        return {}
    is_wide = bool(globals_) and globals_[0][0] == _BEGIN and globals_[0][1][:2] == b"\x00\x06"
    sheets = [record for kind, record in globals_ if kind == _SHEET]
    return {_sheet_name(record, is_wide): _of_sheet(stream, struct.unpack_from("<I", record)[0]) for record in sheets}
