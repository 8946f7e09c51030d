"""Typed cells become the text that stands for their value."""

from __future__ import annotations

from datetime import date, datetime, time, timedelta

import pytest

from pipeline.workbook.cells import text_column, text_frame


@pytest.mark.parametrize(
    ("value", "text"),
    [
        (1042.0, "1042"),
        (6.5, "6.5"),
        (0.1 + 0.2, "0.3"),
        (-125.0, "-125"),
        (-0.0, "0"),
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
    ],
)
def test_a_value_has_one_text(value: object, text: str | None) -> None:
    # The blank beside it makes the column one of mixed kinds, as calamine gives it.
    assert text_column("0", [value, ""]).to_list() == [text, None]


def test_true_and_one_in_one_column_stay_apart() -> None:
    assert text_column("0", [1.0, True, 0.0, False]).to_list() == ["1", "TRUE", "0", "FALSE"]


def test_rows_behind_the_last_used_one_are_cut() -> None:
    assert text_frame([("a", "", "b", "", " "), ("", "", "", "", "")]).rows() == [
        ("a", None),
        (None, None),
        ("b", None),
    ]
