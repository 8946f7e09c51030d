"""The owner's table of what is missing and what it would change."""

from __future__ import annotations

from typing import Any

import polars as pl
import pytest
from support.made_results import SEASON, made_results

from pipeline.documents.model import Block, Table
from pipeline.documents.owner_missing import MOST_ROWS, missing_costs
from pipeline.documents.results import Results


def lacking(thing: str, about: str | None, low: float | None, high: float | None) -> dict[str, Any]:
    return {
        "season": SEASON, "thing": thing, "about": about, "quantity": 10.0, "unit": "h", "feet": 1000.0,
        "low_usd": low, "high_usd": high,
        "low_usd_per_ft": None if low is None else low / 1000, "high_usd_per_ft": None if high is None else high / 1000,
    }  # fmt: skip


def told(*records: dict[str, Any]) -> tuple[Block, ...]:
    made = made_results()
    frame = pl.DataFrame(records, infer_schema_length=None)
    return missing_costs(Results(SEASON, made.firm, 4, {"measures.missing_costs": frame}, made.settings))


def shown(*records: dict[str, Any]) -> Table:
    (table,) = told(*records)
    assert isinstance(table, Table)
    return table


def test_the_dearest_is_said_first_and_what_cannot_be_estimated_last() -> None:
    table = shown(
        lacking("price", "T1", None, None),
        lacking("owner_wage", None, 20.0, 20.0),
        lacking("state_unemployment", None, 5.0, 35.0),
        lacking("compensation", None, 1.0, 1.0),
    )
    assert [row.cells[0] for row in table.rows] == [
        "the state's unemployment rate",
        "the owner's wage",
        "the rate of workers' compensation of workers without a role",
        "the price of T1",
    ]
    assert [row.cells[-2] for row in table.rows] == [0.005, 0.02, 0.001, None]
    assert [row.cells[-1] for row in table.rows] == [0.035, 0.02, 0.001, None]
    assert "in no figure of cost" in str(table.note)


@pytest.mark.parametrize(("found", "rows", "says"), [(MOST_ROWS, MOST_ROWS, False), (MOST_ROWS + 1, MOST_ROWS, True)])
def test_more_rows_than_are_shown_are_said_to_be_in_the_store(found: int, rows: int, says: bool) -> None:
    table = shown(*(lacking("price", f"I{number:02d}", 1.0, 1.0) for number in range(found)))
    assert len(table.rows) == rows
    assert ("dearest are shown" in str(table.note)) is says


def test_nothing_missing_is_no_table() -> None:
    assert missing_costs(made_results()) == ()
