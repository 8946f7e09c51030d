"""Feeds and circuits against their limits, and how far one feed goes."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from decimal import Decimal
from typing import Any

import polars as pl

from pipeline.decisions.policy import CONTINUOUS_SHARE, NOTED_DROP_SHARE
from pipeline.settings import Settings
from pipeline.statistics.wire import end_drop_volts, longest_spread_feet, spread_drop_volts

Record = dict[str, Any]
_LOADS = ("feet", "sockets", "watts")

FEED_SCHEMA: dict[str, Any] = {
    "season": pl.Int32, "branch": pl.String, "job_no": pl.String, "feed": pl.String, "crew": pl.String,
    "circuit": pl.String, "runs": pl.Int64, "feet": pl.Decimal(38, 12), "sockets": pl.Int64,
    "watts": pl.Decimal(38, 12), "volts": pl.Float64, "amps": pl.Float64, "gauge": pl.Int32, "feet_limit": pl.Float64,
    "sockets_limit": pl.Float64, "watts_limit": pl.Float64, "first_limit": pl.String, "used_share": pl.Float64,
    "is_over": pl.Boolean, "drop_volts": pl.Float64, "drop_share": pl.Float64, "end_drop_volts": pl.Float64,
}  # fmt: skip
REACH_SCHEMA: dict[str, Any] = {
    "season": pl.Int32, "spacing_in": pl.Decimal(26, 12), "feet_hung": pl.Decimal(38, 12), "watts_each": pl.Float64,
    "feet_ft": pl.Float64, "sockets_ft": pl.Float64, "watts_ft": pl.Float64, "first_limit": pl.String,
    "reach_ft": pl.Float64, "drop_share": pl.Float64, "drop_ft": pl.Float64,
}  # fmt: skip
CIRCUIT_SCHEMA: dict[str, Any] = {
    "season": pl.Int32, "branch": pl.String, "job_no": pl.String, "circuit": pl.String, "feeds": pl.Int64,
    "runs": pl.Int64, "watts": pl.Decimal(38, 12), "amps": pl.Float64, "breaker_amps": pl.Float64,
    "watts_limit": pl.Float64, "used_share": pl.Float64, "is_over": pl.Boolean,
}  # fmt: skip


@dataclass(frozen=True)
class FeedLimits:
    """What a feed and its circuit may carry, by the settings; None: not given."""

    feet: Decimal | None
    sockets: Decimal | None
    watts: Decimal | None
    breaker_amps: Decimal | None
    line_volts: Decimal | None
    line_gauge: Decimal | None

    def of(self, load: str) -> Decimal | None:
        """The limit of feet, sockets or watts."""
        limit: Decimal | None = getattr(self, load)
        return limit


def limits_in_force(settings: Settings) -> FeedLimits:
    """The limits by the settings. One of nothing would be no limit but a mistake: it counts as not given."""
    names = ("feed_feet", "feed_sockets", "feed_watts", "breaker_amps", "line_volts", "line_gauge")
    return FeedLimits(*(settings.number(name) or None for name in names))


def used_of(loads: Record, limits: FeedLimits) -> tuple[str | None, Decimal | None]:
    """Which limit of feet, sockets and watts a load uses most, and its load over that limit; None: no limit known."""
    known = [
        (loads[name] / limit, name)
        for name in _LOADS
        if (limit := limits.of(name)) is not None and loads.get(name) is not None
    ]
    if not known:
        return None, None
    share, name = max(known, key=lambda pair: pair[0])
    return name, share


def _feed_load(feed: Record, limits: FeedLimits) -> Record:
    name, share = used_of(feed, limits)
    volts = feed["volts"] or (None if feed["has_mixed_volts"] else limits.line_volts)
    gauge = feed["gauge"] or limits.line_gauge
    amps = float(feed["watts"] / volts) if feed["watts"] is not None and volts else None
    wire = None if amps is None or gauge is None else (amps, float(feed["feet"]), int(gauge))
    drop = spread_drop_volts(*wire) if wire else None
    return feed | {
        "volts": _float(volts), "amps": amps, "gauge": None if gauge is None else int(gauge),
        **{f"{load}_limit": _float(limits.of(load)) for load in _LOADS},
        "first_limit": name, "used_share": _float(share), "is_over": None if share is None else share > 1,
        "drop_volts": drop, "drop_share": None if drop is None or not volts else drop / float(volts),
        "end_drop_volts": end_drop_volts(*wire) if wire else None,
    }  # fmt: skip


def _float(value: Decimal | None) -> float | None:
    return None if value is None else float(value)


def load_feeds(feeds: pl.DataFrame, limits: FeedLimits) -> pl.DataFrame:
    """Rows of measures.feed_loads from those of facts.feeds, in their order; on a limit is inside it."""
    return _frame((_feed_load(feed, limits) for feed in feeds.to_dicts()), FEED_SCHEMA)


def load_circuits(circuits: pl.DataFrame, limits: FeedLimits) -> pl.DataFrame:
    """Rows of measures.circuit_loads from those of facts.circuits: watts against 80 % of the breaker."""
    most = None
    if limits.breaker_amps is not None and limits.line_volts is not None:
        most = limits.breaker_amps * limits.line_volts * Decimal(str(CONTINUOUS_SHARE))
    rows = []
    for circuit in circuits.to_dicts():
        watts = circuit["watts"]
        share = watts / most if watts is not None and most else None
        amps = watts / limits.line_volts if watts is not None and limits.line_volts else None
        rows.append(
            circuit | {"amps": _float(amps), "breaker_amps": _float(limits.breaker_amps), "watts_limit": _float(most),
                       "used_share": _float(share), "is_over": None if share is None else share > 1}
        )  # fmt: skip
    return _frame(rows, CIRCUIT_SCHEMA)


def _frame(rows: Iterable[Record], schema: dict[str, Any]) -> pl.DataFrame:
    kept = [{name: row.get(name) for name in schema} for row in rows]
    return pl.DataFrame(kept, schema=schema)


def reach_of_feeds(runs: pl.DataFrame, limits: FeedLimits) -> pl.DataFrame:
    """Rows of decisions.feed_reach from facts.feed_runs of one season: how far a feed goes at each spacing, ft."""
    rows = []
    for (spacing,), group in runs.sort("spacing_in").group_by("spacing_in", maintain_order=True):
        each = None
        if not group["watts"].null_count() and (counted := group.filter(pl.col("sockets") > 0)).height:
            each = max(float(r["watts"]) / r["sockets"] for r in counted.to_dicts())
        step = float(spacing) / 12
        feet = {
            "feet": _float(limits.feet),
            "sockets": None if limits.sockets is None else float(limits.sockets) * step,
            "watts": float(limits.watts) / each * step if limits.watts is not None and each else None,
        }
        known = {name: at for name, at in feet.items() if at is not None}
        first = min(known, key=lambda name: known[name]) if known else None
        reach = known[first] if first else None
        rows.append(
            {"season": group["season"][0], "spacing_in": spacing, "feet_hung": group["feet"].sum(), "watts_each": each,
             **{f"{name}_ft": at for name, at in feet.items()}, "first_limit": first, "reach_ft": reach,
             **_drops(each, step, reach, group, limits)}
        )  # fmt: skip
    return _frame(rows, REACH_SCHEMA)


def _drops(
    each: float | None, step: float, reach: float | None, group: pl.DataFrame, limits: FeedLimits
) -> dict[str, float | None]:
    """The share of the voltage lost at the reach, and the feet at which the share lost is worth a word."""
    volts = {v for v in group["volts"].to_list() if v is not None} or {limits.line_volts}
    gauge = max((g for g in group["gauge"].to_list() if g is not None), default=limits.line_gauge)
    line_volts = float(next(iter(volts)) or 0) if len(volts) == 1 else 0.0
    if not each or reach is None or gauge is None or not line_volts:
        return {"drop_share": None, "drop_ft": None}
    per_ft = each / step / line_volts
    return {
        "drop_share": spread_drop_volts(per_ft * reach, reach, int(gauge)) / line_volts,
        "drop_ft": longest_spread_feet(per_ft, line_volts, NOTED_DROP_SHARE, int(gauge)),
    }
