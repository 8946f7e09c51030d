"""The items of an order: which stand in for which, what is on hand, and the offers of each."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import polars as pl
from numpy.typing import NDArray

from pipeline.decisions.demand import Demand
from pipeline.decisions.order_offers import Offer
from pipeline.settings import Settings

Floats = NDArray[np.float64]
Item = dict

FITS = ("kind", "unit", "socket", "wire", "volts", "spacing_in")
"""In what an item must be like the one that it replaces, where both say it."""


@dataclass(frozen=True)
class Wanted:
    """An item to order: its record, the columns of the draws whose need it meets, and what is on hand for them."""

    item: Item
    columns: list[int]
    on_hand: float

    def sum_of(self, draws: Floats) -> Floats:
        """A value a draw from draws of all items."""
        return np.asarray(draws[:, self.columns].sum(axis=1))


def listed_once(items: pl.DataFrame) -> pl.DataFrame:
    """One row an item."""
    return items.sort("kind", "item_no", "pack_size", "pack_price").unique("item_no", keep="first", maintain_order=True)


def successors(listed: pl.DataFrame) -> tuple[dict[str, str], list[str]]:
    """For each item that another replaces, the last one of that chain; and what was found wrong.

    Where several replace one item the first by number does. An item that does not fit in its place, or a circle, is
    said and not followed.
    """
    records = {row["item_no"]: row for row in listed.to_dicts()}
    step: dict[str, str] = {}
    notes = []
    for new in sorted(records):
        old = records[new]["replaces"]
        if old is None or old == new or old not in records:
            continue
        unlike = [n for n in FITS if None not in (records[new].get(n), records[old].get(n))
                  and records[new][n] != records[old][n]]  # fmt: skip
        if unlike:
            what = " and ".join(name.removesuffix("_in") for name in unlike)
            notes.append(f"{new} is to replace {old} but differs in {what}: each is ordered by its own use.")
        elif old in step:
            notes.append(f"Both {step[old]} and {new} are to replace {old}: its need goes to {step[old]}.")
        else:
            step[old] = new
    last = {}
    for old in step:
        seen, now = {old}, step[old]
        while now in step and now not in seen:
            seen.add(now)
            now = step[now]
        if now in seen:
            said = f"{' and '.join(sorted(seen))} replace each other: each is ordered by its own use."
            notes += [said] if said not in notes else []
        else:
            last[old] = now
    return last, notes


def on_hand(closing_stock: pl.DataFrame, settings: Settings) -> dict[str, float]:
    """Usable stock and the usable share of doubtful stock, by item."""
    doubtful = float(settings.number("doubtful_share") or 0)
    return {
        row["item_no"]: float(row["usable"] or 0) + doubtful * float(row["doubtful"] or 0)
        for row in closing_stock.to_dicts()
    }


def wanted(demand: Demand, items: pl.DataFrame, stock: dict[str, float]) -> tuple[list[Wanted], list[str]]:
    """The items to order, and what is to be said of the rest."""
    listed = listed_once(items)
    last, notes = successors(listed)
    out, idle, unlisted = [], [], sorted(set(demand.items) - set(listed["item_no"]))
    for item in listed.to_dicts():
        name = item["item_no"]
        if name in last:
            continue
        own = [name, *sorted(old for old, new in last.items() if new == name)]
        columns = [demand.items.index(one) for one in own if one in demand.items]
        if not columns:
            idle.append(name)
            continue
        out.append(Wanted(item, columns, sum(stock.get(one, 0.0) for one in own)))
        if len(own) > 1:
            notes.append(
                f"{name} replaces {', '.join(own[1:])}: it is ordered for their need, less what is left of them."
            )
    if idle:
        notes.append(f"No need is forecast for what no job used: {', '.join(idle)}.")
    if unlisted:
        notes.append(f"Used, but not listed in items, so not ordered: {', '.join(unlisted)}.")
    return out, notes


def offers_of(item: Item, offers: pl.DataFrame) -> tuple[Offer, ...]:
    """The price at which an item can be had at any time, first, and every offer for it.

    That is the list price of the closed season; an offer for one pack of the same size without a last day is next
    season's, and stands in its place.
    """
    listed = [Offer("list price", float(item["pack_size"]), float(item["pack_price"]))]
    own = offers.filter(pl.col("item_no") == item["item_no"]).sort("pack_size", "min_packs", "pack_price", "order_by")
    for row in own.to_dicts():
        least = int(row["min_packs"] or 1)
        name = f"offer, {float(row['pack_size']):g} a pack" + (f", from {least} packs" if least > 1 else "")
        listed.append(Offer(name, float(row["pack_size"]), float(row["pack_price"]), least, row["order_by"]))
    size = listed[0].pack_size
    always = [o for o in listed[1:] if (o.pack_size, o.min_packs, o.order_by) == (size, 1, None)]
    if always:
        first = min(always, key=lambda offer: offer.pack_price)
        listed = [first, *(offer for offer in listed[1:] if offer is not first)]
    return tuple(listed)
