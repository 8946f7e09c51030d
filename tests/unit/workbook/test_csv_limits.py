"""A CSV file that would take more than can be given to it is refused in a sentence, just beyond each limit."""

from __future__ import annotations

import pytest

from pipeline.workbook import delimited, quoted
from pipeline.workbook.bounding import MOST_COLUMNS
from pipeline.workbook.delimited import read_csv
from pipeline.workbook.looking import Unreadable


@pytest.mark.parametrize("quote", [b"", b'"'])
def test_a_line_has_at_most_so_many_columns(quote: bytes) -> None:
    line = b"a" + quote + b"," * (MOST_COLUMNS - 1)
    assert read_csv(b"b,c\n" + line + b"d\n").cells.width == MOST_COLUMNS
    with pytest.raises(Unreadable, match="it has more than 4,096 columns; correct its longest line"):
        read_csv(b"b,c\n" + line + b",d\n")


def test_a_file_spans_at_most_so_many_cells(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(delimited, "LARGEST_SHEET_CELLS", 2_000_000)
    assert read_csv(b"a,b\n" * 999_999).cells.height == 999_999
    with pytest.raises(Unreadable, match="it spans more than 2 million cells; split it into smaller files"):
        read_csv(b"a,b\n" * 1_000_001)


def test_lines_that_are_read_one_by_one_hold_at_most_so_many_cells(monkeypatch: pytest.MonkeyPatch) -> None:
    for module in (delimited, quoted):
        monkeypatch.setattr(module, "MOST_CELLS_BY_LINE", 1_000_000)
    for text in (b'12",b\n', b'"a\nb",c\n'):
        assert read_csv(text * 1000).cells.height == 1000
        with pytest.raises(Unreadable, match="it spans more than 1 million cells in lines with quotes"):
            read_csv(text * 500_001)


def test_a_line_has_at_most_so_many_letters() -> None:
    line = b"x" * (delimited.LARGEST_LINE - 1)
    assert read_csv(b"a\n" + line + b"\nb\n").cells.height == 3
    with pytest.raises(Unreadable, match="it holds a line of more than 4 million letters, so it is no table"):
        read_csv(b"a\n" + line + b"xxx\nb\n")
