"""CSV files in every encoding and delimiter that people hand in."""

from __future__ import annotations

import pytest

from pipeline.workbook.delimited import decode, delimiter_of, read_csv
from pipeline.workbook.looking import Unreadable

TEXT = "Item;Colour\r\nLL12;bougie d\u2019\u00e9t\u00e9\r\n"


@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "utf-16", "utf-16-le", "utf-16-be", "cp1252"])
def test_an_encoding_is_told_by_its_bytes(encoding: str) -> None:
    assert decode(TEXT.encode(encoding)) == TEXT


@pytest.mark.parametrize("delimiter", [",", ";", "\t"])
@pytest.mark.parametrize("end", ["\n", "\r\n", "\r"])
def test_a_delimiter_and_a_line_end_are_told_by_the_text(delimiter: str, end: str) -> None:
    lines = ("Date,Crew,Miles", "2025-11-14,Maple,38", ",,", "2025-11-15,Oak,40")
    text = end.join(line.replace(",", delimiter) for line in lines) + end
    assert read_csv(text.encode()).cells.rows() == [
        ("Date", "Crew", "Miles"),
        ("2025-11-14", "Maple", "38"),
        (None, None, None),
        ("2025-11-15", "Oak", "40"),
    ]


def test_commas_in_numbers_and_titles_do_not_hide_a_semicolon() -> None:
    assert delimiter_of("Hours, crew, and miles\nDate;Crew;Hours\n2025-11-14;Maple;6,5\n2025-11-15;Oak;7,5\n") == ";"


@pytest.mark.parametrize("delimiter", [",", ";", "\t"])
def test_a_delimiter_is_seen_where_every_cell_stands_in_quotes(delimiter: str) -> None:
    text = '"Date","Crew"\n"2025-11-14","Maple, Oak; both"\n'.replace('","', f'"{delimiter}"')
    assert delimiter_of(text) == delimiter


def test_a_line_that_names_the_delimiter_is_believed() -> None:
    assert delimiter_of("sep=|\na|b\n1,2|3,4\n") == "|"


def test_tabs_in_a_quoted_heading_of_several_lines_do_not_hide_a_comma() -> None:
    assert delimiter_of('"\t\r\n start \t\r\n end \t\r\n",b,c\r\nd,e,f\r\n') == ","


def test_inch_marks_and_quoted_words_stay_as_they_are() -> None:
    text = 'Item,Note,Spacing\nLL12,cut to 12" on site,12"\nB9,"said ""C9"", meant C7",\n'
    assert read_csv(text.encode()).cells.rows() == [
        ("Item", "Note", "Spacing"),
        ("LL12", 'cut to 12" on site', '12"'),
        ("B9", 'said "C9", meant C7', None),
    ]


def test_a_line_break_in_a_quoted_cell_is_one_row() -> None:
    assert read_csv(b'Item,Note\nLL12,"two\nlines"\nB9,one\n').cells.rows()[1:] == [
        ("LL12", "two lines"),
        ("B9", "one"),
    ]


def test_a_quote_that_is_never_closed_is_reported_and_swallows_no_rows() -> None:
    with pytest.raises(Unreadable, match="row 2 opens a quote that is not closed"):
        read_csv(b'Item,Count\n"LL12,860\nB9,40\nB7,12\n')


def test_lines_of_different_length_keep_their_cells() -> None:
    assert read_csv(b"Title\nDate,Crew\n2025-11-14,Maple,late\n").cells.rows() == [
        ("Title", None, None),
        ("Date", "Crew", None),
        ("2025-11-14", "Maple", "late"),
    ]


def test_bytes_that_are_no_text_are_refused() -> None:
    with pytest.raises(Unreadable, match="it is not text"):
        read_csv(bytes(range(256)) * 4)


def test_an_empty_file_has_no_rows() -> None:
    assert read_csv(b"").cells.height == 0
