"""Crossing a gap between rooflines: cut and jumper, sockets capped, or sockets removed and sealed."""

from __future__ import annotations

from dataclasses import dataclass
from math import floor

import numpy as np
import polars as pl
from numpy.typing import NDArray

from pipeline.decisions.connections import Making, Pricing, making
from pipeline.decisions.policy import GAPS_FT
from pipeline.settings import Settings
from pipeline.statistics.bootstrap import percentile_limits

Floats = NDArray[np.float64]

SCHEMA = {
    "season": pl.Int32, "spacing_in": pl.Float64, "line_ft": pl.Float64, "gap_ft": pl.Int32, "way": pl.String,
    "allowed": pl.Boolean, "sockets": pl.Int32, "seasons": pl.Float64, "goods_usd": pl.Float64, "labor_usd": pl.Float64,
    "failure_usd": pl.Float64, "total_usd": pl.Float64, "low": pl.Float64, "high": pl.Float64,
    "chance_cheapest": pl.Float64,
}  # fmt: skip
WAYS = {"cut": "plug", "cap": "capped_socket", "seal": "taped_socket"}
"""Each way and the kind of connection that it makes."""
PLUGS_A_CUT = 2
"""A jumper is joined to the line by a plug at each of its ends."""


@dataclass(frozen=True)
class _Way:
    """What a way's connections cost: their making, and what the season's failures of one cost, on average and drawn."""

    name: str
    made: Making
    failure_usd: float
    draws: Floats


def sockets_in_gap(gap_ft: float, spacing_in: float) -> int:
    """Sockets of a light line that fall into a gap: whole spacings, as a run's sockets are counted."""
    return floor(gap_ft * 12 / spacing_in)


def allowed_ways(settings: Settings) -> dict[str, bool | None]:
    """Each way and whether the setting gap_allowed says that label and code allow it; None where it says nothing."""
    said = {way: settings.text(f"gap_allowed:{way}") for way in WAYS}
    return {way: None if text is None else text == "yes" for way, text in said.items()}


def _ways(pricing: Pricing, goods: pl.DataFrame, settings: Settings, loaded: float | None) -> tuple[list[_Way], list]:
    """The ways that have a price and are not forbidden, and why others have none."""
    expected = dict(pricing.table.select("kind", "failure_usd").iter_rows())
    ways, notes = [], []
    for way, kind in WAYS.items():
        if allowed_ways(settings)[way] is False:
            continue
        made = making(goods, settings, kind, loaded)
        word = kind.replace("_", " ")
        if kind not in expected:
            notes.append(f"No {word} is in the records with its failures, so the way that needs it has no price.")
        elif made.labor_usd is None:
            notes.append(f"The way that needs a {word} has no price without the setting joint_minutes:{kind} and pay.")
        else:
            ways.append(_Way(way, made, expected[kind], pricing.draws[kind]))
    return ways, notes


def _crossing(way: _Way, gap_ft: int, sockets: int, seasons: float, line_usd: float, cord_usd: float) -> dict:
    """A way's cost of one gap over the seasons that the line lasts, usd, with its draws."""
    joints = PLUGS_A_CUT if way.name == "cut" else sockets
    piece = (way.made.piece_usd or 0.0) * seasons / (way.made.piece_life or seasons)
    across = gap_ft * (cord_usd if way.name == "cut" else line_usd)
    goods = across + joints * (piece + (way.made.sundry_usd or 0.0))
    labor = joints * (way.made.labor_usd or 0.0)
    failure = joints * seasons * way.failure_usd
    return {
        "way": way.name, "goods_usd": goods, "labor_usd": labor, "failure_usd": failure,
        "total_usd": goods + labor + failure, "drawn": goods + labor + joints * seasons * way.draws,
    }  # fmt: skip


def _compared(rows: list[dict]) -> list[dict]:
    """Rows of one gap with limits and each way's chance of being the cheapest."""
    cheapest = np.argmin(np.stack([row["drawn"] for row in rows]), axis=0)
    out = []
    for place, row in enumerate(rows):
        low, high = percentile_limits(row["drawn"])
        chance = float((cheapest == place).mean()) if len(rows) > 1 else None
        out.append(row | {"low": low, "high": high, "chance_cheapest": chance})
    return out


def cross_gaps(
    pricing: Pricing,
    goods: pl.DataFrame,
    settings: Settings,
    *,
    season: int,
    loaded_usd_per_hour: float | None,
) -> tuple[pl.DataFrame, list[str]]:
    """Rows of decisions.gap_crossings for each spacing of light line and each of GAPS_FT, and notes.

    Over the life of the line: goods spread over their lives, making once, a season's failures each season. To cut takes
    a jumper of zip cord with a plug at each end; to cap or to seal takes the light line across the gap and every socket
    in it. Ways that the setting gap_allowed forbids are left out. Limits and chances come from the draws of the kinds'
    failures, which share those of the cost of a fault.
    """
    empty = pl.DataFrame(schema=SCHEMA)
    if pricing.table.is_empty():
        return empty, []
    lines = goods.filter((pl.col("made_for") == "light_line") & pl.col("spacing_in").is_not_null()).sort("spacing_in")
    if lines.is_empty():
        return empty, ["Ways of crossing a gap have no price without light line and its spacing in items."]
    ways, notes = _ways(pricing, goods, settings, loaded_usd_per_hour)
    cord = goods.filter(pl.col("made_for") == "zip_cord")["unit_usd"].to_list()
    if not cord and any(way.name == "cut" for way in ways):
        ways = [way for way in ways if way.name != "cut"]
        notes.append("A cut with a jumper has no price without zip cord in items.")
    if not ways:
        return empty, notes
    allowed, rows = allowed_ways(settings), []
    for line in lines.to_dicts():
        spacing, seasons = float(line["spacing_in"]), float(line["life_seasons"])
        for gap_ft in GAPS_FT:
            sockets = sockets_in_gap(gap_ft, spacing)
            costs = [_crossing(way, gap_ft, sockets, seasons, line["unit_usd"], sum(cord)) for way in ways]
            same = {"season": season, "spacing_in": spacing, "line_ft": line["built"], "gap_ft": gap_ft,
                    "sockets": sockets, "seasons": seasons}  # fmt: skip
            rows += [row | same | {"allowed": allowed[row["way"]]} for row in _compared(costs)]
    return pl.DataFrame([{name: row[name] for name in SCHEMA} for row in rows], schema=SCHEMA), notes
