"""Next season's cash by month, worked by hand."""

from __future__ import annotations

from datetime import date

import polars as pl
import pytest

from pipeline.decisions.cash import PLAN, cash_plan
from pipeline.settings import Settings


def months(**changes: list[float | None]) -> pl.DataFrame:
    """A season with money in June, November and May alone."""
    given = {
        "received_usd": [0, 900, 100], "pay_usd": [0, 400, 0], "goods_usd": [200, 0, 0], "road_usd": [0, 30, 0],
        "overhead_usd": [10, 10, 10],
    } | changes  # fmt: skip
    return pl.DataFrame({"month": [date(2025, 6, 1), date(2025, 11, 1), date(2026, 5, 1)], **given}, strict=False)


def orders(*lines: tuple[float, date | None]) -> pl.DataFrame:
    schema = {"amount_usd": pl.Float64, "order_by": pl.Date}
    return pl.DataFrame(lines, schema=schema, orient="row")


def test_the_plan_is_this_season_a_year_later_with_the_rises_and_the_order_in_its_month() -> None:
    settings = Settings.from_pairs([("rise_labor", "0.10"), ("rise_other", "0.05")])
    found = cash_plan(
        months(), orders((150, date(2026, 6, 15)), (50, None), (70, date(2026, 11, 2))), settings, season=2025
    )
    assert found["month"].to_list() == [date(2026, 6, 1), date(2026, 11, 1), date(2027, 5, 1)]
    # June: 150 and the line without a last day, 200; overhead 10 x 1.05. November: 900 - 440 - 70 - 31.5 - 10.5 = 348.
    assert found["goods_usd"].to_list() == [200, 70, 0]
    assert found["pay_usd"].to_list() == pytest.approx([0, 440, 0])
    assert found["net_usd"].to_list() == pytest.approx([-210.5, 348, 89.5])
    assert found["running_usd"].to_list() == pytest.approx([-210.5, 137.5, 227])


def test_a_last_day_outside_the_season_lies_in_its_first_or_last_month() -> None:
    early_and_late = orders((40, date(2026, 3, 1)), (60, date(2027, 8, 1)))
    assert cash_plan(months(), early_and_late, Settings(), season=2025)["goods_usd"].to_list() == [40, 0, 60]


def test_without_an_order_goods_are_this_season_s_with_their_rise() -> None:
    settings = Settings.from_pairs([("rise_goods", "0.05")])
    assert cash_plan(months(), orders(), settings, season=2025)["goods_usd"].to_list() == pytest.approx([210, 0, 0])
    unknown = months(goods_usd=[None, None, None])
    assert cash_plan(unknown, orders(), settings, season=2025)["goods_usd"].to_list() == [0, 0, 0]


def test_without_receipts_nothing_is_planned() -> None:
    assert cash_plan(months().clear(), orders((40, None)), Settings(), season=2025).schema == pl.Schema(PLAN)
