"""The order in whole packs."""

from __future__ import annotations

from datetime import date
from decimal import Decimal

import numpy as np
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
    shuffled,
)

from pipeline.decisions.demand import DRIVERS, Records, next_season
from pipeline.decisions.order_terms import stopped_feet
from pipeline.decisions.reorder import DRIVER_SCHEMA, SCHEMA, Order, place_order

NO_OFFERS = offers([{}]).clear()
NO_HOMES = property_seasons([{}]).clear()
NO_STOCK = closing_stock([{}]).clear()
THREE = {"new_jobs_low": "3", "new_jobs_likely": "3", "new_jobs_high": "3"}
JOBS = job_items([{"net": Decimal(100), "built": Decimal(80)}] * 4)


def order(
    offered: pl.DataFrame = NO_OFFERS,
    stock: pl.DataFrame = NO_STOCK,
    bought: pl.DataFrame | None = None,
    contribution: float = 0.0,
    jobs: pl.DataFrame = JOBS,
    **given: str,
) -> Order:
    records = Records(jobs, NO_HOMES, item_use([{}]).clear(), items([{}]) if bought is None else bought)
    known = settings(**THREE | given)
    made = place_order(
        next_season(records, known, season=SEASON, seed=1), records, offered, stock, known,
        contribution_usd_per_ft=contribution, season=SEASON,
    )  # fmt: skip
    assert made.lines.schema == pl.Schema(SCHEMA)
    assert made.drivers.schema == pl.Schema(DRIVER_SCHEMA)
    return made


def ordered(*args: pl.DataFrame, **more: object) -> tuple[pl.DataFrame, list[str]]:
    made = order(*args, **more)  # type: ignore[arg-type]
    return made.lines, made.notes


def test_a_certain_need_is_met_in_whole_packs() -> None:
    """Three jobs of 100 ft: 300 ft, three packs of 100 at $10; nothing can run short."""
    row = ordered()[0].row(0, named=True)
    assert (row["season"], row["item_no"], row["offer"], row["packs"]) == (SEASON + 1, "LL", "list price", 3)
    assert (row["amount_usd"], row["chance_short"], row["cost_usd"]) == (30.0, 0.0, pytest.approx(30.0))
    assert (row["need_p10"], row["need_p50"], row["need_p90"]) == pytest.approx((300, 300, 300))
    assert "new work takes about 300 ft" in row["why"]


def test_stock_is_taken_off_doubtful_stock_by_its_share() -> None:
    """130 usable and half of 40 doubtful are 150: 150 ft are missing, two packs."""
    row = ordered(stock=closing_stock([{"usable": Decimal(130), "doubtful": Decimal(40)}]))[0].row(0, named=True)
    assert (row["on_hand"], row["packs"]) == (150.0, 2)


def test_enough_on_hand_is_no_order_and_no_day_to_order_by() -> None:
    dear = offers([{"pack_size": Decimal(100), "pack_price": Decimal(9), "order_by": date(2032, 5, 1)}])
    row = ordered(dear, closing_stock([{"usable": Decimal(400)}]))[0].row(0, named=True)
    assert (row["packs"], row["amount_usd"], row["order_by"]) == (0, 0.0, None)
    assert "400 on hand are enough in 100 %" in row["why"]


def test_the_cheapest_offer_for_the_quantity_wins() -> None:
    """300 ft: a spool of 300 at $27 against three of 100 at $10."""
    spool = offers([{"pack_size": Decimal(300), "pack_price": Decimal(27), "order_by": date(2032, 5, 1)}])
    row = ordered(spool)[0].row(0, named=True)
    assert (row["packs"], row["pack_size"], row["amount_usd"]) == (1, 300.0, 27.0)
    assert (row["offer"], row["order_by"]) == ("offer, 300 a pack", date(2032, 5, 1))


def test_packs_of_several_offers_are_taken_together_where_that_costs_least() -> None:
    """300 ft: a spool of 250 at $20 and one of 50 at $6 come to $26; three of 100 to $30, two of 250 to $40 less what
    200 ft over keep, .75 x $.08 x 200 = $12: $28."""
    mixed = offers([{"pack_size": Decimal(250), "pack_price": Decimal(20)},
                    {"pack_size": Decimal(50), "pack_price": Decimal(6)}])  # fmt: skip
    lines = ordered(mixed)[0].sort("pack_size")
    assert lines["packs"].to_list() == [1, 1]
    assert lines["pack_size"].to_list() == [50.0, 250.0]
    assert (lines["ordered"].to_list(), lines["amount_usd"].sum()) == ([300.0, 300.0], 26.0)


@pytest.mark.parametrize(("price", "packs", "offer"), [(8, 4, "offer, 100 a pack, from 4 packs"), (9, 3, "list price")])
def test_a_price_for_more_packs_counts_with_what_is_left_over(price: int, packs: int, offer: str) -> None:
    """300 ft are needed, four packs must be taken, and 100 ft are left over.

    At $8 for each: 32 less what 100 ft keep. The best price that the need of 300 can reach is $10 a pack, so they keep
    .75 x 10: 24.50 against 30. At $9 and a leftover that loses .75 of its worth (obsolete_share .55) it is 36 - 2.50.
    """
    more = {} if price == 8 else {"obsolete_share": "0.55"}
    four = offers([{"pack_size": Decimal(100), "pack_price": Decimal(price), "min_packs": 4}])
    row = ordered(four, **more)[0].row(0, named=True)
    assert (row["packs"], row["offer"]) == (packs, offer)


def test_a_price_that_holds_at_any_time_stands_for_last_seasons_list_price() -> None:
    dearer = offers([{"pack_size": Decimal(100), "pack_price": Decimal(11)}])
    row = ordered(dearer)[0].row(0, named=True)
    assert (row["offer"], row["amount_usd"]) == ("offer, 100 a pack", 33.0)


TWO_SIZES = job_items([{"net": Decimal(n), "built": Decimal(n)} for n in (100, 200)] * 15)
ONE_JOB = dict.fromkeys(THREE, "1") | {"service_floor": "0"}


@pytest.mark.parametrize(("contribution", "packs"), [(0.0, 1), (4.0, 2)])
def test_running_short_of_what_stops_work_is_insured_against(contribution: float, packs: int) -> None:
    """One job of 100 or 200 ft, even chances. The second pack costs $10 and is left over every other time, keeping
    $7.50: 10 - 3.75 = 6.25. Without it 100 ft are bought in a hurry every other time at $12 a pack: 6.00, so it does
    not pay; where each missing foot stops $4 of contribution, a tenth of it in the end, it saves 20.00 more."""
    lines = ordered(jobs=TWO_SIZES, contribution=contribution, **ONE_JOB | {"rush_premium": "0.2"})[0]
    assert lines["packs"].to_list() == [packs]


def test_a_missing_unit_stops_what_a_unit_of_its_kind_carries_on_the_jobs_that_have_it() -> None:
    """Job A is 100 ft of L1 with 80 red bulbs; job B 200 ft of L1 and 100 ft of L2 with 200 white and 50 red bulbs; a
    timer each. A foot of either line stops itself; a red bulb 400 ft / (80 + 250) bulbs, a white one 300 / 250, however
    few of its colour there are; a timer 400 / 2."""
    built = {
        "A": [("L1", "light_line", 100), ("RED", "bulb", 80), ("TMR", "timer", 1)],
        "B": [("L1", "light_line", 200), ("L2", "light_line", 100), ("WHITE", "bulb", 200), ("RED", "bulb", 50),
              ("TMR", "timer", 1), ("ZIP", "zip_cord", 0)],
    }  # fmt: skip
    rows = [{"job_no": job, "item_no": name, "kind": kind, "built": Decimal(n)}
            for job, own in built.items() for name, kind, n in own]  # fmt: skip
    stopped = stopped_feet(job_items(rows))
    assert stopped == pytest.approx({"L1": 1, "L2": 1, "RED": 400 / 330, "WHITE": 300 / 250, "TMR": 200})


@pytest.mark.parametrize(("floor", "packs"), [("0.4", 1), ("0.9", 2)])
def test_the_floor_holds_whatever_it_costs(floor: str, packs: int) -> None:
    lines = ordered(jobs=TWO_SIZES, **ONE_JOB | {"service_floor": floor, "rush_premium": "0"})[0]
    assert lines["packs"].to_list() == [packs]


@pytest.mark.parametrize(("lead", "early", "later"), [(30, 100.0, 100.0), (31, 200.0, 0.0), (None, 200.0, 0.0)])
def test_an_early_order_leaves_a_top_up_to_the_season_where_lead_days_allow(
    lead: int | None, early: float, later: float
) -> None:
    """One or two new jobs of 100 ft, known when the season starts. Early packs at $9.90, later ones at $10: the second
    pack waits, unless it takes more than 30 days or nobody knows how long; then the floor has it ordered early."""
    cheap = offers([{"pack_size": Decimal(100), "pack_price": Decimal("9.90"), "order_by": date(2032, 5, 1)}])
    jobs = {"new_jobs_low": "0.5", "new_jobs_likely": "1.5", "new_jobs_high": "2.5"}
    done = job_items([{"net": Decimal(100), "built": Decimal(100)}] * 4)
    row = ordered(cheap, bought=items([{"lead_days": lead}]), jobs=done, **jobs)[0].row(0, named=True)
    assert (row["ordered"], row["top_up_p90"]) == (early, later)
    assert row["chance_short"] <= 0.01


def test_a_budget_is_kept_and_what_more_would_save_is_said() -> None:
    """300 ft of LL at $.10 and 300 of BB at $.20 are $90. With $70 one pack of BB is missing and bought in a hurry for
    $25 instead of $20: $5 dearer; $100 more would save all of that."""
    jobs = job_items([{"job_no": f"{n}", "item_no": item, "net": Decimal(100), "built": Decimal(100)}
                      for n in range(4) for item in ("LL", "BB")])  # fmt: skip
    bought = items([{}, {"item_no": "BB", "kind": "bulb", "unit": "each", "pack_price": Decimal(20)}])
    lines, notes = ordered(jobs=jobs, bought=bought, order_budget="70", service_floor="0")
    assert lines["amount_usd"].sum() == pytest.approx(70)
    assert any("$70 makes the season's goods $5 dearer" in note and "$100 more would save $5" in note for note in notes)
    _, ample = ordered(jobs=jobs, bought=bought, order_budget="90")
    assert any("The budget of $90 is enough" in note for note in ample)


def test_a_suppliers_least_order_is_filled_or_left() -> None:
    """300 ft are $30. A least order of $40 has a fourth pack bought, kept at $7.50; one of $4,000 has none ordered."""
    assert ordered(**{"order_minimum__Any Supply": "40"})[0]["packs"].to_list() == [4]
    lines, notes = ordered(**{"order_minimum__Any Supply": "4000"})
    assert lines["packs"].to_list() == [0]
    assert any("service_floor cannot be kept" in note for note in notes)


def test_an_item_that_replaces_another_is_ordered_for_its_need() -> None:
    new = {"item_no": "LL2", "replaces": "LL"}
    stock = closing_stock([{"usable": Decimal(120)}])
    lines, notes = ordered(bought=items([{}, new]), stock=stock)
    assert lines.select("item_no", "on_hand", "packs").rows() == [("LL2", 120.0, 2)]
    assert any("LL2 replaces LL" in note for note in notes)


def test_an_item_that_does_not_fit_in_anothers_place_does_not_replace_it() -> None:
    lines, notes = ordered(bought=items([{"wire": "SPT-1"}, {"item_no": "LL2", "replaces": "LL", "wire": "SPT-2"}]))
    assert lines["item_no"].to_list() == ["LL"]
    assert any("LL2 is to replace LL but differs in wire" in note for note in notes)


def test_items_that_replace_each_other_are_each_ordered_by_their_own_use() -> None:
    lines, notes = ordered(bought=items([{"replaces": "LL2"}, {"item_no": "LL2", "replaces": "LL"}]))
    assert lines["item_no"].to_list() == ["LL"]
    assert sum("LL and LL2 replace each other" in note for note in notes) == 1


def test_items_that_no_job_used_are_said() -> None:
    lines, notes = ordered(bought=items([{}, {"item_no": "SUND", "kind": "sundry", "unit": "each"}]))
    assert lines["item_no"].to_list() == ["LL"]
    assert any("what no job used: SUND" in note for note in notes)


def test_items_that_were_used_and_are_not_listed_are_said() -> None:
    jobs = pl.concat([JOBS, job_items([{"job_no": "x", "item_no": "GONE", "net": Decimal(5)}])])
    assert any("not listed in items, so not ordered: GONE" in note for note in ordered(jobs=jobs)[1])


def test_no_count_of_stock_and_no_offers_are_said() -> None:
    notes = ordered()[1]
    assert any("No stock was counted" in note for note in notes)
    assert any("No offers are on record" in note for note in notes)


def test_the_drivers_of_an_item_add_up_to_its_need_and_its_variance() -> None:
    made = order(jobs=TWO_SIZES, new_jobs_high="9")
    drivers = made.drivers
    assert drivers["driver"].to_list() == list(DRIVERS)
    assert drivers["variance_share"].sum() == pytest.approx(1)
    demand = next_season(
        Records(TWO_SIZES, NO_HOMES, item_use([{}]).clear(), items([{}])), settings(**THREE | {"new_jobs_high": "9"}),
        season=SEASON, seed=1,
    )  # fmt: skip
    assert drivers["mean_need"].sum() == pytest.approx(float(np.mean(demand.net)))


def test_a_need_that_does_not_vary_has_no_shares() -> None:
    assert order().drivers["variance_share"].null_count() == len(DRIVERS)


@pytest.mark.parametrize("empty", ["jobs", "items", "season"])
def test_without_goods_there_is_a_reason_and_no_order(empty: str) -> None:
    jobs = {"jobs": JOBS.clear(), "season": job_items([{"season": SEASON - 1}])}.get(empty, JOBS)
    frame, notes = ordered(jobs=jobs, bought=items([{}]).clear() if empty == "items" else None)
    assert frame.is_empty()
    assert len(notes) == 1


def test_the_order_of_the_rows_does_not_matter() -> None:
    bought = items([{}, {"item_no": "BB", "kind": "bulb", "unit": "each"}, {"pack_price": Decimal(11)}])
    offered = offers([{"pack_size": Decimal(300), "pack_price": Decimal(27)}, {"pack_size": Decimal(50),
                      "pack_price": Decimal(6)}])  # fmt: skip
    jobs = job_items([{"net": Decimal(n * 40), "built": Decimal(30), "item_no": ("LL", "BB")[n % 2]}
                      for n in range(1, 9)])  # fmt: skip
    first = ordered(offered, bought=bought, jobs=jobs)[0]
    assert first.equals(ordered(shuffled(offered), bought=shuffled(bought), jobs=shuffled(jobs))[0])
