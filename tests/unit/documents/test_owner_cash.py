"""Cash over the year in the owner's report."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import polars as pl
from support.made_results import SEASON, made_results

from pipeline.documents.model import Chart, Note, Section, Table
from pipeline.documents.owner_cash import cash_sections


def record(season: int, month: int, net: float, running: float, goods: float | None = 10.0) -> dict:
    return {
        "season": season, "month": date(season, month, 1), "received_usd": 500.0, "pay_usd": 100.0,
        "goods_usd": goods, "road_usd": 5.0, "overhead_usd": 20.0, "net_usd": net, "running_usd": running,
    }  # fmt: skip


def sections(months: list[dict], plan: list[dict]) -> tuple[Section, ...]:
    results = made_results()
    tables = {"measures.cash_months": pl.DataFrame(months), "decisions.cash_plan": pl.DataFrame(plan)}
    return cash_sections(replace(results, tables=results.tables | tables))


def test_the_lowest_month_s_end_says_what_must_be_at_hand() -> None:
    now = [record(SEASON, 6, -300, -300), record(SEASON, 7, -50, -350), record(SEASON, 8, 900, 550)]
    plan = [record(SEASON + 1, 6, -800, -800), record(SEASON + 1, 7, 900, 100)]
    (section,) = sections(now, plan)
    said = [str(block.text) for block in section.blocks if isinstance(block, Note)]
    assert said[0] == f"At its lowest, at the end of July {SEASON}, $350 more had gone out than had come in since June."
    assert said[1] == (
        "Were the next season like this one, with the order paid on its last day, $800 would have to be at hand beside "
        f"what comes in, most of all at the end of June {SEASON + 1}."
    )
    (chart,) = [block for block in section.blocks if isinstance(block, Chart)]
    assert [point.role for point in chart.series[0].points] == ["bad", "good"]


def test_a_year_that_pays_its_own_way_is_said_so() -> None:
    (section,) = sections([record(SEASON, 6, 300, 300)], [record(SEASON + 1, 6, 10, 10)])
    said = [str(block.text) for block in section.blocks if isinstance(block, Note)]
    assert said[0] == "At no month's end had more gone out than had come in since June."
    assert said[1].endswith("it would pay its own way.")


def test_what_was_not_handed_in_is_said_and_has_no_column() -> None:
    (section,) = sections([record(SEASON, 6, 300, 300, goods=None)], [])
    (table,) = [block for block in section.blocks if isinstance(block, Table)]
    assert "goods_usd" not in [column.key for column in table.columns]
    assert any("No purchases were handed in" in str(block.text) for block in section.blocks if isinstance(block, Note))
    assert sections([], []) == ()
