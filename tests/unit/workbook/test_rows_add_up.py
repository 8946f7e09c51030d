"""Whatever a sheet holds, every row of it is accounted for."""

from __future__ import annotations

import random

import pytest
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


def made_row(rng: random.Random) -> list[str | None]:
    """A row of headings, of records, of both, or of nothing."""
    if rng.random() < 0.3:
        return list(rng.sample(HEADINGS, 7))
    return [rng.choice((None, rng.choice(VALUES), rng.choice(HEADINGS))) for _ in range(rng.randint(1, 9))]


@pytest.mark.parametrize("seed", range(60))
def test_every_row_of_any_sheet_ends_in_one_place(seed: int) -> None:
    rng = random.Random(seed)
    # A last cell that is filled: trailing blank rows are cut before this.
    rows = [*(made_row(rng) for _ in range(rng.randint(0, 14))), ["end"]]
    seen: set[int] = set()
    for reading in read_rows(*rows):
        kept, aside = reading.cells["source_row"].to_list(), reading.set_aside["source_row"].to_list()
        assert len({*kept, *aside}) == len(kept) + len(aside) == reading.rows_read
        seen |= {*kept, *aside}
        assert all(any(cell is not None for cell in row) for row in reading.cells.drop("source_row").rows())
        assert reading.table is not None or not kept
    assert seen == set(range(1, len(rows) + 1))
