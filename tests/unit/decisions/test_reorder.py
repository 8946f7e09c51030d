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

from pipeline.decisions.demand import Records, next_season
from pipeline.decisions.reorder import SCHEMA, Offer, best_offer, order_lines

NO_OFFERS = offers([{}]).clear()
NO_HOMES = property_seasons([{}]).clear()
NO_STOCK = closing_stock([{}]).clear()
THREE = {"new_jobs_low": "3", "new_jobs_likely": "3", "new_jobs_high": "3"}
JOBS = job_items([{"net": Decimal(100), "built": Decimal(80)}] * 4)


def ordered(
    offered: pl.DataFrame = NO_OFFERS,
    stock: pl.DataFrame = NO_STOCK,
    bought: pl.DataFrame | None = None,
    contribution: float = 0.0,
    jobs: pl.DataFrame = JOBS,
    **given: str,
) -> tuple[pl.DataFrame, list[str]]:
    records = Records(jobs, NO_HOMES, item_use([{}]).clear(), items([{}]) if bought is None else bought)
    known = settings(**THREE, **given)
    frame, notes = order_lines(
        next_season(records, known, season=SEASON, seed=1), records, offered, stock, known,
        contribution_usd_per_ft=contribution, season=SEASON,
    )  # fmt: skip
    assert frame.schema == pl.Schema(SCHEMA)
    return frame, notes


def test_a_certain_need_is_met_in_whole_packs() -> None:
    """Three jobs of 100 ft: 300 ft, three packs of 100 at $10; nothing can run short."""
    row = ordered()[0].row(0, named=True)
    assert (row["season"], row["item_no"], row["offer"], row["packs"]) == (SEASON + 1, "LL", "list price", 3)
    assert (row["amount_usd"], row["chance_short"]) == (30.0, 0.0)
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


@pytest.mark.parametrize(("price", "packs", "offer"), [(8, 4, "offer, 100 a pack, from 4 packs"), (9, 3, "list price")])
def test_a_price_for_more_packs_counts_with_what_is_left_over(price: int, packs: int, offer: str) -> None:
    """300 ft are needed, four packs must be taken, and 100 ft are left over at .25 of their price.

    At $8: 24 + .25 x 8 = 26 against 30 at the list price. At $9: 27 + 2.25 = 29.25, still less than 30; but with a
    leftover that loses half more ($.75 of its price, obsolete_share .55) it is 27 + 6.75 = 33.75 and the list wins.
    """
    given = {} if price == 8 else {"obsolete_share": "0.55"}
    four = offers([{"pack_size": Decimal(100), "pack_price": Decimal(price), "min_packs": 4}])
    row = ordered(four, **given)[0].row(0, named=True)
    assert (row["packs"], row["offer"]) == (packs, offer)


def test_running_short_of_what_stops_work_is_insured_against() -> None:
    """Need 100 or 200, even chances. A leftover pack costs .25 x $10 = $2.50 and a missing one .25 x $10 = $2.50, so
    nothing is gained by the second; if each missing foot stops $4 of contribution, a tenth of it in the end, it is."""
    short = np.array([100.0, 200.0])
    packs = [Offer("list price", 100.0, 10.0)]
    free = settings(service_floor="0", rush_premium="0.2")
    assert best_offer(short, packs, 0.10, 0.0, free)[1] == 1
    assert best_offer(short, packs, 0.10, 4.0, free)[1] == 2


def test_the_floor_holds_whatever_it_costs() -> None:
    short = np.concatenate([np.zeros(85), np.full(15, 100.0)])
    packs = [Offer("list price", 100.0, 10.0)]
    assert best_offer(short, packs, 0.10, 0.0, settings(service_floor="0.9", rush_premium="0"))[1] == 1
    assert best_offer(short, packs, 0.10, 0.0, settings(service_floor="0.85", rush_premium="0"))[1] == 0


def test_items_that_no_job_used_and_items_that_replace_others_are_said() -> None:
    bought = items([{}, {"item_no": "SUND", "kind": "sundry", "unit": "each"}, {"item_no": "LL2", "replaces": "LL"}])
    frame, notes = ordered(bought=bought)
    assert frame["item_no"].to_list() == ["LL"]
    assert any("what no job used: LL2, SUND" in note for note in notes)
    assert any("LL2 replaces LL" in note for note in notes)


def test_no_count_of_stock_is_said() -> None:
    assert any("No stock was counted" in note for note in ordered()[1])


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
