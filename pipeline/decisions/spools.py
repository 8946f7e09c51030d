"""Which spools to cut next season's runs from, and how near that comes to no offcut at all."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass

import polars as pl

from pipeline.decisions.policy import SPOOL_SIZES_FT

SCHEMA = {
    "season": pl.Int32, "spacing_in": pl.Float64, "colour": pl.String, "spool_size_ft": pl.Float64,
    "item_no": pl.String, "spools": pl.Int32, "feet": pl.Float64, "offcut_ft": pl.Float64, "bound_usd": pl.Float64,
    "plan_usd": pl.Float64,
}  # fmt: skip


@dataclass(frozen=True)
class Spool:
    """A spool that can be bought: feet and usd."""

    size_ft: float
    price_usd: float


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


def plan_cost(lengths: list[float], bought: list[Spool]) -> tuple[dict[Spool, tuple[int, float]], float]:
    """The cheapest plan that cuts from one size and swaps each spool for the cheapest that holds what is cut from it.

    Returns spools and feet cut from each, and the plan's cost.
    """
    best: tuple[dict[Spool, tuple[int, float]], float] | None = None
    for main in bought:
        counts: dict[Spool, tuple[int, float]] = {}
        cost = 0.0
        for used in first_fit_decreasing(pieces(lengths, main.size_ft), main.size_ft):
            fitting = [spool for spool in bought if spool.size_ft >= used - 1e-9]
            spool = min(fitting, key=lambda s: (s.price_usd, s.size_ft))
            number, feet = counts.get(spool, (0, 0.0))
            counts[spool] = (number + 1, feet + used)
            cost += spool.price_usd
        if best is None or cost < best[1] - 1e-9:
            best = (counts, cost)
    assert best is not None
    return best


def _spools_of(item: dict, offers: pl.DataFrame) -> list[Spool]:
    prices: dict[float, float] = {float(item["pack_size"]): float(item["pack_price"])}
    for row in offers.filter(pl.col("item_no") == item["item_no"]).to_dicts():
        size, price = float(row["pack_size"]), float(row["pack_price"])
        prices[size] = min(price, prices.get(size, math.inf))
    return [Spool(size, price) for size, price in sorted(prices.items())]


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
    rows = []
    for line in order.filter(pl.col("kind") == "light_line").sort("item_no").to_dicts():
        lengths = new.filter(pl.col("line_item") == line["item_no"])["feet"].to_list()
        need = line["need_p50"] - line["on_hand"]
        if not lengths or need <= 0:
            continue
        item = items.filter(pl.col("item_no") == line["item_no"]).row(0, named=True)
        bought = _spools_of(item, offers)
        counts, cost = plan_cost(_scaled(lengths, need), bought)
        bound = need * min(spool.price_usd / spool.size_ft for spool in bought)
        rows += [
            {
                "season": season + 1, "spacing_in": item["spacing_in"], "colour": item["colour"],
                "spool_size_ft": spool.size_ft, "item_no": line["item_no"], "spools": number, "feet": feet,
                "offcut_ft": number * spool.size_ft - feet, "bound_usd": bound, "plan_usd": cost,
            }
            for spool, (number, feet) in sorted(counts.items(), key=lambda pair: -pair[0].size_ft)
        ]  # fmt: skip
    if not rows:
        return empty, ["The stock of light line covers the middle need, so no spools are planned."]
    sizes = ", ".join(f"{size:,}" for size in SPOOL_SIZES_FT)
    notes = [
        "The plan covers the middle need; the order above also covers a busy season.",
        f"Spools of {sizes} ft are usual; a size counts here only where items or offers give its price.",
    ]
    return pl.DataFrame(rows).select(pl.col(name).cast(kind) for name, kind in SCHEMA.items()), notes
