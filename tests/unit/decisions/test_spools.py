"""Which spools to cut from."""

from __future__ import annotations

from decimal import Decimal
from math import inf

import polars as pl
import pytest
from support.season_frames import SEASON, items, offers, shuffled

from pipeline.decisions.spools import SCHEMA, Spool, first_fit_decreasing, pieces, plan_cost, price_at, spool_plan

NO_OFFERS = offers([{}]).clear()


def test_the_longest_pieces_are_cut_first_each_from_the_first_spool_that_holds_it() -> None:
    """60 opens a spool, 50 another, 40 fills the first, 30 and 20 the second."""
    assert first_fit_decreasing([20, 30, 40, 50, 60], 100) == pytest.approx([100, 100])


def test_a_run_longer_than_a_spool_is_cut_into_spools_and_a_rest() -> None:
    assert pieces([250, 100, 40], 100) == [100, 100, 50, 100, 40]


def test_a_price_counts_from_its_fewest_spools_on() -> None:
    bought = [Spool(100, 12), Spool(100, 10, 5)]
    assert [price_at(number, 100, bought) for number in (1, 4, 5)] == [12, 12, 10]
    assert price_at(1, 250, bought) == inf


def test_the_last_spool_is_swapped_for_a_smaller_one_that_is_cheaper() -> None:
    """240 ft from spools of 100 at $10: two full ones and 40 ft, which a spool of 50 at $6 holds: $26 for $30."""
    counts, cost = plan_cost([60, 40, 50, 50, 40], [Spool(50, 6), Spool(100, 10)])
    assert counts == {100: (2, pytest.approx(200)), 50: (1, pytest.approx(40))}
    assert cost == 26


def test_a_quantity_price_is_not_paid_for_by_fewer() -> None:
    """Two spools at the price of from five cannot be had: $24, not $20; alone on offer there is no plan."""
    assert plan_cost([90, 90], [Spool(100, 12), Spool(100, 10, 5)])[1] == 24
    assert plan_cost([90, 90], [Spool(100, 10, 5)])[1] == inf


def test_no_plan_costs_less_than_the_feet_at_the_cheapest_price() -> None:
    lengths = [37.5, 61, 12, 88, 45, 45, 70.25, 19]
    for bought in ([Spool(100, 10)], [Spool(100, 10), Spool(250, 21)], [Spool(50, 7), Spool(1000, 80)]):
        counts, cost = plan_cost(lengths, bought)
        assert cost >= sum(lengths) * min(s.price_usd / s.size_ft for s in bought)
        assert sum(feet for _, feet in counts.values()) == pytest.approx(sum(lengths))


def planned(need: float, on_hand: float = 0.0, offered: pl.DataFrame = NO_OFFERS) -> tuple[pl.DataFrame, list[str]]:
    runs = pl.DataFrame({"branch": "main", "job_no": ["1", "1", "2"], "run_no": ["1", "2", "1"], "line_item": "LL",
                         "feet": [Decimal(60), Decimal(40), Decimal(30)]})  # fmt: skip
    jobs = pl.DataFrame({"branch": "main", "job_no": ["1", "2"], "work": ["new", "repeat"]})
    order = pl.DataFrame({"item_no": ["LL"], "kind": ["light_line"], "need_p50": [need], "on_hand": [on_hand]})
    frame, notes = spool_plan(shuffled(runs), jobs, items([{}]), offered, order, season=SEASON)
    assert frame.schema == pl.Schema(SCHEMA)
    return frame, notes


def test_runs_of_new_jobs_are_repeated_to_the_middle_need_less_stock() -> None:
    """60 and 40 ft repeated to 230: 60 40 60 40 30. Spools of 100 at $10: 60 + 40, 60 + 40, 30; the bound is $23."""
    row = planned(250, 20)[0].row(0, named=True)
    assert (row["season"], row["item_no"], row["spools"], row["feet"]) == (SEASON + 1, "LL", 3, pytest.approx(230))
    assert (row["offcut_ft"], row["plan_usd"], row["bound_usd"]) == pytest.approx((70, 30, 23))


def test_stock_that_covers_the_need_needs_no_spools() -> None:
    frame, notes = planned(200, 200)
    assert frame.is_empty()
    assert "covers the middle need" in notes[0]


def test_no_order_or_no_runs_is_a_reason_and_no_plan() -> None:
    empty = pl.DataFrame(schema={"item_no": pl.String, "kind": pl.String})
    frame, notes = spool_plan(empty, empty, items([{}]), NO_OFFERS, empty, season=SEASON)
    assert frame.is_empty()
    assert len(notes) == 1
