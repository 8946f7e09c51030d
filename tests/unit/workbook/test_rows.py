"""Rows under headings are sorted whatever pieces their columns are in."""

from __future__ import annotations

import pytest

from pipeline.workbook.delimited import read_csv
from pipeline.workbook.sheets import read_sheet


@pytest.mark.parametrize(("end", "totals"), [(b"", []), (b"Total,,760000\n", [20_002])])
def test_a_sheet_so_long_that_polars_keeps_it_in_pieces_is_sorted_as_a_short_one(end: bytes, totals: list[int]) -> None:
    sheet = read_csv(b"Date,Crew,Miles\n" + b"2025-11-14,Maple,38\n" * 20_000 + end)
    assert sheet.cells.n_chunks() > 1
    (reading,) = read_sheet("trips.csv", sheet)
    assert (reading.table, reading.cells.height) == ("trips", 20_000)
    assert reading.totals["source_row"].to_list() == totals
