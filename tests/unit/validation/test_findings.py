"""Findings: their labels, their order, their quotes."""

from __future__ import annotations

import polars as pl
import pytest
from support.intake import check, sheet

from pipeline.errors import TooMuchRejected
from pipeline.validation import findings
from pipeline.validation.findings import SCHEMA, Findings, column_labels


def test_findings_come_errors_first_then_held_then_warnings_then_notes_by_place() -> None:
    checked = check(
        jobs="| job_no | feet |\n| 1 | 100 |\n| 2 | 12O |\n| 3 | 1O0 |",
        hours="| work_date | job_no | hours |\n| 2024-11-14 | 1 | 6 |\n| 2025-11-14 | 2 | 6 |",
    )
    assert checked.findings.select("severity", "source_row").rows() == [
        ("error", 3),
        ("error", 4),
        ("held", 3),
        ("warning", 2),
        ("note", None),
    ]


def test_a_field_without_a_column_is_called_by_its_own_heading() -> None:
    checked = check(jobs="| job_no | quoted |\n| 1 | 100 |\n| 2 | 100 |")
    assert checked.findings["column_name"].to_list() == ["'Feet'", "'Feet'"]


def test_a_column_is_called_by_letter_and_heading_as_written_on_its_own_sheet() -> None:
    labels = column_labels((sheet("jobs", "| job_no | feet |\n| 1 | 1 |"), sheet("runs", "| feet |\n| 1 |")))
    assert labels.filter(field="feet").select("source_sheet", "label").rows() == [
        ("jobs", "column B 'feet'"),
        ("runs", "column A 'feet'"),
    ]


def test_one_finding_is_told_once() -> None:
    found = Findings(column_labels(()))
    for _ in range(2):
        found.of_sheet("a.csv", "", "the_file_can_be_read", "error", "a.csv cannot be read.", "save the file again")
    assert found.frame().height == 1


def test_without_findings_the_frame_still_has_its_columns() -> None:
    assert Findings(column_labels(())).frame().schema == pl.Schema(SCHEMA)


def test_braces_and_quotes_in_a_cell_are_text() -> None:
    checked = check(jobs='| job_no | feet |\n| 1 | {} "x" {0} |\n| 2 | 1 |')
    assert checked.findings["message"].to_list() == ['"{} "x" {0}" is not a length']


def test_more_findings_than_can_be_said_end_the_check_with_one_of_them(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(findings, "MOST_FINDINGS", 3)
    hours = "| job_no | hours |\n" + "| 1 | no |\n" * 3
    assert len(check(hours=hours).findings.filter(pl.col("severity") == "error")) == 3
    said = (
        """more than 3 things are wrong, .*made.xlsx, sheet 'hours', row 2, column B 'hours': "no" is not a duration"""
    )
    with pytest.raises(TooMuchRejected, match=said):
        check(hours=hours + "| 1 | none |")
