"""Which spools to buy for next season, and how well the season's own lines were cut."""

from __future__ import annotations

from datetime import date
from decimal import Decimal
from typing import Any

import polars as pl
import pytest
from support.season_frames import (
    SEASON,
    closing_stock,
    item_use,
    items,
    job_items,
    offers,
    property_seasons,
    settings,
)

from pipeline.decisions.demand import Records, next_season
from pipeline.decisions.policy import CUT_DRAWS, LEAST_REMNANT_FT
from pipeline.decisions.reorder import Order, place_order
from pipeline.decisions.spools import SCHEMA, spool_plan
from pipeline.decisions.spools_line import kept_and_lost, on_spool, split_long, to_feet, to_sockets
from pipeline.decisions.spools_lists import CutList
from pipeline.decisions.spools_season import LIST_SCHEMA, OFFCUT_SCHEMA, best_cutting
from pipeline.statistics.cutting_purchase import Stock
from pipeline.statistics.cutting_stock import cut_stock

NO_OFFERS = offers([{}]).clear()


def test_a_piece_is_cut_behind_a_socket_and_a_spool_holds_whole_ones() -> None:
    """30 ft 4 in at 9 in is 40.4 sockets, cut as 41 of 30 ft 9 in; 500 ft hold 666.7 of them, 666."""
    assert to_sockets(30 + 1 / 3, 9) == 41
    assert to_feet(41, 9) == 30.75
    assert on_spool(500, 9) == 666
    assert (to_sockets(30, 12), to_sockets(30.0000001, 12), on_spool(99.99999999, 12)) == (30, 30, 100)


def test_a_run_longer_than_a_spool_is_cut_into_spools_and_a_rest() -> None:
    assert split_long([250, 100, 40], 100) == [100, 100, 50, 100, 40]


def test_what_is_left_over_is_kept_from_a_stated_length_on() -> None:
    """Spools of 50 with 40 and 41 cut from them leave 10 and 9: ten feet are kept, nine are lost."""
    assert LEAST_REMNANT_FT == 10
    assert kept_and_lost(cut_stock({40: 1, 41: 1}, [Stock(50, 5)]), 12) == (10, 9)


def test_stock_goes_to_what_has_no_length_of_its_own_and_then_to_the_shortest_runs() -> None:
    """25 on hand: 10 for replacements, then 6 of the 15 that are left; the run of 12 does not fit into 9."""
    assert CutList((6, 12, 40), 10).beyond(25) == CutList((12, 40), 0)
    assert CutList((6, 12, 40), 30).beyond(25) == CutList((6, 12, 40), 5)


def test_what_cannot_be_cut_from_spools_is_what_finds_no_room_and_what_the_rest_has_not_left() -> None:
    assert CutList((60, 60), 80).missing([100, 100]) == 0
    assert CutList((60, 60), 81).missing([100, 100]) == 1
    assert CutList((60, 60, 60), 0).missing([100, 100]) == 60
    assert (CutList((60, 60, 60), 30).missing([100, 100]), CutList((60, 60, 60), 30).short([100, 100])) == (60, 10)
    assert (CutList((60,), 5).missing([]), CutList((60,), 5).short([])) == (65, 65)


def test_a_run_longer_than_the_spools_is_joined_from_whole_ones_and_a_rest() -> None:
    """250 on three of 100: two whole ones and 50, and 50 are left for the rest."""
    assert CutList((250,), 50).missing([100] * 3) == 0
    assert CutList((250,), 51).missing([100] * 3) == 1


NO_HOMES = property_seasons([{}]).clear()


def bought(
    lengths: list[list[int]],
    offered: pl.DataFrame = NO_OFFERS,
    on_hand: int = 0,
    runs: bool = True,
    contribution: float = 0.0,
    **given: str,
) -> tuple[Order, pl.DataFrame, list[str]]:
    """The order for one new job like any of those with these runs, in feet, and its spools; list: 100 ft for $10."""
    jobs = [{"job_no": f"{n}", "net": Decimal(sum(one)), "built": Decimal(sum(one))} for n, one in enumerate(lengths)]
    known = settings(**dict.fromkeys(("new_jobs_low", "new_jobs_likely", "new_jobs_high"), "1") | given)
    records = Records(job_items(jobs), NO_HOMES, item_use([{}]).clear(), items([{"spacing_in": Decimal(12)}]))
    pieces = pl.DataFrame(
        [{"season": SEASON, "branch": "main", "job_no": f"{n}", "line_item": "LL", "spacing_in": 12.0, "feet": float(f)}
         for n, one in enumerate(lengths) for f in one], schema_overrides={"season": pl.Int32}
    )  # fmt: skip
    order = place_order(
        next_season(records, known, season=SEASON, seed=1), records, offered,
        closing_stock([{"usable": Decimal(on_hand)}]), known, contribution_usd_per_ft=contribution, season=SEASON,
        runs=pieces if runs else None,
    )  # fmt: skip
    frame, notes = spool_plan(order, season=SEASON)
    assert frame.schema == pl.Schema(SCHEMA)
    return order, frame, notes


def test_the_spools_are_the_orders_own_packs_and_cost_what_the_line_comes_to() -> None:
    """Runs of 60 60 40 40: 200 ft, two spools of 100 at $10 hold them, each 60 with a 40."""
    order, frame, _ = bought([[60, 60, 40, 40]])
    row = frame.row(0, named=True)
    assert (row["season"], row["item_no"], row["spools"], row["pack_price"]) == (SEASON + 1, "LL", 2, 10)
    assert (row["feet"], row["offcut_ft"], row["plan_usd"], row["bound_usd"]) == pytest.approx((200, 0, 20, 20))
    assert (row["chance_covered"], row["draws"]) == (1.0, CUT_DRAWS)
    assert order.lines["packs"].to_list() == [2]


def test_runs_that_do_not_go_on_the_spools_are_bought_in_a_hurry_or_on_a_third_spool() -> None:
    """Runs of 60 60 60 are 180 ft, but two spools of 100 hold two of them. In a hurry the third costs 60 x $.10, and
    where a foot that it stops loses a tenth of $9 another 60 x $.90: $60 beside $20 less $1.50 for 20 ft left, over
    $30 less $9.00 for 120 ft left of three spools: three are bought, and the bound is that of two. Where nothing is
    lost with it and what is left is worth nothing, $20 and $6 in a hurry are less than $30: two are."""
    order, frame, _ = bought([[60, 60, 60]], contribution=9.0, rush_premium="0", service_floor="0")
    assert order.lines["packs"].to_list() == frame["spools"].to_list() == [3]
    row = frame.row(0, named=True)
    assert (row["feet"], row["plan_usd"], row["bound_usd"]) == pytest.approx((180, 21.0, 18.5))
    order, frame, _ = bought([[60, 60, 60]], rush_premium="0", obsolete_share="0.8")
    assert order.lines["packs"].to_list() == frame["spools"].to_list() == [2]
    row = frame.row(0, named=True)
    assert (row["chance_covered"], row["feet"], row["plan_usd"]) == (0.0, None, pytest.approx(26))


def test_an_offer_of_another_size_is_mixed_in_where_it_is_cheaper() -> None:
    """Of 60 60 40 40 and 90: 290 ft. 200 at $15 and 100 at $10 are $25, against $30 for three of 100 and for two of
    200, where what is left is worth nothing."""
    spools = offers([{"pack_size": Decimal(200), "pack_price": Decimal(15), "order_by": date(2032, 4, 30)}])
    order, frame, _ = bought([[60, 60, 40, 40, 90]], spools, obsolete_share="0.8")
    assert frame["spool_size_ft"].to_list() == [100, 200]
    assert frame["spools"].to_list() == [1, 1]
    assert frame["order_by"].to_list() == [None, date(2032, 4, 30)]
    assert sorted(zip(order.lines["pack_size"], order.lines["packs"], strict=True)) == [(100, 1), (200, 1)]


def test_an_offer_from_more_spools_than_are_needed_is_taken_only_where_it_pays() -> None:
    """280 ft of 60 60 40 40 80: three of 100 at $10 are $30 less 20 ft left at 3/4 of $.10, $28.50. Five at $5 are $25
    less $16.50 for 220 ft left, at $8 they are $40 less $16.50; at $10 they would be $33.50."""
    for price, spools in ((5, 5), (8, 5), (10, 3)):
        least = offers([{"pack_size": Decimal(100), "pack_price": Decimal(price), "min_packs": 5}])
        assert bought([[60, 60, 40, 40, 80]], least)[1]["spools"].to_list() == [spools]


def test_a_line_that_is_not_ordered_and_no_runs_are_said() -> None:
    _, frame, notes = bought([[60, 40]], on_hand=100)
    assert frame.is_empty()
    assert notes == ["The stock of light line covers the need, so no spools are ordered."]
    _, frame, notes = bought([[60, 40]], runs=False)
    assert frame.is_empty()
    assert notes == ["Spools need the runs of new jobs, items and an order (level 3)."]


def cut(feet: list[str], net: str | None = "250") -> tuple[pl.DataFrame, pl.DataFrame, list[str]]:
    runs = pl.DataFrame({"branch": "main", "job_no": "1", "run_no": [str(n) for n in range(len(feet))],
                         "line_item": "LL", "feet": [Decimal(f) for f in feet]})  # fmt: skip
    repeat = runs.with_columns(job_no=pl.lit("2"))
    jobs = pl.DataFrame({"branch": "main", "job_no": ["1", "2"], "work": ["new", "repeat"]})
    use = pl.DataFrame({"item_no": ["LL"], "net_new": [net], "unit_cost_usd": ["0.1"]}).cast(
        {"net_new": pl.Decimal(26, 12), "unit_cost_usd": pl.Decimal(26, 12)}
    )
    purchases = pl.DataFrame(schema={"item_no": pl.String, "pack_size": pl.Float64})
    offcut, listed, notes = best_cutting(
        pl.concat([runs, repeat]), jobs, items([{}]), purchases, use, season=SEASON
    )  # fmt: skip
    assert offcut.schema == pl.Schema(OFFCUT_SCHEMA)
    assert listed.schema == pl.Schema(LIST_SCHEMA)
    return offcut, listed, notes


def test_realized_offcut_stands_beside_the_least_possible_of_the_same_runs() -> None:
    """60, 39.5, 52, 45 ft at 12 in are cut as 60, 40, 52, 45. From spools of 100: 60 + 40, and 52 + 45 with 3 left.

    3 ft are too short to keep and .5 was rounded up: 3.5 ft of 196.5. 250 were taken, 53.5 more than fastened: $5.00
    of the $5.35 need not have been.
    """
    row = cut(["60", "39.5", "52", "45"])[0].row(0, named=True)
    assert (row["runs"], row["feet"], row["net_ft"], row["offcut_ft"]) == (4, 196.5, 250, 53.5)
    assert (row["possible_ft"], row["kept_ft"], row["spools"], row["spool_ft"], row["bound_ft"]) == (
        3.5,
        0,
        2,
        200,
        200,
    )
    assert (row["offcut_share"], row["possible_share"]) == pytest.approx((53.5 / 196.5, 3.5 / 196.5))
    assert row["saved_usd"] == pytest.approx(5.0)


def test_a_long_rest_is_stock_and_no_offcut() -> None:
    row = cut(["60"])[0].row(0, named=True)
    assert (row["possible_ft"], row["kept_ft"], row["spool_ft"]) == (0, 40, 100)


def test_without_movements_the_realized_offcut_is_not_known() -> None:
    row = cut(["60"], None)[0].row(0, named=True)
    assert (row["net_ft"], row["offcut_ft"], row["saved_usd"], row["possible_ft"]) == (None, None, None, 0)


def test_the_cut_list_holds_each_run_once() -> None:
    """Two spools: one of 60 and 40 ft, one of 52 and 45 with 3 ft left."""
    listed = cut(["60", "39.5", "52", "45"])[1]
    spools: dict[int, Any] = {}
    for row in listed.to_dicts():
        spools.setdefault(row["cut_no"], []).append((row["length_ft"], row["pieces"], row["spools"], row["left_ft"]))
    assert sorted(spools.values()) == [[(52, 1, 1, 3), (45, 1, 1, 3)], [(60, 1, 1, 0), (40, 1, 1, 0)]]


def test_a_run_that_no_spool_holds_is_said() -> None:
    offcut, _, notes = cut(["130", "60"])
    assert offcut["spools"].to_list() == [2]
    assert notes == ["LL: 1 run is longer than its longest spool and counted as whole spools and a rest, joined."]
    assert cut(["130", "160"])[2][0].startswith("LL: 2 runs are longer than their longest spool")
