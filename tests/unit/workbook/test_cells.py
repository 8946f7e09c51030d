"""Typed cells become the text that stands for their value."""

from __future__ import annotations

from datetime import date, datetime, time, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pipeline.workbook.cells import sheet_of, text_columns, value_text


@pytest.mark.parametrize(
    ("value", "text"),
    [
        (1042.0, "1042"),
        (6.5, "6.5"),
        (0.1 + 0.2, "0.3"),
        (-125.0, "-125"),
        (-0.0, "0"),
        (0.00001, "0.00001"),
        # What is left of 0.1 + 0.2 - 0.3 as a computer adds.
        (2.0**-54, "0.0000000000000000555111512312578"),
        (1234567890123456.0, "1234567890123456"),
        (True, "TRUE"),
        (False, "FALSE"),
        (date(2025, 11, 14), "2025-11-14"),
        (datetime(2025, 11, 14), "2025-11-14"),
        (datetime(2025, 11, 14, 9, 30), "2025-11-14T09:30:00"),
        (time(6, 30), "6:30"),
        (time(6, 30, 15), "6:30:15"),
        (timedelta(hours=31, minutes=5), "31:05"),
        (datetime(1900, 1, 1, 7, 5), "31:05"),
        ("#N/A", "#N/A"),
        ("", None),
        ("   ", None),
        ("\u00a0 C207\u00a0", "C207"),
        ("12\u201d", '12"'),
        ("120\u2019 6\u2033", "120' 6\""),
        ("two\nlines", "two lines"),
        ("\u202bW\u200b0\x071\u2069", "W01"),
        ("\u202e012\u202c", "\ufffd012"),
        ("a\x1b[31m\tb\x00", "a[31m b"),
        ("\u2066\u00ad\ufeff", None),
        (datetime(2025, 11, 14, 9, 30, 59, 999_000), "2025-11-14T09:31:00"),
        (datetime.max, "9999-12-31T23:59:59"),
    ],
)
def test_a_value_has_one_text(value: object, text: str | None) -> None:
    # The blank beside it makes the column one of mixed kinds, as calamine gives it.
    ((column, words),) = text_columns([[value, ""]])
    assert column.to_list() == [text, None]
    assert text is None or text in words


def test_true_and_one_in_one_column_stay_apart() -> None:
    assert text_columns([[1.0, True, 0.0, False]])[0][0].to_list() == ["1", "TRUE", "0", "FALSE"]


def test_rows_behind_the_last_used_one_are_cut() -> None:
    sheet = sheet_of("", [text_columns([("a", "", "b", "", " "), ("", "", "", "", "")])])
    assert sheet.cells.rows() == [("a", None), (None, None), ("b", None)]


def test_pieces_of_a_sheet_stand_below_each_other_with_their_blank_rows() -> None:
    sheet = sheet_of("", [text_columns([values]) for values in (["a", ""], ["", ""], [1.5, "a"])])
    assert sheet.cells["0"].to_list() == ["a", None, None, None, "1.5", "a"]
    assert set(sheet.words[0]) >= {"a", "1.5"}


@given(st.lists(st.floats(allow_nan=False, allow_infinity=False) | st.decimals(-(10**9), 10**9, places=3).map(float)))
def test_numbers_have_the_text_that_each_has_by_itself(numbers: list[float]) -> None:
    assert text_columns([numbers])[0][0].to_list() == [value_text(number) for number in numbers]
