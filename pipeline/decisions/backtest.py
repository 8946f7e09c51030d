"""The order that would have been advised a season ago against what was used, beside two rules of thumb."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
import polars as pl
from numpy.typing import NDArray

from pipeline.decisions.demand import Demand, Records, next_season
from pipeline.decisions.order_offers import Ladder, ladder
from pipeline.decisions.order_plan import Plan
from pipeline.decisions.reorder import Order, place_order
from pipeline.settings import Settings
from pipeline.statistics.newsvendor import pinball

Floats = NDArray[np.float64]

LEVELS = (0.1, 0.5, 0.9)
"""Quantiles of the need whose forecasts are scored."""
RULES = {"advised": None, "last_year_plus_10": 1.1, "last_year": 1.0}
"""Orders that are compared: the one advised, and the last season's use with 10 % on it, and as it was."""
SCHEMA = {
    "season": pl.Int32, "of_season": pl.Int32, "item_no": pl.String, "kind": pl.String, "unit": pl.String,
    "rule": pl.String, "available": pl.Float64, "ordered": pl.Float64, "topped_up": pl.Float64, "used": pl.Float64,
    "short": pl.Float64, "left_over": pl.Float64, "cost_usd": pl.Float64, "lost_usd": pl.Float64,
    "need_p10": pl.Float64, "need_p50": pl.Float64, "need_p90": pl.Float64, "chance_short": pl.Float64,
    "pinball_p10": pl.Float64, "pinball_p50": pl.Float64, "pinball_p90": pl.Float64,
}  # fmt: skip


@dataclass(frozen=True)
class Past:
    """What the store holds of every season: `records` of Records but for its items; records.items and records.offers,
    facts.closing_stock, facts.stock_counts; the settings and the contribution of a foot (usd) by season."""

    records: Records
    offers: pl.DataFrame
    closing_stock: pl.DataFrame
    stock_counts: pl.DataFrame
    settings: Callable[[int], Settings]
    contribution: Callable[[int], float]

    def seasons(self) -> list[int]:
        """The seasons with records of goods, in order."""
        return self.records.job_items["season"].unique().sort().to_list()


@dataclass(frozen=True)
class Came:
    """What came true of a season: use by item, what was on hand before it by item, new jobs, properties with a job."""

    used: dict[str, float]
    opening: dict[str, float]
    new: int
    properties: frozenset[str]


def of_season(frame: pl.DataFrame, season: int) -> pl.DataFrame:
    """A season's rows."""
    return frame.filter(pl.col("season") == season)


def came_true(past: Past, season: int, doubtful: float) -> Came:
    """What came true of a season; doubtful goods in its opening stock count by `doubtful`."""
    uses = of_season(past.records.item_use, season).sort("item_no", "branch")
    used = uses.group_by("item_no").agg(pl.col("net_used").cast(pl.Float64).sum())
    counts = of_season(past.stock_counts, season).filter(pl.col("end_of_season") == "opening")
    worth = pl.when(pl.col("condition") == "usable").then(1.0).otherwise(doubtful) * pl.col("on_hand").cast(pl.Float64)
    counts = counts.sort("item_no", "condition", "on_hand")
    jobs = of_season(past.records.job_items, season)
    return Came(
        dict(used.iter_rows()), dict(counts.group_by("item_no").agg(worth.sum()).iter_rows()),
        jobs.filter(pl.col("work") == "new").select("branch", "job_no").unique().height,
        frozenset(of_season(past.records.properties, season)["property_no"]),
    )  # fmt: skip


def backtest(past: Past, *, season: int, seed: int) -> tuple[pl.DataFrame, list[str]]:
    """The advised order of each season up to `season` that has the one before it in the store, with what was known at
    the end of that one, against what was used.

    Returns rows of decisions.order_backtest, and notes. What was on hand is the opening count, else what had been left
    and came back. Costs are those of `Plan`: packs, later packs, hurried ones, less the worth of what is left.
    lost_usd is what the order cost beyond the best one for what came true.
    """
    known = [one for one in past.seasons() if one <= season]
    rows: list[dict] = []
    for before, now in ((one, one + 1) for one in known if one + 1 in known):
        records = Records(
            past.records.job_items,
            past.records.properties,
            past.records.item_use,
            of_season(past.records.items, before),
        )
        settings = past.settings(before)
        demand = next_season(records, settings, season=before, seed=seed)
        order = place_order(
            demand, records, of_season(past.offers, before), of_season(past.closing_stock, before), settings,
            contribution_usd_per_ft=past.contribution(before), season=before,
        )  # fmt: skip
        came = came_true(past, now, float(settings.number("doubtful_share") or 0))
        last = came_true(past, before, 0.0).used
        rows += [row | {"of_season": now} for row in _scored(demand, order, came, last)]
    table = pl.DataFrame(rows, schema={k: v for k, v in SCHEMA.items() if k != "season"})
    table = table.with_columns(season=pl.lit(season + 1, dtype=pl.Int32)).select(*SCHEMA)
    notes = [] if rows else ["The order cannot be tried on a season that is over: that takes two seasons in a row."]
    return table, notes


def _scored(demand: Demand, order: Order, came: Came, last: dict[str, float]) -> list[dict]:
    whole = np.array([one in came.properties for one in demand.model.properties], dtype=bool)
    forecast = demand.model.of(came.new, whole)
    back = (1 - whole.astype(float)) @ -demand.model.if_gone
    places = order.choice.places if order.choice else []
    rows = []
    for want, plan, place in zip(order.wanted, order.plans, places, strict=True):
        names = [demand.items[column] for column in want.columns]
        used, was = (sum(taken.get(name, 0.0) for name in names) for taken in (came.used, last))
        counted = [came.opening[name] for name in names if name in came.opening]
        available = sum(counted) if counted else want.on_hand + float(back[want.columns].sum())
        taken = want.sum_of(demand.taken)
        levels = [float(value) for value in np.quantile(taken, LEVELS)]
        most = max(0.0, *(times * was - want.on_hand for times in RULES.values() if times), used - available)
        steps = ladder(plan.ladder.offers, max(most + float(want.item["pack_size"]), float(plan.quantities[-1])))
        for rule, times in RULES.items():
            if times is None:
                had, usd = float(plan.quantities[place]), float(plan.usd[place])
                later = plan.topped_up(place, float(forecast[want.columns].sum()) - want.on_hand)
            else:
                had, usd = at_least(steps, times * was - want.on_hand)
                later = 0.0
            said = levels if times is None else [times * was] * len(LEVELS)
            rows.append(
                _outcome(plan, steps, (had, usd), later, used - available)
                | {"item_no": want.item["item_no"], "kind": want.item["kind"], "unit": want.item["unit"]}
                | {"rule": rule, "available": available, "used": used}
                | dict(zip(("need_p10", "need_p50", "need_p90"), said, strict=True))
                | {"chance_short": float(plan.chance_short[place]) if times is None else None}
                | {
                    f"pinball_p{round(level * 100)}": pinball(np.array([used]), np.array([value]), level)
                    for level, value in zip(LEVELS, said, strict=True)
                }
            )
    return rows


def at_least(steps: Ladder, units: float) -> tuple[float, float]:
    """The quantity of so many units or more that is cheapest, and its price."""
    usd = np.where(steps.quantities >= units - 1e-9, steps.usd, np.inf)
    place = int(np.argmin(usd))
    return float(steps.quantities[place]), float(usd[place])


def _outcome(plan: Plan, steps: Ladder, bought: tuple[float, float], later: float, short: float) -> dict:
    """What an order came to where `short` units were missing of what was on hand: `bought` are its units and price."""
    had, usd = bought
    missing, left = max(0.0, short - had - later), min(had + later, max(0.0, had + later - short))
    price = plan.top_up.pack_price / plan.top_up.pack_size if plan.top_up else 0.0
    rush, kept = plan.outcome.rush, plan.outcome.kept
    cost = usd + later * price + rush * missing - kept * left
    spare = np.minimum(steps.quantities, np.maximum(0, steps.quantities - short))
    best = float((steps.usd + rush * np.maximum(0, short - steps.quantities) - kept * spare).min())
    return {
        "ordered": had, "topped_up": later, "short": missing, "left_over": left, "cost_usd": cost,
        "lost_usd": max(0.0, cost - best),
    }  # fmt: skip
