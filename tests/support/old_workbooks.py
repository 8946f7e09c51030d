"""Old workbooks (.xls) written byte by byte after [MS-CFB] and [MS-XLS], so that a test can write them wrongly too."""

from __future__ import annotations

import struct
from collections.abc import Iterable, Mapping

SECTOR = 512
_FREE, _END, _OF_TABLE = 0xFFFFFFFF, 0xFFFFFFFE, 0xFFFFFFFD
_LEAST_STREAM = 4096
"""Smaller streams stand in small sectors; here each stream is filled up to this."""
Cells = Iterable[tuple[int, int, float | str]]


def _entry(name: str, kind: int, child: int, right: int, start: int, size: int) -> bytes:
    letters = name.encode("utf-16-le") + b"\0\0"
    head = letters.ljust(64, b"\0") + struct.pack("<HBB3I", len(letters), kind, 1, _FREE, right, child)
    return head + bytes(36) + struct.pack("<IQ", start, size)


def compound(streams: Mapping[str, bytes], *, in_a_circle: bool = False) -> bytes:
    """A compound file of streams; `in_a_circle` lets the sectors of each stream lead back to its first."""
    bodies = [body.ljust(_LEAST_STREAM, b"\0") for body in streams.values()]
    bodies = [body + bytes(-len(body) % SECTOR) for body in bodies]
    entries = -(-(len(streams) + 1) // 4)
    sectors = entries + sum(len(body) // SECTOR for body in bodies)
    tables = next(count for count in range(1, 110) if count * SECTOR // 4 >= sectors + count)
    following: list[int] = [_OF_TABLE] * tables
    following += [*range(tables + 1, tables + entries), _END]
    starts = []
    for body in bodies:
        starts.append(len(following))
        following += range(len(following) + 1, len(following) + len(body) // SECTOR)
        following.append(starts[-1] if in_a_circle else _END)
    following += [_FREE] * (tables * SECTOR // 4 - len(following))
    directory = _entry("Root Entry", 5, 1, _FREE, _END, 0)
    for place, (name, start, body) in enumerate(zip(streams, starts, bodies, strict=True), 1):
        directory += _entry(name, 2, _FREE, place + 1 if place < len(streams) else _FREE, start, len(body))
    header = b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1" + bytes(16) + struct.pack("<5H", 0x3E, 3, 0xFFFE, 9, 6) + bytes(6)
    header += struct.pack("<9I", 0, tables, tables, 0, _LEAST_STREAM, _END, 0, _END, 0)
    header += struct.pack("<109I", *range(tables), *[_FREE] * (109 - tables))
    numbers = struct.pack(f"<{len(following)}I", *following)
    return header + numbers + directory.ljust(entries * SECTOR, b"\0") + b"".join(bodies)


def _record(kind: int, body: bytes = b"") -> bytes:
    return struct.pack("<2H", kind, len(body)) + body


def _begin(kind: int) -> bytes:
    return _record(0x0809, struct.pack("<4H2I", 0x0600, kind, 0x0DBB, 0x07CC, 0, 6))


def _cell(row: int, column: int, value: float | str) -> bytes:
    place = struct.pack("<3H", row, column, 0)
    if isinstance(value, str):
        letters = value.encode("utf-16-le")
        return _record(0x0204, place + struct.pack("<HB", len(letters) // 2, 1) + letters)
    return _record(0x0203, place + struct.pack("<d", value))


def stream_of(sheets: Mapping[str, Cells], *, is_protected: bool = False) -> bytes:
    """The stream of a workbook; `is_protected` puts the record of a password before its sheets."""
    head = _begin(5) + (_record(0x002F, struct.pack("<3H", 1, 1, 1) + bytes(48)) if is_protected else b"")
    bodies = [_begin(16) + b"".join(_cell(*cell) for cell in cells) + _record(0x000A) for cells in sheets.values()]
    lists = [struct.pack("<HBB", 0, len(name), 1) + name.encode("utf-16-le") for name in sheets]
    at = len(head) + sum(8 + len(listed) for listed in lists) + 4
    for listed, body in zip(lists, bodies, strict=True):
        head += _record(0x0085, struct.pack("<I", at) + listed)
        at += len(body)
    return head + _record(0x000A) + b"".join(bodies)


def xls(sheets: Mapping[str, Cells], *, is_protected: bool = False) -> bytes:
    """A workbook of sheets, each with its cells as (row, column, value), counted from 0."""
    return compound({"Workbook": stream_of(sheets, is_protected=is_protected)})
