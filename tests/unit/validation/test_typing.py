"""Columns of text as typed values."""

from __future__ import annotations

import random
from decimal import Decimal

import polars as pl
import pytest
from support.intake import sheet

from pipeline.validation.typing import DECIMAL, MANY_TEXTS, Working, fold, respell, spellings, type_sheets, words_of
from pipeline.vocabulary import tables


def column(texts: list[str], heading: str = "invoiced") -> pl.Series:
    rows = "\n".join(f"| {text} |" for text in texts)
    return type_sheets(tables()["jobs"], [sheet("jobs", f"| {heading} |\n{rows}")], "mdy")[heading.partition(" [")[0]]


def test_many_numbers_cast_together_are_the_numbers_read_one_by_one() -> None:
    rng = random.Random(7)
    forms = ("{}", "{}.{:02d}", "${}", "{}.{:012d}", "{}.{:013d}", "0{}", "{:,}", "~{}", "{}.")
    texts = [rng.choice(forms).format(rng.randrange(10**6), rng.randrange(99)) for _ in range(3 * MANY_TEXTS)]
    together = column(texts).to_list()
    one_by_one = [column([text])[0] for text in texts[:200]]
    assert together[:200] == one_by_one


def test_a_column_of_many_distinct_numbers_is_exact() -> None:
    texts = [f"{number}.{number % 100:02d}" for number in range(MANY_TEXTS + 1)]
    read = column(texts)
    assert read.dtype == DECIMAL
    assert read.to_list() == [Decimal(text) for text in texts]


def test_numbers_too_large_for_a_record_cannot_be_read() -> None:
    assert column(["9999999999999", "10000000000000", "9" * 30]).to_list() == [Decimal("9999999999999"), None, None]


def test_a_column_that_is_not_there_is_null_in_its_own_type() -> None:
    frame = type_sheets(tables()["jobs"], [sheet("jobs", "| job_no |\n| 1 |")], "mdy")
    assert frame["quoted"].to_list() == [None]
    assert frame.schema["quoted"] == DECIMAL
    assert frame.schema["takedown_date"] == pl.Date


def test_a_cell_that_holds_something_and_reads_as_nothing_is_unread() -> None:
    table = tables()["jobs"]
    rows = type_sheets(table, [sheet("jobs", "| job_no | feet | slope |\n| 1 | 12O | |\n| 2 | 5 | steep |")], "mdy")
    assert Working.of(table, rows).unread.rows() == [(0, "feet"), (1, "slope")]


@pytest.mark.parametrize(
    ("one", "other"), [("Red Maple", "red-maple"), ("W07", "w 07"), ("C_9", "c9"), ("Élan", "ÉLAN")]
)
def test_names_that_differ_in_case_spaces_or_punctuation_are_one(one: str, other: str) -> None:
    assert fold(one) == fold(other)


@pytest.mark.parametrize(("one", "other"), [("Élan", "lan"), ("#", "-"), ("W1", "W11")])
def test_names_that_differ_in_more_are_two(one: str, other: str) -> None:
    assert fold(one) != fold(other)


def test_a_name_is_spelled_as_its_own_table_spells_it_else_as_most_do() -> None:
    jobs = type_sheets(tables()["jobs"], [sheet("jobs", "| job_no | crew |\n| 1 | Maple |")], "mdy")
    hours = type_sheets(
        tables()["hours"], [sheet("hours", "| crew |\n| MAPLE |\n| MAPLE |\n| yard |\n| Yard |\n| Yard |")], "mdy"
    )
    spelled = spellings({"jobs": jobs, "hours": hours})
    assert respell(tables()["hours"], hours, spelled)["crew"].to_list() == ["Maple", "Maple", "Yard", "Yard", "Yard"]
    assert hours["raw:crew"].to_list()[0] == "MAPLE"


def test_no_word_of_a_choice_stands_for_two() -> None:
    for table in tables().values():
        for field in table.fields.values():
            if field.kind == "choice":
                words = words_of(table.name, field.name)
                for choice in field.allowed:
                    for word in (choice, *(field.words or {}).get(choice, ())):
                        assert words[fold(word)] == choice, f"{table.name}.{field.name}: {word}"
