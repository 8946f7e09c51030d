"""What one more connection of a kind costs: making it, and the faults it brings."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import polars as pl
from numpy.typing import NDArray

from pipeline.decisions.policy import BOOTSTRAP_DRAWS, WRONG_RANK_CHANCE
from pipeline.settings import Settings
from pipeline.statistics.bootstrap import percentile_limits
from pipeline.statistics.rates import chance_of_more

Floats = NDArray[np.float64]

SCHEMA = {
    "season": pl.Int32, "kind": pl.String, "connections": pl.Int32, "failed_points": pl.Int32,
    "rate_per_connection": pl.Float64, "fault_usd": pl.Float64, "make_usd": pl.Float64, "failure_usd": pl.Float64,
    "low": pl.Float64, "high": pl.Float64, "place_in_order": pl.Int32,
}  # fmt: skip


def not_told_from(kinds: Sequence[tuple[str, int, float]]) -> list[str]:
    """Of (kind, failed points, connection-nights), the kinds that the first cannot be told from by their rates.

    The first was picked since its rate is the highest, so that each comparison must hold over all pairs of kinds
    (Bonferroni). Faults that come in clusters make the truth less certain still.
    """
    if not kinds:
        return []
    _, worst, nights = kinds[0]
    pairs = len(kinds) * (len(kinds) - 1) / 2
    return [
        kind
        for kind, count, exposure in kinds[1:]
        if exposure > 0 and chance_of_more(worst, nights, count, exposure) * pairs > WRONG_RANK_CHANCE
    ]


def _make_usd(settings: Settings, kind: str, loaded_usd_per_hour: float | None) -> float | None:
    minutes, parts = settings.number(f"joint_minutes:{kind}"), settings.number(f"joint_parts:{kind}")
    if minutes is None or loaded_usd_per_hour is None:
        return None
    return float(minutes) / 60 * loaded_usd_per_hour + float(parts or 0)


def _unknown_note(kinds: pl.DataFrame) -> list[str]:
    unknown, known = int(kinds["unknown_kind_points"].max() or 0), int(kinds["failed_points"].sum())  # type: ignore[arg-type]
    if not unknown:
        return []
    return [
        f"{unknown} of {unknown + known} failed points name no kind of connection and are in no kind's price: were all "
        "of them at connections, the prices would be too low by that share on the average."
    ]


def _priced(kind: dict, fault: float, costs: Floats, rng: np.random.Generator) -> dict[str, float]:
    """What a kind's failures cost a connection, usd, at `fault` usd each, of which `costs` are draws."""
    points, connections = int(kind["failed_points"]), int(kind["connections"])
    low, high = percentile_limits(rng.gamma(points + 0.5, 1 / connections, BOOTSTRAP_DRAWS) * costs)
    return {
        "connections": connections, "failed_points": points, "rate_per_connection": points / connections,
        "fault_usd": fault, "failure_usd": points / connections * fault, "low": low, "high": high,
    }  # fmt: skip


def price_connections(
    failures: pl.DataFrame,
    service_cost: pl.DataFrame,
    settings: Settings,
    *,
    loaded_usd_per_hour: float | None,
    seed: int,
) -> tuple[pl.DataFrame, list[str]]:
    """Price of one more connection by kind, usd.

    `failures` is measures.connection_failures and `service_cost` measures.service_cost of one season, all branches.
    failure_usd = failed points a connection x realized cost of a failed point; its 95 % limits come from draws of both:
    the rate from a gamma with Jeffreys' prior (count + 1/2), the cost with a relative error of 1 / sqrt(calls), which
    is that of calls whose costs spread like an exponential. Returns rows of decisions.connection_price and notes.
    """
    empty = pl.DataFrame(schema=SCHEMA)
    kinds = failures.filter((pl.col("kind") != "all") & (pl.col("connections") > 0)).sort("kind")
    if kinds.is_empty():
        return empty, ["No connections were handed in, so no kind of connection has a price."]
    if kinds["failed_points"].null_count() or service_cost.is_empty():
        return empty, ["Service calls were not handed in for every branch, so a fault has no price."]
    if not service_cost["failed_points"][0]:
        return empty, ["No failed point was attended, so a fault has no realized cost."]
    service = service_cost.row(0, named=True)
    if not service["usd_per_point"]:
        return empty, ["The cost of service is not known, so a fault has no price."]
    fault, calls = float(service["usd_per_point"]), max(1, int(service["calls"]))
    rng = np.random.default_rng(seed)
    costs = fault * rng.gamma(calls, 1 / calls, BOOTSTRAP_DRAWS)
    rows = [
        {
            **_priced(kind, fault, costs, rng), "season": kind["season"], "kind": kind["kind"],
            "make_usd": _make_usd(settings, kind["kind"], loaded_usd_per_hour),
        }
        for kind in kinds.to_dicts()
    ]  # fmt: skip
    table = pl.DataFrame(rows, schema_overrides={"make_usd": pl.Float64})
    table = table.sort("failure_usd", "kind", descending=[True, False]).with_row_index("place_in_order", offset=1)
    notes = [
        f"A fault is counted at ${fault:.2f}: the season's cost of service over its {service['failed_points']} failed "
        "points, at connections or not.",
        *_unknown_note(kinds),
    ]
    if table["make_usd"].null_count():
        notes.append("Making a joint has no price for kinds without the settings joint_minutes and joint_parts.")
    return table.select(pl.col(name).cast(kind) for name, kind in SCHEMA.items()), notes
