"""Next season's order: need by simulation, less stock, in whole packs at the least expected cost."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

import numpy as np
import polars as pl
from numpy.typing import NDArray

from pipeline.decisions.demand import Demand, Records
from pipeline.settings import Settings

Floats = NDArray[np.float64]

SCHEMA = {
    "season": pl.Int32, "item_no": pl.String, "kind": pl.String, "unit": pl.String, "colour": pl.String,
    "supplier": pl.String, "offer": pl.String, "packs": pl.Int32, "pack_size": pl.Float64, "pack_price": pl.Float64,
    "amount_usd": pl.Float64, "need_p10": pl.Float64, "need_p50": pl.Float64, "need_p90": pl.Float64,
    "on_hand": pl.Float64, "chance_short": pl.Float64, "order_by": pl.Date, "why": pl.String,
}  # fmt: skip


@dataclass(frozen=True)
class Offer:
    """A price at which packs can be had, from `min_packs` on, until `order_by`."""

    name: str
    pack_size: float
    pack_price: float
    min_packs: int = 1
    order_by: date | None = None


@dataclass(frozen=True)
class Costs:
    """Cost of being wrong by one unit, usd: short (`under`) or left over (`over`)."""

    under: float
    over: float


def expected_cost(quantities: Floats, needs: Floats, weights: Floats, costs: Costs) -> Floats:
    """Expected cost of having each of `quantities` when the need is `needs` with probability `weights`.

    The newsvendor's cost (Arrow, Harris and Marschak 1951), exact on the distribution given.
    """
    gap = quantities[:, None] - needs[None, :]
    return np.asarray((costs.over * np.maximum(gap, 0) + costs.under * np.maximum(-gap, 0)) @ weights)


def best_packs(needs: Floats, weights: Floats, offer: Offer, costs: Costs, floor: float) -> tuple[int, float]:
    """The packs of one offer with the least expected cost, and that cost; never under the `floor` chance of enough.

    `needs` in units (what stock does not cover), `weights` sum to 1. Where nothing is needed even at the floor, none.
    """
    order = np.argsort(needs, kind="stable")
    covered = np.cumsum(weights[order])
    at_floor = needs[order][min(int(np.searchsorted(covered, floor - 1e-12)), len(needs) - 1)]
    least = int(np.ceil(max(0.0, float(at_floor)) / offer.pack_size - 1e-9)) if floor > 0 else 0
    most = max(least, int(np.ceil(max(0.0, float(needs.max())) / offer.pack_size - 1e-9)))
    packs = np.arange(least, most + 1)
    packs = np.unique(np.where(packs > 0, np.maximum(packs, offer.min_packs), 0))
    cost = expected_cost((packs * offer.pack_size).astype(float), needs, weights, costs)
    best = int(np.argmin(cost))
    return int(packs[best]), float(cost[best])


def _offers_of(item: dict, offers: pl.DataFrame) -> list[Offer]:
    listed = [Offer("list price", float(item["pack_size"]), float(item["pack_price"]))]
    own = offers.filter(pl.col("item_no") == item["item_no"]).sort("pack_size", "min_packs", "pack_price", "order_by")
    for row in own.to_dicts():
        least = int(row["min_packs"] or 1)
        name = f"offer, {float(row['pack_size']):g} a pack" + (f", from {least} packs" if least > 1 else "")
        listed.append(Offer(name, float(row["pack_size"]), float(row["pack_price"]), least, row["order_by"]))
    return listed


def best_offer(
    short: Floats, listed: list[Offer], list_price: float, stopped_usd: float, settings: Settings
) -> tuple[Offer, int]:
    """The offer and its packs with the least expected cost in all, purchase included.

    `short` are draws of the units that stock does not cover, `list_price` usd a unit, `stopped_usd` the contribution
    of the feet that a missing unit stops. A unit short costs rush_premium x list price + (1 - rush_share) x
    `stopped_usd`, a unit left over (holding_rate + obsolete_share) x its price.
    """

    def share(key: str) -> float:
        return float(settings.number(key) or 0)

    under = share("rush_premium") * list_price + (1 - share("rush_share")) * stopped_usd
    weights = np.full(len(short), 1 / len(short))
    chosen: tuple[float, Offer, int] | None = None
    for offer in listed:
        price = offer.pack_price / offer.pack_size
        over = (share("holding_rate") + share("obsolete_share")) * price
        # What is bought in a hurry is bought at the list price, so an offer's saving counts on what it covers.
        costs = Costs(under + list_price - price, over)
        packs, cost = best_packs(short, weights, offer, costs, share("service_floor"))
        total = cost + price * float(np.maximum(short, 0).mean())
        if chosen is None or total < chosen[0] - 1e-9:
            chosen = (total, offer, packs)
    assert chosen is not None
    return chosen[1], chosen[2]


def _why(item: dict, parts: dict[str, float], on_hand: float, packs: int, enough: float) -> str:
    unit = " ft" if item["unit"] == "ft" else ""
    made = [f"new work takes about {parts['new']:,.0f}{unit}"]
    if round(parts["replaced"]):
        made.append(f"returning properties {parts['replaced']:,.0f}")
    if round(parts["back"]):
        made.append(f"{parts['back']:,.0f} come back from leased jobs that end")
    stock = f"{on_hand:,.0f} on hand"
    cover = f"{stock} and {packs} packs are" if packs else f"{stock} are"
    return f"{', '.join(made)}; {cover} enough in {enough * 100:.0f} % of draws"


def _line(
    item: dict, demand: Demand, on_hand: float, listed: list[Offer], stopped_usd: float, settings: Settings
) -> dict:
    """The order of one item."""
    column = demand.items.index(item["item_no"])
    needs = demand.needs[:, column]
    list_price = float(item["pack_price"]) / float(item["pack_size"])
    offer, packs = best_offer(needs - on_hand, listed, list_price, stopped_usd, settings)
    p10, p50, p90 = np.quantile(needs, [0.1, 0.5, 0.9])
    short = float((needs > on_hand + packs * offer.pack_size + 1e-9).mean())
    parts = {name: float(getattr(demand, name)[:, column].mean()) for name in ("new", "replaced", "back")}
    return {
        "item_no": item["item_no"], "kind": item["kind"], "unit": item["unit"], "colour": item["colour"],
        "supplier": item["supplier"], "offer": offer.name, "packs": packs, "pack_size": offer.pack_size,
        "pack_price": offer.pack_price, "amount_usd": packs * offer.pack_price, "need_p10": float(p10),
        "need_p50": float(p50), "need_p90": float(p90), "on_hand": on_hand, "chance_short": short,
        "order_by": offer.order_by if packs else None, "why": _why(item, parts, on_hand, packs, 1 - short),
    }  # fmt: skip


def _stopped_usd(job_items: pl.DataFrame, season: int, contribution_usd_per_ft: float) -> dict[str, float]:
    """Contribution of the feet that a missing unit of an item stops: the feet hung for each unit built, times it."""
    built = job_items.filter(pl.col("season") == season).with_columns(pl.col("built").cast(pl.Float64))
    feet = float(built.sort("branch", "job_no", "item_no").filter(pl.col("kind") == "light_line")["built"].sum())
    units = built.sort("branch", "job_no").group_by("item_no", maintain_order=True).agg(pl.col("built").sum())
    return {name: max(0.0, contribution_usd_per_ft) * feet / count for name, count in units.iter_rows() if count}


def _unordered(items: pl.DataFrame, used: list[str]) -> list[str]:
    notes = []
    unused = items.filter(~pl.col("item_no").is_in(used))["item_no"].to_list()
    if unused:
        notes.append(f"No need is forecast for what no job used: {', '.join(unused)}.")
    replacing = items.filter(pl.col("replaces").is_not_null())
    for new, old in replacing.select("item_no", "replaces").iter_rows():
        notes.append(f"{new} replaces {old}, but each is ordered by its own use; move {old}'s line to {new} by hand.")
    return notes


def order_lines(
    demand: Demand,
    records: Records,
    offers: pl.DataFrame,
    closing_stock: pl.DataFrame,
    settings: Settings,
    *,
    contribution_usd_per_ft: float,
    season: int,
) -> tuple[pl.DataFrame, list[str]]:
    """Next season's order by item, in whole packs of one offer an item.

    `demand` has the draws of next season's need, `records` what they were drawn from; offers and stock are of the
    closed season. The offer and its packs are chosen by `best_offer`: the newsvendor's least expected cost on
    the draws, never below service_floor. Returns rows of decisions.order_lines and notes.
    """
    job_items, items = records.job_items, records.items
    empty = pl.DataFrame(schema=SCHEMA)
    if job_items.filter(pl.col("season") == season).is_empty() or items.is_empty():
        return empty, ["An order needs items, runs and goods movements (records of level 3)."]
    listed = items.sort("kind", "item_no", "pack_size", "pack_price").unique(
        "item_no", keep="first", maintain_order=True
    )
    notes = demand.notes + _unordered(listed, demand.items)
    if closing_stock.is_empty():
        notes.append("No stock was counted at the end of the season, so the order takes nothing as on hand.")
    doubtful = float(settings.number("doubtful_share") or 0)
    stock = {
        row["item_no"]: float(row["usable"] or 0) + doubtful * float(row["doubtful"] or 0)
        for row in closing_stock.to_dicts()
    }
    stopped = _stopped_usd(job_items, season, contribution_usd_per_ft)
    rows = [
        _line(item, demand, stock.get(name, 0.0), _offers_of(item, offers), stopped.get(name, 0.0), settings)
        for item in listed.to_dicts()
        if (name := item["item_no"]) in demand.items
    ]
    table = pl.DataFrame(rows, schema={k: v for k, v in SCHEMA.items() if k != "season"})
    table = table.with_columns(season=pl.lit(season + 1, dtype=pl.Int32))
    return table.select(pl.col(name).cast(kind) for name, kind in SCHEMA.items()), notes
