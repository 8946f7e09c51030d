"""Break-even losses of a season's own jobs, worked by hand."""

from __future__ import annotations

import polars as pl
import pytest

from pipeline.decisions.break_even import break_even, next_direct_costs
from pipeline.decisions.policy import TRIED_RISES
from pipeline.decisions.price_ahead import Ahead, factors_of
from pipeline.settings import Settings

JOBS = pl.DataFrame(
    {
        "work": ["new", "repeat"], "has_own_hours": [True, True], "feet": [100.0, 200.0],
        "invoiced_usd": [900.0, 1100.0],
        "labor_usd": [300.0, 350.0], "materials_usd": [100.0, 50.0], "travel_usd": [20.0, 20.0],
        "equipment_usd": [10.0, 10.0], "service_usd": [20.0, 20.0], "overhead_usd": [150.0, 150.0],
        "total_usd": [600.0, 600.0],
    }
)  # fmt: skip


def test_what_a_job_leaves_is_its_charge_less_its_direct_cost() -> None:
    # All: charged 2,000, direct cost 900: .55 is left. At 10 % more: .10 / .65 = .1538 may be lost.
    # New: 900 less 450 leaves .5: .10 / .60 = 1/6. Repeat: 1,100 less 450 leaves 650 / 1,100: .1 / .690909 = .144737.
    found = break_even(JOBS, season=2025)
    tenth = found.filter(pl.col("rise") == 0.1)
    assert tenth["work"].to_list() == ["all", "new", "repeat"]
    assert tenth["lose_share"].to_list() == pytest.approx([0.1 / 0.65, 1 / 6, 0.144737], abs=1e-6)
    assert tenth["price_usd_per_ft"].to_list() == pytest.approx([2000 / 300 * 1.1, 9.9, 6.05])
    assert found.height == 3 * len(TRIED_RISES)
    assert set(found["season"]) == {2026}


def test_work_that_leaves_nothing_has_no_break_even() -> None:
    lost = JOBS.with_columns(invoiced_usd=pl.Series([400.0, 1100.0]))
    assert set(break_even(lost, season=2025)["work"]) == {"all", "repeat"}
    # 460 charged and 450 spent leave 2.2 %: after a cut of 5 % nothing would be left, so that row is not there.
    thin = JOBS.with_columns(invoiced_usd=pl.Series([460.0, 1100.0]))
    assert break_even(thin, season=2025).filter(pl.col("work") == "new")["rise"].min() == 0.02


def test_hours_that_are_spread_by_feet_do_not_tell_work_apart() -> None:
    spread = JOBS.with_columns(has_own_hours=pl.lit(False))
    assert set(break_even(spread, season=2025)["work"]) == {"all"}
    assert set(next_direct_costs(spread, factors_of(spread, Settings(), Ahead()))) == {"all"}


def test_next_season_s_direct_cost_has_the_rises_of_the_settings() -> None:
    # New work: (300 + 20) x 1.1 + 100 x 1.05 + 20 + 10 = 487 over 100 ft; overhead is no part of it. Where half of all
    # goods stand already they rise by half as much: 484.50.
    settings = Settings.from_pairs([("rise_labor", "0.10"), ("rise_goods", "0.05")])
    assert next_direct_costs(JOBS, factors_of(JOBS, settings, Ahead()))["new"] == pytest.approx(4.87)
    standing = factors_of(JOBS, settings, Ahead(settled_usd=75))
    assert next_direct_costs(JOBS, standing)["new"] == pytest.approx(4.845)
