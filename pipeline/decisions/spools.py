"""The spools of an order: what can be cut from them, and how near they are to the least that any order could cost."""

from __future__ import annotations

from typing import Any

import polars as pl

from pipeline.decisions.order_cutting import Cutting
from pipeline.decisions.order_items import Wanted
from pipeline.decisions.order_offers import Offer
from pipeline.decisions.order_plan import Plan
from pipeline.decisions.reorder import Order
from pipeline.decisions.spools_line import on_spool, to_feet
from pipeline.statistics.cutting_fill import pack

SCHEMA = {
    "season": pl.Int32, "spacing_in": pl.Float64, "colour": pl.String, "spool_size_ft": pl.Float64,
    "item_no": pl.String, "spools": pl.Int32, "feet": pl.Float64, "offcut_ft": pl.Float64, "bound_usd": pl.Float64,
    "plan_usd": pl.Float64, "pack_price": pl.Float64, "order_by": pl.Date, "supplier": pl.String,
    "chance_covered": pl.Float64, "draws": pl.Int32,
}  # fmt: skip


def spool_plan(order: Order, *, season: int) -> tuple[pl.DataFrame, list[str]]:
    """The spools of the order for the season after `season`, a row a light line and spool size, and notes.

    They are the order's own packs. `plan_usd` is what the line comes to in the end on average, `bound_usd` the same if
    every foot of every spool could be used: no order that keeps the floor costs less.
    """
    if not order.cuttings or order.choice is None:
        return pl.DataFrame(schema=SCHEMA), ["Spools need the runs of new jobs, items and an order (level 3)."]
    rows: list[dict] = []
    for place, cutting in order.cuttings.items():
        want, plan = order.wanted[place], order.plans[place]
        rows += _rows(want, plan, order.choice.places[place], cutting, order.uncut_usd[place])
    if not rows:
        said = ["The stock of light line covers the need, so no spools are ordered."]
        return pl.DataFrame(schema=SCHEMA), said
    rows.sort(key=lambda row: (row["item_no"], row["spool_size_ft"], row["pack_price"]))
    return pl.DataFrame([{"season": season + 1} | row for row in rows], schema=SCHEMA, strict=False), []


def _rows(want: Wanted, plan: Plan, chosen: int, cutting: Cutting, bound_usd: float) -> list[dict[str, Any]]:
    bought = plan.ladder.bought(int(plan.place[chosen]))
    if not bought:
        return []
    item, used = want.item, _cut(bought, cutting)
    cost = float(plan.cost[chosen])
    shared = {
        "spacing_in": None if item["spacing_in"] is None else float(item["spacing_in"]), "colour": item["colour"],
        "item_no": item["item_no"], "supplier": item["supplier"], "bound_usd": min(bound_usd, cost), "plan_usd": cost,
        "chance_covered": cutting.covered(plan, chosen), "draws": len(cutting.lists),
    }  # fmt: skip
    return [
        shared | {
            "spool_size_ft": offer.pack_size, "spools": spools, "pack_price": offer.pack_price,
            "order_by": offer.order_by, "feet": None if feet is None else to_feet(feet, cutting.spacing_in),
            "offcut_ft": None if feet is None else spools * offer.pack_size - to_feet(feet, cutting.spacing_in),
        }
        for (offer, spools), feet in zip(bought, used, strict=True)
    ]  # fmt: skip


def _cut(bought: list[tuple[Offer, int]], cutting: Cutting) -> list[int] | list[None]:
    """Sockets that the runs of the largest drawn season which these spools alone hold take of each size; None where
    they hold none."""
    sizes = [on_spool(offer.pack_size, cutting.spacing_in) for offer, _ in bought]
    numbers = [packs for _, packs in bought]
    spools = [size for size, number in zip(sizes, numbers, strict=True) for _ in range(number)]
    for one in sorted(cutting.lists, key=lambda one: (one.total, one.pieces), reverse=True):
        if one.missing(spools):
            continue
        whole = one.on(spools)
        lengths = sorted(set(whole.pieces), reverse=True)
        cuts = pack(lengths, [whole.pieces.count(length) for length in lengths], sizes, numbers)
        if cuts is not None:
            return [
                sum(cut.times * sum(length * times for length, times in zip(lengths, cut.pieces, strict=True))
                    for cut in cuts if cut.stock == place)
                for place in range(len(sizes))
            ]  # fmt: skip
    return [None] * len(sizes)
