"""Sentences are right at none, one and many, and claim no more than is known."""

from __future__ import annotations

import polars as pl
import pytest
from hypothesis import given
from hypothesis import strategies as st
from support.grammar import faults, paragraphs
from support.made_results import made_results, made_tables

from pipeline.documents import build_documents
from pipeline.documents.build import counted, listed
from pipeline.documents.model import Figure, Source
from pipeline.documents.wording import change_words, more_or_less

PLACES = {"season", "base_season", "later_season", "built_season", "line", "place", "source_row", "month"}
"""Whole numbers that name a place and count nothing."""


def figure(value: float, form: str = "percent", low: float | None = None, high: float | None = None) -> Figure:
    return Figure("f", "f", value, form, "", "f", Source("t"), low, high)


@pytest.mark.parametrize(
    "wrong",
    ["1 jobs lost money.", "4 job lost money.", "1 job are open.", "2 jobs is open.", "Of  two", "It cost None.",
     "It fell (by 3 %.", "It fell by 3 %..", "It fell .", "0.1234567 h"],
)  # fmt: skip
def test_the_rules_see_what_is_wrong(wrong: str) -> None:
    assert faults(wrong)


@pytest.mark.parametrize(
    "right",
    [
        "1 job lost money.",
        "0 jobs lost money.",
        "2 jobs are open.",
        "Job 1 is open.",
        "At $1 less.",
        "29 CFR 1926.501(b)(1).",
    ],
)
def test_the_rules_leave_what_is_right(right: str) -> None:
    assert not faults(right)


def check(tables: dict[str, pl.DataFrame], why: str) -> None:
    for document in build_documents(made_results(tables=tables)):
        for text in paragraphs(document):
            assert not faults(text), (why, document.name, text, faults(text))


def test_every_sentence_of_a_whole_season_is_right() -> None:
    check(made_tables(), "whole")


@pytest.mark.parametrize("name", sorted(made_tables()))
def test_every_sentence_is_right_where_a_table_has_one_row(name: str) -> None:
    tables = made_tables()
    check(tables | {name: tables[name].head(1)}, f"one row of {name}")


@pytest.mark.parametrize("count", [0, 1])
@pytest.mark.parametrize("name", sorted(made_tables()))
def test_every_sentence_is_right_where_all_counts_of_a_table_are_none_or_one(name: str, count: int) -> None:
    tables = made_tables()
    frame = tables[name]
    counts = [c for c, kind in frame.schema.items() if kind.is_integer() and c not in PLACES]
    if counts:
        changed = frame.with_columns(pl.lit(count, dtype=frame.schema[c]).alias(c) for c in counts)
        check(tables | {name: changed}, f"counts of {name} are {count}")


ENDS = st.floats(-0.9, 3).map(lambda x: round(x, 3))


@given(values=st.tuples(ENDS, ENDS, ENDS), sure=st.booleans())
def test_a_change_is_claimed_only_where_it_is_sure(values: tuple[float, float, float], *, sure: bool) -> None:
    low, value, high = sorted(values)
    text = change_words("on equal houses the crews took", "hours", figure(abs(value), low=low, high=high),
                        more=value >= 0, sure=sure)  # fmt: skip
    said = str(text)
    assert not faults(said), said
    assert ("cannot be told" in said) != sure
    assert ("more than chance" in said) == sure
    assert said[0].isupper()
    assert said.endswith(".")


@given(st.sampled_from([0, 1, -1, 40, -2500]))
def test_an_amount_is_more_less_or_as_much(change: int) -> None:
    said = str(more_or_less(figure(abs(change), "usd"), change, "in 2024/25"))
    wanted = "as much as in" if not change else "more than in" if change > 0 else "less than in"
    assert wanted in said
    assert not faults(said)


@given(st.integers(0, 3))
def test_a_counted_thing_is_one_or_many(count: int) -> None:
    said = str(counted(figure(count, "count"), "property", "properties"))
    assert said == f"{count} {'property' if count == 1 else 'properties'}"


@given(st.lists(st.sampled_from(["a", "b", "c", "d"]), max_size=4))
def test_a_list_has_commas_and_one_and(words: list[str]) -> None:
    said = listed(words)
    assert said.count(" and ") == (len(words) > 1)
    assert said.count(",") == max(0, len(words) - 2)
