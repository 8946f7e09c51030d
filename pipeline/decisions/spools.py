"""Which spools to buy for next season: the cheapest mix of sizes that next season's cut lists can be cut from."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
import polars as pl
from numpy.typing import NDArray

from pipeline.decisions.demand import Demand
from pipeline.decisions.policy import MOST_COVER, MOST_SPOOL_STEPS, SPOOL_STEP, USUAL_COVER
from pipeline.decisions.spools_line import (
    CENTS,
    Spool,
    on_spool,
    spacing_of,
    split_long,
    spools_of,
    stocks_of,
    to_feet,
    to_sockets,
)
from pipeline.statistics.cutting_fill import fits, pack
from pipeline.statistics.cutting_purchase import NotEnoughStock, Rule, Stock, cheapest_purchase, cost_of

Floats = NDArray[np.float64]

SCHEMA = {
    "season": pl.Int32, "spacing_in": pl.Float64, "colour": pl.String, "spool_size_ft": pl.Float64,
    "item_no": pl.String, "spools": pl.Int32, "feet": pl.Float64, "offcut_ft": pl.Float64, "bound_usd": pl.Float64,
    "plan_usd": pl.Float64, "pack_price": pl.Float64, "order_by": pl.Date, "supplier": pl.String,
    "chance_covered": pl.Float64, "draws": pl.Int32, "one_size_ft": pl.Float64, "one_size_usd": pl.Float64,
}  # fmt: skip


@dataclass(frozen=True)
class CutList:
    """A drawn season of one line: the pieces that are cut, in sockets, and what else is taken, of any length."""

    pieces: tuple[int, ...]
    other: int

    @property
    def total(self) -> int:
        """Sockets in all."""
        return sum(self.pieces) + self.other

    def beyond(self, on_hand: int) -> CutList:
        """What stock does not cover: it goes to what has no length of its own, then to the shortest pieces."""
        other = max(0, self.other - on_hand)
        left = max(0, on_hand - self.other)
        kept = sorted(self.pieces)
        while kept and kept[0] <= left:
            left -= kept.pop(0)
        return CutList(tuple(kept), other)

    def goes_on(self, sizes: Sequence[int], spools: Sequence[int]) -> bool:
        """Whether the pieces can be cut from the spools with as much left as the rest takes."""
        opened = [size for size, number in zip(sizes, spools, strict=True) for _ in range(number)]
        return self.total <= sum(opened) and fits(self.pieces, opened)


def drawn_needs(demand: Demand) -> pl.DataFrame:
    """draw, item_no and need of the draws that have cut lists, in the item's unit."""
    draws = len(demand.picked)
    return pl.DataFrame(
        {
            "draw": np.repeat(np.arange(draws, dtype=np.int32), len(demand.items)),
            "item_no": demand.items * draws,
            "need": demand.needs[:draws].ravel(),
        }
    )


def drawn_lists(cut_lists: pl.DataFrame, needs: pl.DataFrame, item_no: str, spacing_in: float) -> list[CutList]:
    """The drawn seasons of a line. Arguments as those of `spool_plan`."""
    own = cut_lists.filter(pl.col("line_item") == item_no)
    by_draw: dict[int, list[int]] = {}
    for row in own.select("draw", "feet", "pieces").iter_rows():
        by_draw.setdefault(row[0], []).extend([to_sockets(float(row[1]), spacing_in)] * int(row[2]))
    lists = []
    for draw, need in needs.filter(pl.col("item_no") == item_no).sort("draw").select("draw", "need").iter_rows():
        pieces = tuple(sorted(by_draw.get(draw, ())))
        lists.append(CutList(pieces, max(0, to_sockets(need, spacing_in) - sum(pieces)) if need > 0 else 0))
    return lists


@dataclass(frozen=True)
class Mix:
    """Spools of each stock, their cost in cents, the bound under it, the share of the drawn lists that they cover, and
    the largest of those."""

    spools: tuple[int, ...]
    cost: int
    bound: int
    covered: float
    largest: CutList


def _covered(
    lists: Sequence[CutList], sizes: Sequence[int], spools: Sequence[int], most_missed: int
) -> list[CutList] | None:
    """The lists that can be cut from spools, or None as soon as more are missed than may be."""
    covered = []
    missed = 0
    for one in lists:
        if one.goes_on(sizes, spools):
            covered.append(one)
        else:
            missed += 1
            if missed > most_missed:
                return None
    return covered


def cheapest_mix(
    lists: Sequence[CutList], stocks: Sequence[Stock], cover: float, most_cost: float = math.inf
) -> Mix | None:
    """The cheapest spools found from which a share `cover` of the drawn lists can be cut; None where none is found that
    costs less than `most_cost` (cents).

    Enough sockets for that share, and a spool as long as its longest run, is needed whatever is bought, and costs the
    bound; where the pieces do not go into such a purchase, a little more is bought.
    """
    asked = max(1, math.ceil(cover * len(lists) - 1e-9)) - 1
    enough = sorted(one.total for one in lists)[asked]
    longest = sorted(max(one.pieces, default=0) for one in lists)[asked]
    holds = Rule(tuple(int(stock.size >= longest) for stock in stocks), int(longest > 0))
    sizes = [stock.size for stock in stocks]
    bound = 0
    for step in range(MOST_SPOOL_STEPS):
        try:
            spools = cheapest_purchase([holds, Rule(tuple(sizes), int(enough * (1 + step * SPOOL_STEP)))], stocks)
        except NotEnoughStock:
            return None
        cost = cost_of(spools, stocks)
        if cost >= most_cost:
            return None
        bound = bound or cost
        covered = _covered(lists, sizes, spools, int(len(lists) * (1 - cover) + 1e-9))
        if covered is not None:
            largest = max(covered, key=lambda one: (one.total, one.pieces))
            return Mix(spools, cost, bound, len(covered) / len(lists), largest)
    return None


def _one_size(lists: Sequence[CutList], stocks: Sequence[Stock], cover: float) -> tuple[int, int] | None:
    """The size whose spools alone cover the lists at the least cost, and that cost."""
    best = None
    for size in sorted({stock.size for stock in stocks}, reverse=True):
        own = [stock for stock in stocks if stock.size == size]
        mix = cheapest_mix(lists, own, cover, best[1] if best else math.inf)
        best = (size, mix.cost) if mix is not None else best
    return best


def _rows(
    item: dict[str, Any], spools: Sequence[Spool], mix: Mix, lists: int, one: tuple[float | None, float | None]
) -> list[dict]:
    """A row a spool size of the mix, with how the largest list that it covers is cut from it."""
    spacing = spacing_of(item["spacing_in"])
    stocks = stocks_of(spools, spacing)
    lengths = sorted(set(mix.largest.pieces), reverse=True)
    counts = [mix.largest.pieces.count(length) for length in lengths]
    cuts = pack(lengths, counts, [stock.size for stock in stocks], mix.spools) or []
    rows = []
    for place, (spool, number) in enumerate(zip(spools, mix.spools, strict=True)):
        if not number:
            continue
        used = sum(
            cut.times * sum(length * times for length, times in zip(lengths, cut.pieces, strict=True))
            for cut in cuts
            if cut.stock == place
        )
        feet = to_feet(used, spacing)
        rows.append(
            {
                "spacing_in": None if item["spacing_in"] is None else float(item["spacing_in"]),
                "colour": item["colour"], "spool_size_ft": spool.size_ft, "item_no": item["item_no"],
                "spools": number, "feet": feet, "offcut_ft": number * spool.size_ft - feet,
                "bound_usd": mix.bound / CENTS, "plan_usd": mix.cost / CENTS, "pack_price": spool.price_usd,
                "order_by": spool.order_by, "supplier": item["supplier"], "chance_covered": mix.covered,
                "draws": lists, "one_size_ft": one[0], "one_size_usd": one[1],
            }
        )  # fmt: skip
    return rows


def _cover(order: pl.DataFrame, item_no: str) -> float | None:
    """The chance of having enough that the order gives, up to MOST_COVER; None where it orders nothing of the line."""
    own = order.filter(pl.col("item_no") == item_no)
    if own.is_empty() or not int(own["packs"].sum() or 0):
        return None
    short = own["chance_short"].drop_nulls()
    return min(1 - float(short.max()), MOST_COVER) if len(short) else USUAL_COVER  # type: ignore[arg-type]


def _planned(
    item: dict[str, Any], lists: list[CutList], spools: list[Spool], on_hand: float, cover: float
) -> tuple[list[dict], str | None]:
    """Rows of a line, or none and why."""
    spacing = spacing_of(item["spacing_in"])
    stocks = stocks_of(spools, spacing)
    longest = max(stock.size for stock in stocks)
    short = [CutList(tuple(split_long(one.pieces, longest)), one.other) for one in lists]
    left = [one.beyond(on_spool(max(0.0, on_hand), spacing)) for one in short]
    # The largest first, so that spools that are too few are soon known to be.
    left.sort(key=lambda one: (one.total, one.pieces), reverse=True)
    mix = cheapest_mix(left, stocks, cover)
    if mix is None:
        return [], f"{item['item_no']} is offered only in more spools than the need takes: no plan."
    if not any(mix.spools):
        return [], f"The stock of {item['item_no']} covers the cut lists that the order covers."
    one = _one_size(left, stocks, cover)
    sizes = {on_spool(spool.size_ft, spacing): spool.size_ft for spool in spools}
    return _rows(item, spools, mix, len(left), (sizes[one[0]], one[1] / CENTS) if one else (None, None)), None


def spool_plan(
    cut_lists: pl.DataFrame,
    needs: pl.DataFrame,
    items: pl.DataFrame,
    offers: pl.DataFrame,
    order: pl.DataFrame,
    *,
    season: int,
) -> tuple[pl.DataFrame, list[str]]:
    """The cheapest mix of spools of each light line from which as many drawn seasons are cut as the order covers, at
    most MOST_COVER of them.

    `cut_lists` has draw, line_item, feet and pieces: the runs of new work in each drawn season. `needs` has draw,
    item_no and need (feet): all that the same season takes, usual offcut and replacements with it. `items` and `offers`
    are the closed season's records, `order` its decisions.order_lines. Returns rows of decisions.spool_plan and notes.
    """
    empty = pl.DataFrame(schema=SCHEMA)
    if cut_lists.is_empty() or order.is_empty():
        return empty, ["A spool plan needs the runs of new jobs, items and an order (records of level 3)."]
    rows: list[dict] = []
    notes: list[str] = []
    lines = items.filter(pl.col("kind") == "light_line").sort("item_no", "pack_size", "pack_price")
    for item in lines.unique("item_no", keep="first", maintain_order=True).to_dicts():
        cover = _cover(order, item["item_no"])
        lists = drawn_lists(cut_lists, needs, item["item_no"], spacing_of(item["spacing_in"]))
        if cover is None or not any(one.pieces for one in lists):
            continue
        on_hand = float(order.filter(pl.col("item_no") == item["item_no"])["on_hand"].max() or 0)  # type: ignore[arg-type]
        own, why = _planned(item, lists, spools_of(item, offers), on_hand, cover)
        rows += own
        notes += [why] if why else []
    if not rows:
        return empty, notes or ["The stock of light line covers the need, so no spools are planned."]
    return pl.DataFrame([{"season": season + 1} | row for row in rows], schema=SCHEMA, strict=False), notes
