"""What one more connection of a kind costs: making it, and the faults it brings."""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np
import polars as pl
from numpy.typing import NDArray

from pipeline.decisions.policy import BOOTSTRAP_DRAWS, MIN_JOBS_FOR_FAULT_COST
from pipeline.settings import Settings
from pipeline.statistics.bootstrap import percentile_limits, ratio_of_sums

Floats = NDArray[np.float64]

SCHEMA = {
    "season": pl.Int32, "kind": pl.String, "connections": pl.Int32, "failed_points": pl.Int32,
    "rate_per_connection": pl.Float64, "fault_usd": pl.Float64, "parts_usd": pl.Float64, "make_usd": pl.Float64,
    "failure_usd": pl.Float64, "low": pl.Float64, "high": pl.Float64, "price_usd": pl.Float64,
    "price_low": pl.Float64, "price_high": pl.Float64, "place_in_order": pl.Int32,
}  # fmt: skip
JEFFREYS = 0.5
"""Events added to a count for its draws: Jeffreys' prior of a rate, whose limits cover as they say on the average."""


@dataclass(frozen=True)
class Making:
    """What it takes to make one connection of a kind, usd: labor, pieces, other parts; None where not known."""

    labor_usd: float | None
    piece_usd: float | None
    piece_life: float | None
    sundry_usd: float | None

    @property
    def parts_usd(self) -> float | None:
        """Pieces and other parts of one connection, as far as known; None where neither is."""
        if self.piece_usd is None and self.sundry_usd is None:
            return None
        return (self.piece_usd or 0.0) + (self.sundry_usd or 0.0)

    @property
    def usd(self) -> float | None:
        """Labor and what is known of parts; None where the minutes or the pay are not known."""
        return None if self.labor_usd is None else self.labor_usd + (self.parts_usd or 0.0)


@dataclass(frozen=True)
class Pricing:
    """Rows of decisions.connection_price, notes, and draws of a season's failures by kind, usd a connection."""

    table: pl.DataFrame
    notes: list[str]
    draws: dict[str, Floats] = field(default_factory=dict)


def making(goods: pl.DataFrame, settings: Settings, kind: str, loaded_usd_per_hour: float | None) -> Making:
    """The making of one connection of a kind, from facts.connection_goods and the joint settings."""
    minutes, sundry = settings.number(f"joint_minutes:{kind}"), settings.number(f"joint_parts:{kind}")
    labor = None
    if minutes is not None and loaded_usd_per_hour is not None:
        labor = float(minutes) / 60 * loaded_usd_per_hour
    rows = goods.filter(pl.col("made_for") == kind).to_dicts()
    piece = float(rows[0]["pieces"]) * rows[0]["unit_usd"] if rows else None
    life = rows[0]["life_seasons"] if rows else None
    return Making(labor, piece, life, None if sundry is None else float(sundry))


def cost_draws(costs: pl.DataFrame, fault: float, calls: int, seed: int) -> tuple[Floats, bool]:
    """Draws of the realized cost of a fault, usd, and whether they come from the jobs themselves.

    `costs` is facts.failure_costs: jobs are drawn with replacement, sums over sums. With fewer than
    MIN_JOBS_FOR_FAULT_COST jobs the relative error is taken as 1 / sqrt(calls), that of calls whose costs spread like
    an exponential.
    """
    known = costs.filter(pl.col("service_usd").is_not_null()).sort("branch", "job_no")
    if known.height >= MIN_JOBS_FOR_FAULT_COST and known.height == costs.height and known["points"].sum() > 0:
        money, points = (known[name].cast(pl.Float64).to_numpy() for name in ("service_usd", "points"))
        with np.errstate(divide="ignore", invalid="ignore"):
            drawn = ratio_of_sums(money, points, BOOTSTRAP_DRAWS, seed)
        if np.isfinite(drawn).all():
            return drawn, True
    return fault * np.random.default_rng(seed).gamma(calls, 1 / calls, BOOTSTRAP_DRAWS), False


def _priced(kind: dict, fault: float, costs: Floats, made: Making, rng: np.random.Generator) -> tuple[dict, Floats]:
    """A kind's row, and draws of what its failures cost a connection and season, usd."""
    points, connections, wide = int(kind["failed_points"]), int(kind["connections"]), float(kind["widening"])
    rates = rng.gamma(points / wide + JEFFREYS, wide / connections, BOOTSTRAP_DRAWS)
    draws = rates * costs
    low, high = percentile_limits(draws)
    failure = points / connections * fault
    row = {
        "season": kind["season"], "kind": kind["kind"], "connections": connections, "failed_points": points,
        "rate_per_connection": points / connections, "fault_usd": fault, "parts_usd": made.parts_usd,
        "make_usd": made.usd, "failure_usd": failure, "low": low, "high": high,
    }  # fmt: skip
    for name, value in (("price_usd", failure), ("price_low", low), ("price_high", high)):
        row[name] = None if made.usd is None else made.usd + value
    return row, draws


def _reason(kinds: pl.DataFrame, service_cost: pl.DataFrame) -> str | None:
    """Why no price can be given, or None."""
    if kinds.is_empty():
        return "No connections were handed in, so no kind of connection has a price."
    if kinds["failed_points"].null_count() or service_cost.is_empty():
        return "Service calls were not handed in for every branch, so a fault has no price."
    if not service_cost["failed_points"][0]:
        return "No failed point was attended, so a fault has no realized cost."
    if not service_cost["usd_per_point"][0]:
        return "The cost of service is not known, so a fault has no price."
    return None


def price_connections(
    failures: pl.DataFrame,
    service_cost: pl.DataFrame,
    costs: pl.DataFrame,
    goods: pl.DataFrame,
    settings: Settings,
    *,
    loaded_usd_per_hour: float | None,
    seed: int,
) -> Pricing:
    """Price of one more connection by kind, usd.

    `failures` is measures.connection_failures and `service_cost` measures.service_cost of one season, all branches,
    `costs` facts.failure_costs and `goods` facts.connection_goods. failure_usd = failed points a connection x realized
    cost of a failed point; its 95 % limits come from draws of both: the rate from a gamma with Jeffreys' prior, a count
    in clusters as so many times fewer events, and the cost from the jobs that had service. Making is taken as given.
    """
    kinds = failures.filter((pl.col("kind") != "all") & (pl.col("connections") > 0)).sort("kind")
    reason = _reason(kinds, service_cost)
    if reason:
        return Pricing(pl.DataFrame(schema=SCHEMA), [reason])
    service = service_cost.row(0, named=True)
    fault = float(service["usd_per_point"])
    drawn, from_jobs = cost_draws(costs, fault, max(1, int(service["calls"])), seed)
    rng = np.random.default_rng([seed, 1])
    rows, draws = [], {}
    for kind in kinds.to_dicts():
        made = making(goods, settings, kind["kind"], loaded_usd_per_hour)
        row, draws[kind["kind"]] = _priced(kind, fault, drawn, made, rng)
        rows.append(row)
    unmade = dict.fromkeys(("parts_usd", "make_usd", "price_usd", "price_low", "price_high"), pl.Float64)
    table = pl.DataFrame(rows, schema_overrides=unmade)
    table = table.sort("failure_usd", "kind", descending=[True, False]).with_row_index("place_in_order", offset=1)
    notes = []
    if not from_jobs:
        notes.append(
            f"Fewer than {MIN_JOBS_FOR_FAULT_COST} jobs had service: how far the cost of a fault spreads is assumed."
        )
    if table["make_usd"].null_count():
        notes.append("Making a joint has no price for kinds without the setting joint_minutes.")
    return Pricing(table.select(pl.col(name).cast(kind) for name, kind in SCHEMA.items()), notes, draws)
