"""An example row is set aside; a record is not, however like the example it may be."""

from __future__ import annotations

import pytest
from support.workbooks import aside, read_rows

from pipeline.vocabulary import tables
from pipeline.workbook.examples import example_cell

HOURS = ("Work date", "Job no", "Crew", "Worker no", "Task", "Hours")
LIKE = ("2025-11-14", "1042", "Maple", "W07", "install", "6:30")
EXAMPLE = ("example: 2025-11-14", *LIKE[1:])


@pytest.mark.parametrize("name", list(tables()))
def test_the_example_of_each_table_is_set_aside(name: str) -> None:
    fields = tables()[name].fields.values()
    (reading,) = read_rows(
        [field.heading for field in fields], [example_cell(tables()[name], field) for field in fields]
    )
    assert reading.table == name
    assert aside(reading) == {1: "headings", 2: "example row"}
    assert reading.cells.is_empty()
    assert reading.is_untouched


def test_a_record_with_the_example_s_values_and_without_its_mark_is_a_record() -> None:
    (reading,) = read_rows(HOURS, EXAMPLE, LIKE)
    assert aside(reading) == {1: "headings", 2: "example row"}
    assert reading.cells.rows() == [(3, *LIKE)]
    assert not reading.is_untouched


@pytest.mark.parametrize("hours", ["6.5", "6:30", "6 h 30 min", "390 min", None])
def test_an_example_is_told_by_its_values_in_whatever_form_they_are_written(hours: str | None) -> None:
    (reading,) = read_rows(HOURS, ("EXAMPLE:2025-11-14", *LIKE[1:5], hours))
    assert aside(reading)[2] == "example row"


@pytest.mark.parametrize("written", ["11/14/2025", "14/11/2025", "14-Nov-25", "45975"])
def test_a_spreadsheet_program_may_have_written_the_example_s_date_anew(written: str) -> None:
    (reading,) = read_rows(HOURS, (f"example: {written}", *LIKE[1:]))  # 45975 days after 1899-12-30
    assert aside(reading)[2] == "example row"


def test_a_marked_row_with_another_value_is_a_record_and_never_lost() -> None:
    changed = ("example: 2025-11-14", "1043", *LIKE[2:])
    (reading,) = read_rows(HOURS, changed)
    assert reading.cells.rows() == [(2, *changed)]


def test_an_example_row_that_was_moved_below_the_records_or_copied_is_still_an_example() -> None:
    (reading,) = read_rows(HOURS, LIKE, EXAMPLE, EXAMPLE)
    assert aside(reading) == {1: "headings", 3: "example row", 4: "example row"}


def test_columns_in_another_order_carry_the_mark_with_them() -> None:
    (reading,) = read_rows(HOURS[::-1], EXAMPLE[::-1])
    assert aside(reading)[2] == "example row"


def test_a_sheet_whose_example_was_deleted_is_no_longer_untouched() -> None:
    (reading,) = read_rows(HOURS)
    assert not reading.is_untouched
