"""The blank workbook's example rows: never a record, never evidence, and never a way to lose a row."""

from __future__ import annotations

import pytest
from support.intake import JOBS, assert_places, check, folder, sheet
from support.workbooks import read_rows

from pipeline.errors import UsageError
from pipeline.validation import check_folder
from pipeline.vocabulary import tables
from pipeline.workbook import SheetReading
from pipeline.workbook.examples import example_cell


def untouched(table: str) -> SheetReading:
    described = tables()[table]
    fields = described.fields.values()
    (reading,) = read_rows([field.heading for field in fields], [example_cell(described, field) for field in fields])
    return reading


def test_a_sheet_with_its_example_alone_is_as_good_as_missing() -> None:
    checked = check_folder(folder(sheet("jobs", JOBS), untouched("service_calls")), 2025)
    assert "service_calls" not in checked.records
    assert checked.intake.select("record_table", "accepted", "set_aside", "note").row(1) == (
        None, 0, 2, "nothing but the example row is on it, so it tells nothing of service_calls",
    )  # fmt: skip


def test_without_its_example_an_empty_sheet_means_none() -> None:
    (reading,) = read_rows([field.heading for field in tables()["service_calls"].fields.values()])
    checked = check_folder(folder(sheet("jobs", JOBS), reading), 2025)
    assert checked.records["service_calls"].height == 0


def test_jobs_left_blank_are_told_so() -> None:
    with pytest.raises(UsageError, match="nothing but the example row is on it, so it tells nothing of jobs"):
        check_folder(folder(untouched("jobs")), 2025)


def test_a_marked_row_that_is_not_the_example_is_rejected_with_the_way_out() -> None:
    checked = check(
        materials="""
            | job_no     | item_no | moved  | quantity |
            | Example: 1 | LL12    | issued | 12       |
        """
    )
    assert_places(checked, "materials", "| source_row | place |\n| 2 | rejected |")
    (found,) = checked.findings.filter(severity="error").select("message", "remedy").rows()
    assert found == (
        '"Example: 1" marks an example, but the row is not the blank workbook\'s',
        "write the row's own Job no in its place, or delete the row",
    )
