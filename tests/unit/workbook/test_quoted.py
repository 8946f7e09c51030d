"""Lines with quotes in them are read many together as Python's csv module reads each of them."""

from __future__ import annotations

import csv
import io
from itertools import zip_longest

from hypothesis import given
from hypothesis import strategies as st

from pipeline.workbook.delimited import read_csv

CELLS = st.text(alphabet="ab1,\"' \u2033", max_size=6)
LINES = st.lists(st.text(alphabet="ab1,\"' ", max_size=12), min_size=1, max_size=6)


def by_columns(rows: list[list[str]]) -> list[list[str | None]]:
    """Columns of clean text as the page asks for it: trimmed, single spaces, plain quotes; up to the last used ones."""
    clean = [[" ".join(cell.replace("\u2033", '"').split()) or None for cell in row] for row in rows]
    columns = [list(column) for column in zip_longest(*clean)]
    while columns and not any(columns[-1]):
        columns.pop()
    last = max((at for column in columns for at, cell in enumerate(column) if cell), default=-1)
    return [column[: last + 1] for column in columns]


def read(text: str) -> list[list[str | None]]:
    cells = read_csv(text.encode()).cells
    return by_columns([[cell or "" for cell in row] for row in cells.rows()])


@given(st.lists(st.lists(CELLS, min_size=2, max_size=4), min_size=1, max_size=6), st.sampled_from([0, 1]))
def test_what_the_csv_module_writes_is_read_back(rows: list[list[str]], quoting: int) -> None:
    out = io.StringIO()
    csv.writer(out, quoting=quoting).writerows([["Item, and", "Note", "Spacing", "Count"], *rows])
    assert read(out.getvalue()) == by_columns([["Item, and", "Note", "Spacing", "Count"], *rows])


@given(LINES)
def test_lines_with_stray_quotes_are_read_as_the_csv_module_reads_them(lines: list[str]) -> None:
    # Each line by itself, and only such as leave no quote open: those may go on in the next line.
    alone = [line for line in lines if len(list(csv.reader([line, "end"]))) == 2]
    rows = [next(csv.reader([line]), []) for line in ["a,b,c", *alone]]
    assert read("\n".join(["a,b,c", *alone])) == by_columns(rows)


def test_inch_marks_in_one_line_do_not_change_how_another_is_read() -> None:
    text = 'Item,Note\n"LL12, long","said ""C9"""\nLL12,cut to 12" on site\n\n,"7"\n'
    assert read_csv(text.encode()).cells.rows() == [
        ("Item", "Note"),
        ("LL12, long", 'said "C9"'),
        ("LL12", 'cut to 12" on site'),
        (None, None),
        (None, "7"),
    ]
