"""Next season's order: need by simulation, less stock, in whole packs at the least expected cost."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

import numpy as np
import polars as pl
from numpy.typing import NDArray

from pipeline.decisions.policy import DEMAND_DRAWS
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


@dataclass(frozen=True)
class _Demand:
    """Draws of next season's need, a row a draw and a column an item."""

    items: list[str]
    needs: Floats
    notes: list[str]


def _matrix(rows: pl.DataFrame, items: list[str], column: str) -> Floats:
    """Jobs by items."""
    if rows.is_empty():
        return np.zeros((0, len(items)))
    wide = rows.sort("season", "branch", "job_no", "item_no").pivot(
        "item_no", index=["season", "branch", "job_no"], values=column, aggregate_function="sum"
    )
    missing = [pl.lit(0.0).alias(name) for name in items if name not in wide.columns]
    return wide.with_columns(missing).select(pl.col(items).fill_null(0.0)).to_numpy()


def _resampled(jobs: Floats, counts: NDArray[np.int64], rng: np.random.Generator) -> Floats:
    """Sums over `counts` jobs drawn whole with replacement, a row a draw."""
    if not len(jobs):
        return np.zeros((len(counts), jobs.shape[1]))
    chances = np.full(len(jobs), 1 / len(jobs))
    return np.asarray(rng.multinomial(counts, chances).astype(float) @ jobs)


def _returning(
    properties: pl.DataFrame, settings: Settings, season: int, rng: np.random.Generator
) -> tuple[NDArray[np.int64], str]:
    """Draws of how many of this season's properties return, and where the chance comes from."""
    now = properties.filter(pl.col("season") == season)["property_no"].n_unique()
    past = properties.filter((pl.col("season") < season) & pl.col("returned").is_not_null())
    came, seen = int(past["returned"].sum() or 0), past.height
    given = settings.number("return_rate")
    if seen:
        chance = rng.beta(came + 1, seen - came + 1, DEMAND_DRAWS)
        note = f"{came} of {seen} properties of earlier seasons came back the season after."
    elif given is not None:
        chance = np.full(DEMAND_DRAWS, float(given))
        note = "Returning properties follow the setting return_rate."
    else:
        note = "Returning properties are left out: one season shows no returns, and return_rate is not given."
        return np.zeros(DEMAND_DRAWS, dtype=np.int64), note
    return rng.binomial(now, chance).astype(np.int64), note


def _new_jobs(new_by_season: list[int], settings: Settings, rng: np.random.Generator) -> tuple[NDArray[np.int64], str]:
    low, likely, high = (settings.number(f"new_jobs_{name}") for name in ("low", "likely", "high"))
    if low is not None and likely is not None and high is not None and low <= likely <= high:
        if low == high:
            return np.full(DEMAND_DRAWS, int(low)), "New jobs are the number you gave."
        drawn = rng.triangular(float(low), float(likely), float(high), DEMAND_DRAWS)
        return np.rint(drawn).astype(
            np.int64
        ), f"New jobs lie between {low:.0f} and {high:.0f}, most likely {likely:.0f}."
    last = new_by_season[-1] if new_by_season else 0
    spread = float(np.std(new_by_season, ddof=1)) if len(new_by_season) > 1 else 0.0
    drawn = rng.normal(last, np.sqrt(spread**2 + last), DEMAND_DRAWS)
    note = (
        f"New jobs vary about this season's {last}; give new_jobs_low, new_jobs_likely and new_jobs_high to do better."
    )
    return np.maximum(0, np.rint(drawn)).astype(np.int64), note


def _demand(job_items: pl.DataFrame, properties: pl.DataFrame, settings: Settings, season: int, seed: int) -> _Demand:
    rng = np.random.default_rng(seed)
    upto = job_items.filter(pl.col("season") <= season).with_columns(pl.col("net", "built").cast(pl.Float64))
    used = upto.with_columns(
        use=pl.when((pl.col("work") == "new") & (pl.col("net").fill_null(0) <= 0))
        .then(pl.col("built").fill_null(0))
        .otherwise(pl.col("net").fill_null(0))
    )
    items = used["item_no"].unique().sort().to_list()
    new = used.filter((pl.col("work") == "new") & (pl.col("season") == season))
    repeat = used.filter(pl.col("work") == "repeat")
    counts = used.filter(pl.col("work") == "new").group_by("season").agg(pl.struct("branch", "job_no").n_unique())
    new_count, new_note = _new_jobs(counts.sort("season")["branch"].to_list(), settings, rng)
    back_count, back_note = _returning(properties, settings, season, rng)
    notes = [new_note, back_note]
    if repeat.is_empty() and back_count.any():
        notes.append("No repeat work is recorded yet, so replacements on returning properties are left out.")
    needs = _resampled(_matrix(new, items, "use"), new_count, rng)
    needs += _resampled(_matrix(repeat, items, "use"), back_count, rng)
    return _Demand(items, np.maximum(needs, 0), notes)


def _offers_of(item: dict, offers: pl.DataFrame) -> list[Offer]:
    listed = [Offer("list price", float(item["pack_size"]), float(item["pack_price"]))]
    for row in (
        offers.filter(pl.col("item_no") == item["item_no"]).sort("pack_size", "min_packs", "pack_price").to_dicts()
    ):
        name = f"offer, {float(row['pack_size']):g} a pack"
        name += f", from {row['min_packs']} packs" if row["min_packs"] > 1 else ""
        listed.append(
            Offer(name, float(row["pack_size"]), float(row["pack_price"]), int(row["min_packs"]), row["order_by"])
        )
    return listed


def _line(item: dict, needs: Floats, on_hand: float, listed: list[Offer], stops: float, settings: Settings) -> dict:
    """The order of one item: over its offers the packs with the least expected cost, purchase included."""

    def share(key: str) -> float:
        return float(settings.number(key) or 0)

    unit_price = float(item["pack_price"]) / float(item["pack_size"])
    under = share("rush_premium") * unit_price + (1 - share("rush_share")) * stops
    short = needs - on_hand
    weights = np.full(len(short), 1 / len(short))
    chosen: tuple[float, Offer, int] | None = None
    for offer in listed:
        offered = offer.pack_price / offer.pack_size
        over = (share("holding_rate") + share("obsolete_share")) * offered
        # What is bought short is bought at the list price later, so an offer's saving counts on what is needed.
        costs = Costs(under + unit_price - offered, over)
        packs, cost = best_packs(short, weights, offer, costs, share("service_floor"))
        total = cost + offered * float(np.maximum(short, 0).mean())
        if chosen is None or total < chosen[0] - 1e-9:
            chosen = (total, offer, packs)
    assert chosen is not None
    _, offer, packs = chosen
    p10, p50, p90 = np.quantile(needs, [0.1, 0.5, 0.9])
    have = on_hand + packs * offer.pack_size
    return {
        "item_no": item["item_no"], "kind": item["kind"], "unit": item["unit"], "colour": item["colour"],
        "supplier": item["supplier"], "offer": offer.name, "packs": packs, "pack_size": offer.pack_size,
        "pack_price": offer.pack_price, "amount_usd": packs * offer.pack_price, "need_p10": float(p10),
        "need_p50": float(p50), "need_p90": float(p90), "on_hand": on_hand,
        "chance_short": float((needs > have + 1e-9).mean()), "order_by": offer.order_by if packs else None,
        "why": f"{packs} packs and the stock cover the need in {(needs <= have + 1e-9).mean():.0%} of draws"
        if packs else "the stock covers the need",
    }  # fmt: skip


def order_lines(
    job_items: pl.DataFrame,
    property_seasons: pl.DataFrame,
    items: pl.DataFrame,
    offers: pl.DataFrame,
    closing_stock: pl.DataFrame,
    settings: Settings,
    *,
    contribution_usd_per_ft: float,
    season: int,
    seed: int,
) -> tuple[pl.DataFrame, list[str]]:
    """Next season's order by item, in whole packs.

    `job_items` and `property_seasons` hold every season of the store, the rest the closed season. Need = whole new jobs
    of the season, drawn again, and whole repeat jobs of all seasons for the properties that return. Running short of a
    unit costs rush_premium x its price and, for the rush that fails, the contribution of the feet it stops; a leftover
    costs holding_rate and obsolete_share of its price. Returns rows of decisions.order_lines and notes.
    """
    empty = pl.DataFrame(schema=SCHEMA)
    if job_items.is_empty() or items.is_empty():
        return empty, ["An order needs items, runs and goods movements (records of level 3)."]
    demand = _demand(job_items, property_seasons, settings, season, seed)
    notes = list(demand.notes)
    if closing_stock.is_empty():
        notes.append("No stock was counted, so the order takes nothing as on hand.")
    doubtful = float(settings.number("doubtful_share") or 0)
    stock = {
        row["item_no"]: float(row["usable"] or 0) + doubtful * float(row["doubtful"] or 0)
        for row in closing_stock.to_dicts()
    }
    now = job_items.filter(pl.col("season") == season)
    built = now.group_by("item_no", "kind").agg(pl.col("built").cast(pl.Float64).sum())
    feet = float(built.filter(pl.col("kind") == "light_line")["built"].sum())
    per_item = dict(built.select("item_no", "built").iter_rows())
    rows = []
    for item in items.unique("item_no", keep="first", maintain_order=True).sort("kind", "item_no").to_dicts():
        if item["item_no"] not in demand.items:
            continue
        needs = demand.needs[:, demand.items.index(item["item_no"])]
        units = per_item.get(item["item_no"]) or 0.0
        stops = contribution_usd_per_ft * feet / units if units else 0.0
        listed = _offers_of(item, offers)
        rows.append(_line(item, needs, stock.get(item["item_no"], 0.0), listed, max(0.0, stops), settings))
    table = pl.DataFrame(rows, schema_overrides={k: v for k, v in SCHEMA.items() if k != "season"})
    table = table.with_columns(season=pl.lit(season + 1, dtype=pl.Int32))
    return table.select(pl.col(name).cast(kind) for name, kind in SCHEMA.items()), notes
