"""A table is recognised by its headings, whatever words the people who keep it use."""

from __future__ import annotations

import random

import pytest

from pipeline.vocabulary import tables
from pipeline.workbook.headings import normalise_heading
from pipeline.workbook.recognising import columns_of, recognise

TABLES = sorted(tables())
GENERIC = {"date", "kind", "amount", "job no", "job", "branch", "office", "depot", "location"}
"""Words that equipment and receipts share: with these alone nobody could tell the two apart."""


@pytest.mark.parametrize("table", TABLES)
def test_a_table_is_recognised_by_its_own_field_names(table: str) -> None:
    verdict = recognise(list(tables()[table].fields))
    assert verdict is not None
    assert (verdict.match.table.name, verdict.problem) == (table, None)


@pytest.mark.parametrize("table", TABLES)
def test_a_table_is_recognised_by_its_headings_and_every_field_gets_its_own_column(table: str) -> None:
    fields = list(tables()[table].fields.values())
    verdict = recognise([field.heading for field in fields])
    assert verdict is not None
    assert (verdict.match.table.name, verdict.problem) == (table, None)
    assert verdict.match.columns == tuple((place, field.name) for place, field in enumerate(fields))


@pytest.mark.parametrize("share", [0.3, 0.6, 1.0])
@pytest.mark.parametrize("table", TABLES)
def test_a_table_is_recognised_by_other_words_in_any_order(table: str, share: float) -> None:
    for seed in range(25):
        rng = random.Random(seed)
        headings: list[str] = []
        for field in tables()[table].fields.values():
            if not field.required and table != "workers" and rng.random() < 0.4:
                continue
            used = {normalise_heading(heading) for heading in headings}
            others = [word for word in field.also if normalise_heading(word) not in used]
            headings.append(rng.choice(others) if others and rng.random() < share else field.heading)
        rng.shuffle(headings)
        verdict = recognise(headings)
        assert verdict is not None, headings
        if {normalise_heading(heading) for heading in headings} <= GENERIC:
            assert verdict.problem is not None, headings
        else:
            assert (verdict.match.table.name, verdict.problem) == (table, None), headings


@pytest.mark.parametrize("table", TABLES)
def test_a_table_without_one_of_its_required_columns_is_never_silently_another(table: str) -> None:
    fields = tables()[table].fields
    for left_out in tables()[table].required:
        verdict = recognise([field.heading for name, field in fields.items() if name != left_out])
        if verdict is not None:
            assert verdict.problem is not None, f"{table} without {left_out} was taken for {verdict.match.table.name}"


def test_two_tables_that_fit_alike_are_a_problem_with_a_remedy_and_not_a_guess() -> None:
    verdict = recognise(["Date", "Kind", "Amount"])
    assert verdict is not None
    assert verdict.problem == (
        "its headings fit receipts and equipment alike; rename one of them, to 'Received' for receipts or to "
        "'Use date' for equipment."
    )


def test_a_list_of_goods_issued_without_its_direction_is_not_taken_for_a_stock_count() -> None:
    verdict = recognise(["Job", "Item", "Qty", "Date"])
    assert verdict is not None
    assert verdict.problem is not None
    assert verdict.problem.startswith("it looks like materials but has no column for which way the goods went")


def test_an_exact_name_beats_another_word_and_each_column_is_used_once() -> None:
    row = ["Job", "Run", "Surface", "Length", "Feet", "Spacing", "Line", "Bulb"]
    verdict = recognise(row)
    assert verdict is not None
    columns, left_out = columns_of(row, verdict.match)
    assert {column.field: column.heading for column in columns}["feet"] == "Feet"
    assert [(left.heading, left.why) for left in left_out] == [("Length", "'Feet' was taken for feet")]


def test_a_word_of_two_fields_goes_where_the_other_column_leaves_room() -> None:
    # In items `pack` may be the pack's size; with "Spool size" for that, no other field is left for it.
    row = ["Item", "Type", "Unit", "Spool size", "Pack", "Price"]
    verdict = recognise(row)
    assert verdict is not None
    assert verdict.match.table.name == "items"
    columns, left_out = columns_of(row, verdict.match)
    assert [column.field for column in columns] == ["item_no", "kind", "unit", "pack_size", "pack_price"]
    assert [left.letter for left in left_out] == ["E"]


def test_names_addresses_and_phones_are_left_out_as_personal_data() -> None:
    row = ["Date", "Crew", "Employee", "Employee name", "Hours", "Customer address", "Phone #", "E-mail", "Mood"]
    verdict = recognise(row)
    assert verdict is not None
    _, left_out = columns_of(row, verdict.match)
    assert [(left.letter, left.why) for left in left_out] == [
        ("D", "personal data"),
        ("F", "personal data"),
        ("G", "personal data"),
        ("H", "personal data"),
        ("I", "not a heading of this table"),
    ]


def test_a_row_of_words_that_are_no_headings_is_not_taken_for_any_table() -> None:
    assert recognise(["Buy milk", "Call the landlord", "Oil the gate"]) is None


def test_two_known_words_among_many_others_are_not_taken_for_a_table() -> None:
    assert recognise(["Item", "Count", "Aisle", "Shelf", "Bin", "Checked by", "Remark"]) is None
