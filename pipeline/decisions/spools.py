"""Which spools to cut next season's runs from, and how near that comes to no offcut at all."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass
from decimal import Decimal

import polars as pl

from pipeline.decisions.policy import SPOOL_SIZES_FT

SCHEMA = {
    "season": pl.Int32, "spacing_in": pl.Float64, "colour": pl.String, "spool_size_ft": pl.Float64,
    "item_no": pl.String, "spools": pl.Int32, "feet": pl.Float64, "offcut_ft": pl.Float64, "bound_usd": pl.Float64,
    "plan_usd": pl.Float64,
}  # fmt: skip


@dataclass(frozen=True)
class Spool:
    """A spool that can be bought: feet, usd, and the fewest that must be taken at that price."""

    size_ft: float
    price_usd: float
    min_packs: int = 1


Cut = dict[float, tuple[int, float]]
"""Spools and the feet cut from them, by spool size in ft."""


def first_fit_decreasing(lengths: Iterable[float], size: float) -> list[float]:
    """Feet used of each spool when the longest pieces are cut first, each from the first spool that still holds it."""
    used: list[float] = []
    for length in sorted(lengths, reverse=True):
        for index, feet in enumerate(used):
            if feet + length <= size + 1e-9:
                used[index] = feet + length
                break
        else:
            used.append(length)
    return used


def pieces(lengths: Iterable[float], longest: float) -> list[float]:
    """Lengths with each run longer than a spool cut into spools and a rest."""
    out: list[float] = []
    for length in lengths:
        whole, rest = divmod(length, longest)
        out += [longest] * int(whole)
        if rest > 1e-9:
            out.append(rest)
    return out


def price_at(number: int, size: float, bought: Iterable[Spool]) -> float:
    """Price of one spool of a size when `number` of them are taken; infinite where so few are not sold."""
    prices = [spool.price_usd for spool in bought if spool.size_ft == size and spool.min_packs <= number]
    return min(prices, default=math.inf)


def plan_cost(lengths: list[float], bought: list[Spool]) -> tuple[Cut, float]:
    """The cheapest plan that cuts from one size, with or without each spool swapped for the cheapest that holds it.

    Returns spools and feet cut from each size, and the plan's cost. A price for several spools counts only where the
    plan takes as many. Where no plan can be bought the cost is infinite.
    """
    sizes = sorted({spool.size_ft for spool in bought})
    best: tuple[Cut, float] = ({}, math.inf)
    for main in sizes:
        used = first_fit_decreasing(pieces(lengths, main), main)
        single = {size: price_at(1, size, bought) for size in sizes}
        at_main = price_at(len(used), main, bought)
        for swap in (True, False):
            counts: Cut = {}
            for feet_cut in used:
                fitting = [size for size in sizes if size >= feet_cut - 1e-9] if swap else [main]
                size = min(fitting, key=lambda s: (at_main if s == main else single[s], s))
                number, feet = counts.get(size, (0, 0.0))
                counts[size] = (number + 1, feet + feet_cut)
            cost = sum(number * price_at(number, size, bought) for size, (number, _) in counts.items())
            if cost < best[1] - 1e-9:
                best = (counts, cost)
    return best


def _spools_of(item: dict, offers: pl.DataFrame) -> list[Spool]:
    own = offers.filter(pl.col("item_no") == item["item_no"])
    listed = {Spool(float(item["pack_size"]), float(item["pack_price"]))}
    listed |= {
        Spool(float(row["pack_size"]), float(row["pack_price"]), int(row["min_packs"] or 1)) for row in own.to_dicts()
    }
    return sorted(listed, key=lambda spool: (spool.size_ft, spool.min_packs, spool.price_usd))


def _float(value: Decimal | None) -> float | None:
    return None if value is None else float(value)


def _scaled(lengths: list[float], need: float) -> list[float]:
    """The season's run lengths repeated until they cover the need, the last one cut short."""
    out: list[float] = []
    left = need
    while left > 1e-9:
        for length in lengths:
            out.append(min(length, left))
            left -= out[-1]
            if left <= 1e-9:
                break
    return out


def spool_plan(
    runs: pl.DataFrame,
    jobs: pl.DataFrame,
    items: pl.DataFrame,
    offers: pl.DataFrame,
    order: pl.DataFrame,
    *,
    season: int,
) -> tuple[pl.DataFrame, list[str]]:
    """Spools of each light line that cover the middle need of next season at the least cost found.

    `runs`, `jobs`, `items` and `offers` are the closed season's records, `order` its decisions.order_lines. Runs of new
    jobs stand for next season's, repeated to the middle need less stock. bound_usd is the need at the cheapest price a
    foot, under which no plan can fall. Returns rows of decisions.spool_plan and notes.
    """
    empty = pl.DataFrame(schema=SCHEMA)
    if runs.is_empty() or order.is_empty():
        return empty, ["A spool plan needs runs, items and an order (records of level 3)."]
    new = runs.join(jobs.filter(pl.col("work") == "new"), on=["branch", "job_no"], how="semi")
    new = new.with_columns(pl.col("feet").cast(pl.Float64)).sort("branch", "job_no", "run_no")
    rows: list[dict] = []
    notes = [
        "The plan covers the middle need, this season's offcut within it; the order above also covers a busy season."
    ]
    for line in order.filter(pl.col("kind") == "light_line").unique("item_no").sort("item_no").to_dicts():
        lengths = new.filter(pl.col("line_item") == line["item_no"])["feet"].to_list()
        need = line["need_p50"] - line["on_hand"]
        if not lengths or need <= 0:
            continue
        listed = items.filter(pl.col("item_no") == line["item_no"]).sort("pack_size", "pack_price")
        item = listed.row(0, named=True)
        bought = _spools_of(item, offers)
        counts, cost = plan_cost(_scaled(lengths, need), bought)
        if not math.isfinite(cost):
            notes.append(f"{line['item_no']} is offered only in more spools than the middle need takes: no plan.")
            continue
        bound = need * min(spool.price_usd / spool.size_ft for spool in bought)
        rows += [
            {
                "season": season + 1, "spacing_in": _float(item["spacing_in"]), "colour": item["colour"],
                "spool_size_ft": size, "item_no": line["item_no"], "spools": number, "feet": feet,
                "offcut_ft": number * size - feet, "bound_usd": bound, "plan_usd": cost,
            }
            for size, (number, feet) in sorted(counts.items(), reverse=True)
        ]  # fmt: skip
    if not rows:
        return empty, ["The stock of light line covers the middle need, so no spools are planned."]
    sizes = ", ".join(f"{size:,}" for size in SPOOL_SIZES_FT)
    notes.append(f"Spools of {sizes} ft are usual; a size counts here only where items or offers give its price.")
    return pl.DataFrame(rows, schema=SCHEMA, strict=False), notes
