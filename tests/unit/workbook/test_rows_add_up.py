"""Whatever a sheet holds, every row of it is accounted for."""

from __future__ import annotations

from hypothesis import given, settings
from hypothesis import strategies as st
from support.workbooks import read_rows

HEADINGS = (
    "Date",
    "Job",
    "Crew",
    "Worker",
    "Hours",
    "Miles",
    "Item",
    "Qty",
    "Moved",
    "Kind",
    "Amount",
    "Setting",
    "Value",
)
VALUES = (
    "1042",
    "2025-11-14",
    "Maple",
    "Total",
    "Grand total: 12",
    "6.5",
    "see the note below",
    "ft",
    "#N/A",
    "\u00bd",
)
CELL = st.one_of(st.none(), st.sampled_from(HEADINGS), st.sampled_from(VALUES), st.text(max_size=5).filter(str.strip))
WIDE = st.lists(CELL, min_size=1, max_size=9)
HEADING_ROW = st.permutations(HEADINGS).map(lambda row: list(row[:7]))


@settings(max_examples=150, deadline=None)
@given(st.lists(st.one_of(WIDE, HEADING_ROW), min_size=1, max_size=14))
def test_every_row_of_any_sheet_ends_in_one_place(rows: list[list[str | None]]) -> None:
    readings = read_rows(*rows)
    seen: set[int] = set()
    for reading in readings:
        kept, aside = reading.cells["source_row"].to_list(), reading.set_aside["source_row"].to_list()
        assert len({*kept, *aside}) == len(kept) + len(aside) == reading.rows_read
        seen |= {*kept, *aside}
        fields = reading.cells.drop("source_row")
        assert all(any(cell is not None for cell in row) for row in fields.rows())
        assert reading.table is not None or not kept
    assert seen == set(range(1, len(rows) + 1))
