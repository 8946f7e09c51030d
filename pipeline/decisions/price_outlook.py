"""What a foot is expected to cost next season by part and kind of work, what the price that was charged promises, and
the money between it and the price advised.
"""

from __future__ import annotations

import numpy as np
import polars as pl

from pipeline.decisions.policy import CARD_CHANCE, USUAL_USD_PER_FT
from pipeline.decisions.price import NOTHING_AHEAD, coming, forecast, price_row, priced_jobs, segments_of
from pipeline.decisions.price_ahead import RISES, Ahead
from pipeline.settings import Settings
from pipeline.statistics.bootstrap import percentile_limits

FORECAST = {
    "season": pl.Int32, "segment": pl.String, "part": pl.String, "now_usd_per_ft": pl.Float64,
    "rise_share": pl.Float64, "next_usd_per_ft": pl.Float64, "low": pl.Float64, "high": pl.Float64, "why": pl.String,
}  # fmt: skip
IN_ORDER = ("labor_usd", "materials_usd", "travel_usd", "equipment_usd", "service_usd", "overhead_usd")
OUTLOOK = {
    "season": pl.Int32, "segment": pl.String, "jobs": pl.Int32, "feet": pl.Float64, "charged_usd_per_ft": pl.Float64,
    "chance_at_charged": pl.Float64, "price_usd_per_ft": pl.Float64, "at_stake_usd": pl.Float64,
}  # fmt: skip


def price_outlook(
    jobs: pl.DataFrame,
    seasons: pl.DataFrame,
    settings: Settings,
    *,
    season: int,
    seed: int,
    ahead: Ahead = NOTHING_AHEAD,
) -> pl.DataFrame:
    """Rows of decisions.price_outlook: by segment, the chance that next season reaches the target margin at the mean
    price that was charged, and what this season's feet would have brought more at the price advised.

    Inputs as for `price_table`. None where nothing was charged or there are too few jobs.
    """
    priced, _ = priced_jobs(jobs, settings)
    if priced.is_empty():
        return pl.DataFrame(schema=OUTLOOK)
    known = coming(priced, seasons, settings, season=season, seed=seed, ahead=ahead)
    keep = 1 - float(settings.number("target_margin") or 0)
    rows = []
    for segment, frame in segments_of(priced).items():
        feet = float(frame["feet"].cast(pl.Float64).sum())
        charged = float(frame["invoiced_usd"].cast(pl.Float64).fill_null(0).sum()) / feet
        if charged <= 0:
            continue
        drawn = forecast(frame, known)
        price = price_row(season, segment, CARD_CHANCE, drawn, settings)["price_usd_per_ft"]
        chance = float(np.mean(drawn.later <= charged * keep))
        rows.append((season + 1, segment, frame.height, feet, charged, chance, price, (price - charged) * feet))
    return pl.DataFrame(rows, schema=OUTLOOK, orient="row")


def unusual_prices(outlook: pl.DataFrame) -> list[str]:
    """A warning for each of the firm's two prices a foot, charged and advised, that lies beyond USUAL_USD_PER_FT.

    `outlook` is what `price_outlook` gives. Nothing is corrected.
    """
    low, high = USUAL_USD_PER_FT
    said = []
    for charged, advised in outlook.filter(pl.col("segment") == "all").select(
        "charged_usd_per_ft", "price_usd_per_ft"
    ).rows():  # fmt: skip
        for name, price in (("charged this season", charged), ("advised for the next", advised)):
            if not low <= price <= high:
                said.append(
                    f"The price {name}, ${price:.2f} a foot, is {'under' if price < low else 'over'} what is usual: "
                    f"${low:.0f} to ${high:.0f} for a foot hung and taken down (common practice, no source). It stands "
                    "as the records give it; look whether feet, charges and costs are all there and in their units."
                )
    return said


def cost_forecast(
    jobs: pl.DataFrame,
    seasons: pl.DataFrame,
    settings: Settings,
    *,
    season: int,
    seed: int,
    ahead: Ahead = NOTHING_AHEAD,
) -> pl.DataFrame:
    """Rows of decisions.cost_forecast: by kind of work each part of a foot now and next season, and the whole of it
    with the limits within which next season's cost lies 95 times in 100.

    Inputs as for `price_table`. None where there are too few jobs.
    """
    priced, _ = priced_jobs(jobs, settings)
    if priced.is_empty():
        return pl.DataFrame(schema=FORECAST)
    known = coming(priced, seasons, settings, season=season, seed=seed, ahead=ahead)
    rows: list[tuple] = []
    for segment, frame in segments_of(priced).items():
        feet = float(frame["feet"].cast(pl.Float64).sum())
        parts = [
            (part, float(frame[part].cast(pl.Float64).sum()) / feet)
            for part in IN_ORDER
            if frame[part].null_count() < frame.height
        ]
        rows += [
            (season + 1, segment, part.removesuffix("_usd"), now, known.factors[part] - 1, now * known.factors[part],
             None, None, _why(part, ahead))
            for part, now in parts
        ]  # fmt: skip
        now, drawn = sum(now for _, now in parts), forecast(frame, known)
        change = drawn.now / now - 1 if now else 0.0
        rows.append((season + 1, segment, "all", now, change, drawn.now, *percentile_limits(drawn.later), "all parts"))
    return pl.DataFrame(rows, schema=FORECAST, orient="row")


def _why(part: str, ahead: Ahead) -> str:
    more = ""
    if part == "materials_usd" and ahead.settled_usd:
        more = f"; goods worth ${ahead.settled_usd:,.0f} to next season stand already and keep their price"
    if part == "overhead_usd" and ahead.fixed_share:
        more = "; fixed overhead on next season's feet"
    return f"setting {RISES[part]}{more}"
