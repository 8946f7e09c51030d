"""Workbooks as grids of cells, read here or, where a file might end the process that reads it, by a guarded child."""

from __future__ import annotations

import atexit
import io
import os
import pickle
import subprocess
import sys
import threading
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from python_calamine import CalamineWorkbook, PasswordError, SheetTypeEnum

from pipeline.workbook.looking import Unreadable
from pipeline.workbook.opendocument import Merge

MOST_CHILD_BYTES = 640 * 1024 * 1024
"""Memory of the process that reads a file which might be a trap; with what this one makes of its cells under 1 GB."""
MOST_CHILD_SECONDS = 120
"""Processor time for a sheet; the largest within the limits takes 10 s."""
PATIENCE_SECONDS = 5 * MOST_CHILD_SECONDS
"""How long an answer may take on a machine that has much else to do."""
LARGEST_SHARED_BYTES = 1024 * 1024
"""Files up to here are read by one child after the other; a larger one has a child of its own."""

_PROGRAM = Path(__file__).with_name("guarded_reader.py")
_idle: list[_Child] = []

Rows = list[list[Any]]


@dataclass(frozen=True)
class Grid:
    """A sheet by name; `read` gives its merged cells, and its rows from row 1 and column A on, some at a time."""

    name: str
    read: Callable[[], tuple[list[Merge], Iterable[Rows]]]


class _Child:
    """A process that reads workbooks under a limit on memory and time."""

    def __init__(self) -> None:
        paths = os.pathsep.join(path for path in sys.path if path)
        self.process = subprocess.Popen(
            [sys.executable, "-P", str(_PROGRAM), str(MOST_CHILD_BYTES), str(MOST_CHILD_SECONDS)],
            stdin=subprocess.PIPE, stdout=subprocess.PIPE, stderr=subprocess.DEVNULL,
            env={**os.environ, "PYTHONPATH": paths},
        )  # fmt: skip
        self.is_waiting = True
        """Whether it has answered all that it was asked, so that it can be asked again."""

    def ask(self, request: bytes | int) -> tuple[str, Any]:
        """Ask, and wait for the first answer."""
        assert self.process.stdin is not None
        self.is_waiting = False
        try:
            pickle.dump(request, self.process.stdin, pickle.HIGHEST_PROTOCOL)
            self.process.stdin.flush()
        except BrokenPipeError:
            raise self._died() from None
        return self.answer()

    def answer(self) -> tuple[str, Any]:
        """The next answer. Raises Unreadable where the process has died, else what the library found wrong."""
        assert self.process.stdout is not None
        alarm = threading.Timer(PATIENCE_SECONDS, self.process.kill)
        alarm.start()
        try:
            kind, value = pickle.load(self.process.stdout)
        except (EOFError, pickle.UnpicklingError):
            raise self._died() from None
        finally:
            alarm.cancel()
        self.is_waiting = kind not in ("merges", "rows")
        if kind == "password":
            raise PasswordError(value)
        if kind == "failed":
            raise ValueError(value)
        return kind, value

    def _died(self) -> Unreadable:
        return Unreadable(
            "it cannot be read within 640 MB of memory and two minutes; delete the rows and columns beyond its tables, "
            "or save them as several smaller workbooks."
        )

    def sheet(self, index: int) -> tuple[list[Merge], Iterable[Rows]]:
        """The merged cells and the rows of a sheet."""
        return self.ask(index)[1], self._rows()

    def _rows(self) -> Iterator[Rows]:
        while True:
            kind, rows = self.answer()
            if kind != "rows":
                return
            yield rows

    def end(self) -> None:
        """End the process and wait for it."""
        self.process.kill()
        self.process.communicate()


@atexit.register
def end_idle() -> None:
    """End the children that wait for another file."""
    while _idle:
        _idle.pop().end()


def _waiting_child() -> _Child:
    """A child that waits for a file: one that has read before, where it still lives, else a new one."""
    while _idle:
        child = _idle.pop()
        if child.process.poll() is None:
            return child
        # What ended it came after its last file, so that no file is to blame.
        child.end()
    return _Child()


def _guarded_grids(data: bytes) -> Iterator[Grid]:
    child = _waiting_child()
    try:
        for index, (name, is_worksheet) in enumerate(child.ask(data)[1]):
            if is_worksheet:
                yield Grid(name, lambda index=index: child.sheet(index))  # type: ignore[misc]
    finally:
        if child.is_waiting and len(data) <= LARGEST_SHARED_BYTES:
            _idle.append(child)
        else:
            child.end()


def _grids(data: bytes) -> Iterator[Grid]:
    book = CalamineWorkbook.from_filelike(io.BytesIO(data))

    def read(index: int) -> tuple[list[Merge], Iterable[Rows]]:
        sheet = book.get_sheet_by_index(index)
        return sheet.merged_cell_ranges or [], [sheet.to_python(skip_empty_area=False)]

    for index, sheet in enumerate(book.sheets_metadata):
        if sheet.typ is SheetTypeEnum.WorkSheet:
            yield Grid(sheet.name, lambda index=index: read(index))  # type: ignore[misc]


def grids(data: bytes, *, is_trusted: bool) -> Iterator[Grid]:
    """The worksheets of a workbook. `is_trusted`: a look has bounded what reading it takes, so that it is read here.

    Raises Unreadable with a sentence, or whatever the library raises.
    """
    return _grids(data) if is_trusted else _guarded_grids(data)
