"""The schemas are made from the vocabulary, and their failures name rows."""

from __future__ import annotations

import pytest
from support.intake import check, sheet

from pipeline.validation.schemas import expectation, range_failures, schema_of
from pipeline.validation.typing import Working, type_sheets
from pipeline.vocabulary import tables


@pytest.mark.parametrize("name", list(tables()))
def test_each_table_s_schema_has_its_fields_and_their_ranges(name: str) -> None:
    schema = schema_of(name)
    assert list(schema.columns) == list(tables()[name].fields)
    for field in tables()[name].fields.values():
        bounds = [bound for bound in (field.above, field.min, field.max) if bound is not None]
        assert len(schema.columns[field.name].checks) == len(bounds)


@pytest.mark.parametrize("name", list(tables()))
def test_the_examples_of_the_vocabulary_pass(name: str) -> None:
    fields = tables()[name].fields
    head, row = (" | ".join(part) for part in (fields, [field.example for field in fields.values()]))
    given = {name: f"| {head} |\n| {row} |"}
    jobs = {} if name == "jobs" else {"jobs": "| job_no | feet |\n| 1042 | 100 |"}
    assert check(**jobs, **given).findings.filter(severity="error")["message"].to_list() in ([], _ALONE.get(name))


_ALONE = {
    "pay": ["worker W07 is paid for 2025-11-02 to 2025-11-08, with no hours there"],
    "run_bulbs": ["shares of run 1 of job 1042 sum to 0.5, not 1"],
}
"""What the example of a table says where it stands alone."""


def test_a_failure_names_the_row_the_field_and_the_bound() -> None:
    table = tables()["runs"]
    rows = type_sheets(table, [sheet("runs", "| feet | spacing_in |\n| 50 | 12 |\n| 0 | 49 |\n| 2001 | 2 |")], "mdy")
    assert sorted(range_failures(Working.of(table, rows)).rows()) == [
        (1, "feet", "above 0"),
        (1, "spacing_in", "at most 48"),
        (2, "feet", "at most 2000"),
    ]


def test_every_kind_of_value_that_can_fail_says_what_was_expected() -> None:
    for table in tables().values():
        for field in table.fields.values():
            if field.kind not in ("code", "name", "text"):
                what, how = expectation(field)
                assert what.startswith("is n")
                assert how.startswith("write ")
    assert expectation(tables()["jobs"].fields["feet"]) == (
        "is not a length", "write feet as 120, 120 ft or 120' 6\""
    )  # fmt: skip


def _said(table: str, field: str, *cells: str) -> list[tuple[str, str]]:
    rows = "\n".join(f"| {number} | {cell} |" for number, cell in enumerate(cells, start=1))
    checked = check(**{table: f"| {tables()[table].key[-1] or 'job_no'} | {field} |\n{rows}"})
    found = checked.findings.filter(checked.findings["rule"] == f"{field}_can_be_read")
    return list(found.select("message", "remedy").iter_rows())


def test_an_error_of_the_spreadsheet_is_called_that() -> None:
    assert _said("jobs", "feet", "#N/A", "#REF!") == [
        ('"#N/A" is an error of the spreadsheet', "correct the formula, or write the value itself"),
        ('"#REF!" is an error of the spreadsheet', "correct the formula, or write the value itself"),
    ]


def test_a_slope_that_the_spreadsheet_took_for_a_day_is_told_so() -> None:
    assert _said("jobs", "slope", "2025-06-12") == [
        (
            '"2025-06-12" is a day, which the spreadsheet has made of what was typed, and is not a slope',
            "format the column as text and write the rise in 12 inches as 6/12, 6:12 or 6",
        )
    ]
