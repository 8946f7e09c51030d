"""The data dictionary's words, from the one description."""

from __future__ import annotations

import pytest

from pipeline.dictionary import HOW_TO_WRITE, bounds, default, describe, sheet_title
from pipeline.vocabulary import KINDS, tables


def test_every_kind_says_how_it_is_written() -> None:
    assert HOW_TO_WRITE.keys() == KINDS.keys()


@pytest.mark.parametrize(
    ("table", "field", "said"),
    [
        ("runs", "feet", "above 0 and at most 2000 ft"),
        ("jobs", "stories", "at least 1 and at most 4"),
        ("jobs", "invoiced", "at least 0 usd"),
        ("jobs", "crew", ""),
        ("items", "lead_days", "at least 0 and at most 400 days"),
    ],
)
def test_bounds_are_said_with_their_unit(table: str, field: str, said: str) -> None:
    assert bounds(tables()[table].fields[field]) == said


def test_a_blank_cell_stands_for_a_value_or_for_what_is_worked_out() -> None:
    jobs = tables()["jobs"].fields
    assert default(jobs["branch"]) == "main"
    assert default(jobs["feet"]) == "the sum of the job's runs"
    assert default(jobs["quoted"]) == ""


def test_a_choice_is_described_whole() -> None:
    assert describe(tables()["hours"].fields["task"]) == (
        "What was done.",
        "Kind: one of a list of words.",
        "Write one of the words below.",
        "Words: prep, drive, install, service, takedown, storage, other_work, shop, training, weather.",
        "Where it is left blank: install.",
        "Example: install",
    )


def test_a_field_of_another_sheet_says_which_and_that_it_is_needed() -> None:
    said = describe(tables()["runs"].fields["line_item"])
    assert "It stands on the sheet Items too." in said
    assert "Needed in every row." in said


def test_a_table_s_title_is_written_as_a_person_would() -> None:
    assert sheet_title("service_calls") == "Service calls"
