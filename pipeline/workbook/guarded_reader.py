"""Reads workbooks for another process, which outlives whatever a file does to this one.

Started by guarding.py as a program. Requests and answers are pickles on the standard streams: b"..." opens a workbook,
a number asks for the sheet at that place. It imports nothing of the package, so that it starts in a twentieth of a
second.
"""

from __future__ import annotations

import contextlib
import io
import pickle
import sys
from typing import Any, BinaryIO

from python_calamine import CalamineSheet, CalamineWorkbook, PasswordError, SheetTypeEnum

CHUNK_CELLS = 100_000
"""Cells sent together: enough to cost little each, few enough to take little room at the other end."""


def limit(memory: int, seconds: int) -> None:
    """Bound this process's memory, and the processor's time from now on; where a system has no such limits, nothing."""
    try:
        import resource
    except ImportError:
        return
    used = resource.getrusage(resource.RUSAGE_SELF)
    until = int(used.ru_utime + used.ru_stime) + seconds
    bounds = ((resource.RLIMIT_AS, memory), (resource.RLIMIT_CPU, until), (resource.RLIMIT_CORE, 0))
    for what, most in bounds:
        with contextlib.suppress(ValueError, OSError):
            resource.setrlimit(what, (most, resource.getrlimit(what)[1]))


def _send_rows(sheet: CalamineSheet, out: BinaryIO) -> None:
    # The library's rows begin in row 1, but in the first column that is used.
    before = [""] * sheet.start[1] if sheet.start else []
    chunk: list[list[Any]] = []
    cells = 0
    for row in sheet.iter_rows():
        chunk.append(before + row)
        cells += len(row)
        if cells >= CHUNK_CELLS:
            _send(out, "rows", chunk)
            chunk, cells = [], 0
    if chunk:
        _send(out, "rows", chunk)


def _send(out: BinaryIO, kind: str, value: Any) -> None:
    pickle.dump((kind, value), out, pickle.HIGHEST_PROTOCOL)
    out.flush()


def serve(asked: BinaryIO, out: BinaryIO, memory: int, seconds: int) -> None:
    """Answer requests until there are no more."""
    book: CalamineWorkbook | None = None
    while True:
        try:
            request = pickle.load(asked)
        except EOFError:
            return
        limit(memory, seconds)
        try:
            if isinstance(request, bytes):
                book = CalamineWorkbook.from_filelike(io.BytesIO(request))
                sheets = [(sheet.name, sheet.typ is SheetTypeEnum.WorkSheet) for sheet in book.sheets_metadata]
                _send(out, "sheets", sheets)
            elif book is not None:
                sheet = book.get_sheet_by_index(request)
                _send(out, "merges", sheet.merged_cell_ranges or [])
                _send_rows(sheet, out)
                _send(out, "end", None)
        except PasswordError as error:
            _send(out, "password", str(error))
        except BaseException as error:
            # The library's panics are no Exception.
            _send(out, "failed", str(error))


if __name__ == "__main__":
    serve(sys.stdin.buffer, sys.stdout.buffer, *map(int, sys.argv[1:]))
