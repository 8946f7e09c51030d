"""A workbook is read to the same cells here and by a guarded child; what ends the child ends nothing else."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
import time
from collections.abc import Iterator
from datetime import date, timedelta
from datetime import time as clock
from pathlib import Path

import pytest
import xlsxwriter
from support.hostile import CELL, xlsx
from support.old_workbooks import xls
from support.workbooks import write_xlsx

from pipeline.workbook import guarding, opening
from pipeline.workbook.guarding import grids
from pipeline.workbook.looking import Seen, Unreadable
from pipeline.workbook.opening import SheetCells

ROOT = Path(__file__).resolve().parents[3]
ROWS = [[], [None, "Date", 6.5, True], [None, date(2025, 11, 14), clock(6, 30), timedelta(hours=31)]]
PATIENCE_SECONDS = 30


@pytest.fixture(autouse=True)
def _no_child_is_left() -> Iterator[None]:
    guarding.end_idle()
    yield
    guarding.end_idle()


def cells(data: bytes, *, is_trusted: bool) -> dict[str, tuple[list, list]]:
    found = {}
    for grid in grids(data, is_trusted=is_trusted):
        merges, chunks = grid.read()
        found[grid.name] = (merges, [row for rows in chunks for row in rows])
    return found


def test_both_ways_give_the_same_cells(tmp_path: Path) -> None:
    data = write_xlsx(tmp_path / "a.xlsx", {"one": ROWS, "two": [["x"]], "none": []}).read_bytes()
    here = cells(data, is_trusted=True)
    assert here == cells(data, is_trusted=False)
    assert list(here) == ["one", "two", "none"]
    assert here["one"][1][1] == ["", "Date", 6.5, True]


def test_cells_merged_over_the_pieces_in_which_rows_come_are_filled(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path, rows = tmp_path / "a.xlsx", 60_000
    with xlsxwriter.Workbook(path) as book:
        sheet = book.add_worksheet("a")
        sheet.merge_range(0, 0, rows - 1, 0, "Maple")
        sheet.write_column(0, 1, ["W01"] * rows)
        sheet.write_column(0, 2, ["install"] * rows)
    data = path.read_bytes()
    (grid,) = grids(data, is_trusted=False)
    assert len(list(grid.read()[1])) == 2
    monkeypatch.setattr(opening, "look", lambda data: Seen())
    (opened,) = opening.open_sheets(path, data)
    assert isinstance(opened, SheetCells)
    assert opened.cells.rows() == [("Maple", "W01", "install")] * rows


def test_a_sheet_that_takes_too_much_is_refused_and_the_next_file_is_read() -> None:
    corner = xls({"Notes": [(0, 0, "x"), (65_535, 255, 1.0)]})
    with pytest.raises(Unreadable, match="within 640 MB of memory and two minutes"):
        cells(corner, is_trusted=False)
    assert cells(xls({"Notes": [(0, 0, 5.0)]}), is_trusted=False) == {"Notes": ([], [[5.0]])}


def test_small_files_share_a_child_and_a_large_one_has_its_own(monkeypatch: pytest.MonkeyPatch) -> None:
    small = xls({"Notes": [(0, 0, 5.0)]})
    cells(small, is_trusted=False)
    (child,) = guarding._idle
    cells(small, is_trusted=False)
    assert guarding._idle == [child]
    monkeypatch.setattr(guarding, "LARGEST_SHARED_BYTES", len(small) - 1)
    cells(small, is_trusted=False)
    assert guarding._idle == []
    assert child.process.returncode is not None


def test_a_child_that_ended_while_it_waited_is_not_the_next_file_s_fault() -> None:
    small = xls({"Notes": [(0, 0, 5.0)]})
    first = cells(small, is_trusted=False)
    (child,) = guarding._idle
    child.process.kill()
    child.process.wait()
    assert cells(small, is_trusted=False) == first
    assert guarding._idle != [child]


def test_a_file_that_is_not_read_to_its_end_leaves_no_child(tmp_path: Path) -> None:
    data = xlsx(tmp_path, CELL, CELL).read_bytes()
    sheets = grids(data, is_trusted=False)
    next(sheets).read()
    sheets.close()
    assert guarding._idle == []


def test_what_the_library_says_comes_through() -> None:
    with pytest.raises(ValueError, match="Cannot detect file format"):
        next(grids(b"nothing", is_trusted=False))


def test_a_child_leaves_with_its_parent_however_that_ends() -> None:
    program = (
        "import time; from pipeline.workbook import guarding; from support.old_workbooks import xls\n"
        "list(guarding.grids(xls({'A': [(0, 0, 1.0)]}), is_trusted=False))\n"
        "print(guarding._idle[0].process.pid, flush=True); time.sleep(600)"
    )
    paths = os.pathsep.join([str(ROOT), str(ROOT / "tests")])
    parent = subprocess.Popen(
        [sys.executable, "-c", program], stdout=subprocess.PIPE, text=True, env={**os.environ, "PYTHONPATH": paths}
    )
    assert parent.stdout is not None
    pid = int(parent.stdout.readline())
    os.kill(parent.pid, signal.SIGKILL)
    parent.communicate()
    until = time.monotonic() + PATIENCE_SECONDS
    while Path(f"/proc/{pid}/cmdline").exists() and Path(f"/proc/{pid}/cmdline").read_bytes():
        assert time.monotonic() < until, "the child outlives its parent"
        time.sleep(0.05)
