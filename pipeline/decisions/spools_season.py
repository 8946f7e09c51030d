"""What the season's lines were cut with against the best that was possible, and the cut list that proves it."""

from __future__ import annotations

from collections import Counter
from typing import Any

import polars as pl

from pipeline.decisions.spools_line import kept_and_lost, on_spool, spacing_of, split_long, to_feet, to_sockets
from pipeline.statistics.cutting_plan import CuttingPlan
from pipeline.statistics.cutting_purchase import Stock
from pipeline.statistics.cutting_stock import cut_stock

OFFCUT_SCHEMA = {
    "season": pl.Int32, "item_no": pl.String, "spacing_in": pl.Float64, "colour": pl.String,
    "spool_sizes": pl.String, "runs": pl.Int32, "feet": pl.Float64, "net_ft": pl.Float64, "offcut_ft": pl.Float64,
    "offcut_share": pl.Float64, "possible_ft": pl.Float64, "possible_share": pl.Float64, "kept_ft": pl.Float64,
    "spools": pl.Int32, "spool_ft": pl.Float64, "bound_ft": pl.Float64, "unit_cost_usd": pl.Float64,
    "saved_usd": pl.Float64,
}  # fmt: skip
LIST_SCHEMA = {
    "season": pl.Int32, "item_no": pl.String, "spacing_in": pl.Float64, "colour": pl.String, "cut_no": pl.Int32,
    "spools": pl.Int32, "spool_size_ft": pl.Float64, "length_ft": pl.Float64, "sockets": pl.Int32,
    "pieces": pl.Int32, "left_ft": pl.Float64,
}  # fmt: skip


def _sizes(item_no: str, items: pl.DataFrame, purchases: pl.DataFrame) -> list[float]:
    """The sizes of the spools that were bought in the season; those of the list where nothing was bought."""
    bought = purchases.filter(pl.col("item_no") == item_no)["pack_size"].drop_nulls().unique().to_list()
    listed = items.filter(pl.col("item_no") == item_no)["pack_size"].drop_nulls().unique().to_list()
    return sorted(float(size) for size in bought or listed)


def _used(item_no: str, use: pl.DataFrame) -> tuple[float | None, float | None]:
    """Net use on new jobs, ft, and cost of a foot, usd, over the branches; None where nothing says."""
    own = use.filter(pl.col("item_no") == item_no)
    net = own["net_new"].drop_nulls()
    cost = own["unit_cost_usd"].drop_nulls()
    return (float(net.sum()) if len(net) else None), (float(cost[0]) if len(cost) else None)


def _offcut_row(
    item: dict[str, Any], plan: CuttingPlan, feet: list[float], sizes: list[float], use: pl.DataFrame
) -> dict[str, Any]:
    spacing = spacing_of(item["spacing_in"])
    kept, lost = kept_and_lost(plan, spacing)
    fastened = sum(feet)
    rounding = to_feet(plan.bought_length - kept - lost, spacing) - fastened
    possible = to_feet(lost, spacing) + rounding
    net, cost = _used(item["item_no"], use)
    offcut = None if net is None else net - fastened
    return {
        "item_no": item["item_no"],
        "spacing_in": None if item["spacing_in"] is None else float(item["spacing_in"]),
        "colour": item["colour"],
        "spool_sizes": ", ".join(f"{size:,g}" for size in sizes),
        "runs": len(feet),
        "feet": fastened,
        "net_ft": net,
        "offcut_ft": offcut,
        "offcut_share": None if offcut is None else offcut / fastened,
        "possible_ft": possible,
        "possible_share": possible / fastened,
        "kept_ft": to_feet(kept, spacing),
        "spools": sum(plan.bought),
        "spool_ft": to_feet(plan.bought_length, spacing),
        "bound_ft": to_feet(plan.bound, spacing),
        "unit_cost_usd": cost,
        "saved_usd": None if offcut is None or cost is None else (offcut - possible) * cost,
    }


def _list_rows(item: dict[str, Any], plan: CuttingPlan, sizes: list[float]) -> list[dict[str, Any]]:
    spacing = spacing_of(item["spacing_in"])
    rows = []
    for number, cut in enumerate(plan.cuts, start=1):
        left = to_feet(plan.stocks[cut.stock].size - plan.used(cut), spacing)
        for length, pieces in zip(plan.lengths, cut.pieces, strict=True):
            if pieces:
                rows.append(
                    {
                        "item_no": item["item_no"],
                        "spacing_in": None if item["spacing_in"] is None else float(item["spacing_in"]),
                        "colour": item["colour"], "cut_no": number, "spools": cut.times,
                        "spool_size_ft": sizes[cut.stock], "length_ft": to_feet(length, spacing), "sockets": length,
                        "pieces": pieces, "left_ft": left,
                    }
                )  # fmt: skip
    return rows


def best_cutting(
    runs: pl.DataFrame,
    jobs: pl.DataFrame,
    items: pl.DataFrame,
    purchases: pl.DataFrame,
    use: pl.DataFrame,
    *,
    season: int,
) -> tuple[pl.DataFrame, pl.DataFrame, list[str]]:
    """Realized offcut of the season's new work by line beside the least possible, and the cut list that reaches it.

    `runs`, `jobs`, `items` and `purchases` are the season's records, `use` its measures.item_use. The best plan opens
    the least feet of spools of the sizes bought; what is left over on long lengths is stock and no offcut. Returns rows
    of decisions.offcut, of decisions.cut_list, and notes.
    """
    offcut, cut_list, notes = [], [], []
    new = runs.join(jobs.filter(pl.col("work") == "new"), on=["branch", "job_no"], how="semi")
    lines = items.filter(pl.col("kind") == "light_line").sort("item_no", "pack_size", "pack_price")
    for item in lines.unique("item_no", keep="first", maintain_order=True).to_dicts():
        own = new.filter(pl.col("line_item") == item["item_no"]).sort("branch", "job_no", "run_no")
        feet = [float(value) for value in own["feet"]]
        sizes = _sizes(item["item_no"], items, purchases)
        spacing = spacing_of(item["spacing_in"])
        stocks = [Stock(on_spool(size, spacing), on_spool(size, spacing)) for size in sizes]
        if not feet or not stocks or stocks[-1].size < 1:
            continue
        pieces = [to_sockets(one, spacing) for one in feet]
        longer = sum(piece > stocks[-1].size for piece in pieces)
        if longer:
            they = "1 run is longer than its" if longer == 1 else f"{longer} runs are longer than their"
            notes.append(f"{item['item_no']}: {they} longest spool and counted as whole spools and a rest, joined.")
        plan = cut_stock(Counter(split_long(pieces, stocks[-1].size)), stocks)
        offcut.append({"season": season} | _offcut_row(item, plan, feet, sizes, use))
        cut_list += [{"season": season} | row for row in _list_rows(item, plan, sizes)]
    return (
        pl.DataFrame(offcut, schema=OFFCUT_SCHEMA, strict=False),
        pl.DataFrame(cut_list, schema=LIST_SCHEMA, strict=False),
        notes,
    )
