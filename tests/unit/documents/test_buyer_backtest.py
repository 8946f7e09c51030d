"""What the buyer reads of orders of seasons that are over."""

from __future__ import annotations

from typing import Any

import polars as pl
import pytest
from support.made_results import SEASON, made_results, made_tables

from pipeline.documents.buyer_backtest import backtest_section
from pipeline.documents.model import Note, Section, Table

USED = {"used": 200.0, "pinball_p10": 20.0, "pinball_p50": 10.0, "pinball_p90": 4.0}


def trial(rule: str, cost: float, of_season: int = SEASON, **more: Any) -> dict[str, Any]:
    chance = 0.25 if rule == "advised" else None
    return {
        "season": SEASON + 1, "of_season": of_season, "item_no": "LL12", "rule": rule, "cost_usd": cost,
        "lost_usd": cost - 900, "short": 0.0, "chance_short": chance, **USED, **more,
    }  # fmt: skip


def section(rows: list[dict[str, Any]], *notes: str) -> Section:
    tables = {**made_tables(), "decisions.order_backtest": pl.DataFrame(rows)}
    return backtest_section(made_results(tables=tables, notes={"backtest": list(notes)}))


def sentence(rows: list[dict[str, Any]]) -> str:
    return str(next(block.text for block in section(rows).blocks if isinstance(block, Note)))


def three(*costs: float, **more: Any) -> list[dict[str, Any]]:
    return [
        trial(rule, cost, **more)
        for rule, cost in zip(("advised", "last_year_plus_10", "last_year"), costs, strict=True)
    ]


def test_the_advised_order_is_set_against_both_rules_whichever_was_dearer() -> None:
    assert sentence(three(1000, 1200, 950)).replace("\N{NO-BREAK SPACE}", " ") == (
        "In the one season that can be tried the advised order would have cost $1,000 in the end, $200 less than last "
        "season's use and 10 % and $50 more than last season's use. Of 1 item 0 would have run short; by "
        "the chances given, 0.25 were to be expected."
    )


def test_a_difference_of_nothing_is_no_amount() -> None:
    assert "in the end, as much as last season's use and 10" in sentence(three(1000, 1000.2, 950))


def test_several_seasons_are_summed() -> None:
    found = section(three(1000, 1200, 950) + three(500, 700, 800, of_season=SEASON - 1, short=3.0))
    tables = [block for block in found.blocks if isinstance(block, Table)]
    rows = {row.key: row.cells for row in tables[0].rows}
    assert len(rows) == 9
    both = rows["none.advised"]
    # 1,000 + 500; 100 - 400; two items, one of them short; .25 + .25.
    assert [float(cell) for cell in both[2:]] == pytest.approx([1500, -300, 2, 1, 0.5])  # type: ignore[arg-type]
    # 20/200, 10/200, 4/200.
    assert [float(cell) for cell in tables[1].rows[0].cells[1:]] == pytest.approx([0.1, 0.05, 0.02])  # type: ignore[arg-type]


def test_without_two_seasons_it_says_so() -> None:
    found = section([], "That takes two seasons in a row.")
    assert [str(block.text) for block in found.blocks if isinstance(block, Note)] == [
        "That takes two seasons in a row."
    ]
