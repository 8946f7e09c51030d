"""Error cells of an .xls are found; a compound file that is broken is refused in a sentence."""

from __future__ import annotations

import struct
from pathlib import Path

import pytest

from pipeline.workbook.cells import SheetCells
from pipeline.workbook.compound import error_cells
from pipeline.workbook.looking import Unreadable
from pipeline.workbook.opening import open_sheets

ERRORS = Path(__file__).parents[2] / "outside/files/tablib/errors.xls"
"""A row of headings over a row of error cells; see tests/outside/SOURCES.toml."""
FIRST_OF_DIRECTORY = 48
"""Where the header of a compound file names the first sector of its directory."""


def opened(data: bytes) -> list[SheetCells | Unreadable]:
    return list(open_sheets(Path("a.xls"), data))


def test_error_cells_of_formulas_and_typed_in_are_found_where_they_stand() -> None:
    assert error_cells(ERRORS.read_bytes()) == {
        "Feuille1": [(1, 0, "#DIV/0!"), (1, 1, "#NAME?"), (1, 2, "#N/A"), (1, 3, "#N/A")]
    }


@pytest.mark.parametrize("size", [8, 100, 511, 512, 1500, 3000])
def test_a_file_that_was_cut_off_is_refused_in_a_sentence(size: int) -> None:
    with pytest.raises(Unreadable, match=r"save it again as \.xlsx"):
        opened(ERRORS.read_bytes()[:size])


def test_sectors_that_run_in_a_circle_are_refused_in_a_sentence() -> None:
    data = bytearray(ERRORS.read_bytes())
    directory = struct.unpack_from("<I", data, FIRST_OF_DIRECTORY)[0]
    table = struct.unpack_from("<I", data, 76)[0]
    struct.pack_into("<I", data, (table + 1) * 512 + 4 * directory, directory)
    with pytest.raises(Unreadable, match="its sectors run in a circle"):
        opened(bytes(data))
