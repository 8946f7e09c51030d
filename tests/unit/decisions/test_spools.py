"""Which spools to buy for next season, and how well the season's own lines were cut."""

from __future__ import annotations

from datetime import date
from decimal import Decimal
from typing import Any

import polars as pl
import pytest
from support.season_frames import SEASON, items, offers, shuffled

from pipeline.decisions.policy import LEAST_REMNANT_FT, MOST_COVER
from pipeline.decisions.spools import SCHEMA, CutList, cheapest_mix, spool_plan
from pipeline.decisions.spools_line import kept_and_lost, on_spool, split_long, to_feet, to_sockets
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


def test_a_list_goes_on_spools_that_hold_its_pieces_and_all_that_is_taken_besides() -> None:
    assert CutList((60, 60), 80).goes_on([100], [2])
    assert not CutList((60, 60), 81).goes_on([100], [2])
    assert not CutList((60, 60, 60), 0).goes_on([100], [2])


def test_the_mix_covers_the_share_of_seasons_that_is_asked_for_and_no_more() -> None:
    """Ten seasons of 10, 20 ... 100 ft in one run: nine in ten ask for 90, which a spool of 50 and one of 40 for
    $7 do not hold in one piece: the bound is that of 100 for $9, which covers all ten. Five in ten ask for 50."""
    lists = [CutList((10 * season,), 0) for season in range(1, 11)]
    stocks = [Stock(40, 300), Stock(50, 400), Stock(100, 900)]
    mix = cheapest_mix(lists, stocks, 0.9)
    assert mix is not None
    assert (mix.spools, mix.cost, mix.bound, mix.covered) == ((0, 0, 1), 900, 900, 1.0)
    half = cheapest_mix(lists, stocks, 0.5)
    assert half is not None
    assert (half.spools, half.covered) == ((0, 1, 0), 0.5)


def test_a_mix_as_dear_as_what_is_known_is_not_looked_for() -> None:
    assert cheapest_mix([CutList((40,), 0)], [Stock(40, 300)], 1.0, 300) is None


def planned(
    need: float, on_hand: float = 0.0, offered: pl.DataFrame = NO_OFFERS, packs: int = 3, short: float = 0.0
) -> tuple[pl.DataFrame, list[str]]:
    """Two drawn seasons: one with runs of 60 and 40 ft twice, one with a run of 60; `need` is that of the first."""
    lists = pl.DataFrame({"draw": [0, 0, 1], "line_item": "LL", "spacing_in": 12.0, "feet": [60.0, 40.0, 60.0],
                          "pieces": [2, 2, 1]})  # fmt: skip
    needs = pl.DataFrame({"draw": [0, 1], "item_no": ["LL", "LL"], "need": [float(need), 60.0]})
    order = pl.DataFrame({"item_no": ["LL"], "kind": ["light_line"], "packs": [packs], "on_hand": [on_hand],
                          "chance_short": [short]})  # fmt: skip
    frame, notes = spool_plan(shuffled(lists), shuffled(needs), items([{}]), offered, order, season=SEASON)
    assert frame.schema == pl.Schema(SCHEMA)
    return frame, notes


def test_runs_and_what_else_is_needed_are_covered_by_the_cheapest_spools() -> None:
    """230 ft: 60 60 40 40 and 30 besides. Three spools of 100 at $10 hold them; no fewer could."""
    row = planned(230)[0].row(0, named=True)
    assert (row["season"], row["item_no"], row["spools"]) == (SEASON + 1, "LL", 3)
    assert (row["feet"], row["offcut_ft"], row["plan_usd"], row["bound_usd"]) == pytest.approx((200, 100, 30, 30))
    assert (row["chance_covered"], row["draws"], row["one_size_ft"], row["one_size_usd"]) == (1.0, 2, 100, 30)


def test_an_offer_of_another_size_is_mixed_in_where_it_is_cheaper() -> None:
    """200 ft and 30 besides: 200 at $15 and 100 at $10 are $25 against $30 for three of 100 and for two of 200."""
    offered = offers([{"pack_size": Decimal(200), "pack_price": Decimal(15), "order_by": date(2032, 4, 30)}])
    frame = planned(230, offered=offered)[0].sort("spool_size_ft")
    assert frame["spools"].to_list() == [1, 1]
    assert frame["plan_usd"].to_list() == [25, 25]
    assert frame["order_by"].to_list() == [None, date(2032, 4, 30)]
    assert frame["one_size_usd"].to_list() == [30, 30]


def test_the_share_of_seasons_is_that_of_the_order() -> None:
    """Where the order leaves one season in two short the season with a single run of 60 is enough: one spool."""
    assert planned(230, short=0.5)[0]["spools"].to_list() == [1]


def test_a_line_that_is_not_ordered_has_no_plan() -> None:
    frame, notes = planned(200, 200, packs=0)
    assert frame.is_empty()
    assert notes == ["The stock of light line covers the need, so no spools are planned."]


def test_an_offer_from_more_spools_than_are_needed_is_taken_only_where_it_pays() -> None:
    """Three of 100 at $10 are $30, five at $5 are $25: the two that are not opened are stock. At $7 it does not pay."""
    cheap = offers([{"pack_size": Decimal(100), "pack_price": Decimal(5), "min_packs": 5}])
    assert planned(230, offered=cheap)[0]["spools"].to_list() == [5]
    dear = offers([{"pack_size": Decimal(100), "pack_price": Decimal(7), "min_packs": 5}])
    assert planned(230, offered=dear)[0]["spools"].to_list() == [3]


def test_no_order_or_no_runs_is_a_reason_and_no_plan() -> None:
    empty = pl.DataFrame(schema={"item_no": pl.String, "kind": pl.String})
    frame, notes = spool_plan(empty, empty, items([{}]), NO_OFFERS, empty, season=SEASON)
    assert frame.is_empty()
    assert notes == ["A spool plan needs the runs of new jobs, items and an order (records of level 3)."]


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


def test_an_order_that_covers_nearly_every_season_is_matched_up_to_a_stated_share() -> None:
    """Of 200 seasons of 1 to 200 ft the largest 10 are left out where the order leaves out one."""
    draws = list(range(200))
    lists = pl.DataFrame({"draw": draws, "line_item": "LL", "spacing_in": 12.0, "feet": [draw + 1.0 for draw in draws],
                          "pieces": 1})  # fmt: skip
    needs = pl.DataFrame({"draw": draws, "item_no": "LL", "need": [draw + 1.0 for draw in draws]})
    order = pl.DataFrame({"item_no": ["LL"], "packs": [1], "on_hand": [0.0], "chance_short": [0.005]})
    offered = offers([{"pack_size": Decimal(size), "pack_price": Decimal(size)} for size in (189, 190, 199)])
    frame, _ = spool_plan(lists, needs, items([{"pack_size": Decimal(300), "pack_price": Decimal(900)}]), offered,
                          order, season=SEASON)  # fmt: skip
    assert MOST_COVER == 0.95
    assert (frame["spool_size_ft"].to_list(), frame["chance_covered"].to_list()) == ([190], [0.95])
