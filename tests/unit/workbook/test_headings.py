"""A table is recognised by its headings, whatever words the people who keep it use."""

from __future__ import annotations

import random

import pytest

from pipeline.vocabulary import tables
from pipeline.workbook.headings import column_letter, heading_unit, normalise_heading, recognise

TABLES = sorted(tables())


@pytest.mark.parametrize("table", TABLES)
def test_a_table_is_recognised_by_its_own_field_names(table: str) -> None:
    match, _ = recognise(list(tables()[table].fields))
    assert match is not None
    assert match.table.name == table


@pytest.mark.parametrize("table", TABLES)
def test_a_table_is_recognised_by_its_headings(table: str) -> None:
    match, other = recognise([field.heading for field in tables()[table].fields.values()])
    assert match is not None
    assert match.table.name == table
    assert other is None or other.score < match.score
    assert {name for _, name in match.columns} == set(tables()[table].fields)


@pytest.mark.parametrize("table", [name for name in TABLES if name != "settings"])
@pytest.mark.parametrize("seed", range(8))
def test_a_table_is_recognised_by_other_words_for_half_of_its_fields(table: str, seed: int) -> None:
    rng = random.Random(seed)
    headings = []
    for field in tables()[table].fields.values():
        others = [word for word in field.also if normalise_heading(word) not in map(normalise_heading, headings)]
        headings.append(rng.choice(others) if others and rng.random() < 0.5 else field.heading)
    match, other = recognise(headings)
    assert match is not None
    assert match.table.name == table
    assert other is None or other.score < match.score


def test_case_punctuation_line_breaks_and_units_do_not_matter() -> None:
    assert normalise_heading("Job\nNo.") == normalise_heading("job #") == normalise_heading("JOB NUMBER") == "job no"
    assert normalise_heading("Length (ft)") == "length"


def test_the_unit_in_a_heading_is_kept() -> None:
    assert heading_unit("Hours [min]") == "min"
    assert heading_unit("Length (IN)") == "in"
    assert heading_unit("Length") is None


def test_columns_are_lettered_as_a_spreadsheet_letters_them() -> None:
    assert [column_letter(i) for i in (0, 25, 26, 701, 702)] == ["A", "Z", "AA", "ZZ", "AAA"]


def test_a_row_of_words_that_are_no_headings_is_not_taken_for_any_table() -> None:
    assert recognise(["Buy milk", "Call the landlord", "Oil the gate"]) == (None, None)
