"""What the price that was charged promises for next season, and the money between it and the price advised."""

from __future__ import annotations

import numpy as np
import polars as pl

from pipeline.decisions.policy import BOOTSTRAP_DRAWS, CARD_CHANCE
from pipeline.decisions.price import NOTHING_AHEAD, forecast, price_row, priced_jobs, season_factors, segments_of
from pipeline.decisions.price_ahead import Ahead, factors_of
from pipeline.settings import Settings

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
    spread = season_factors(seasons.filter(pl.col("season") <= season), settings, BOOTSTRAP_DRAWS, seed)
    factors = factors_of(priced, settings, ahead)
    keep = 1 - float(settings.number("target_margin") or 0)
    rows = []
    for segment, frame in segments_of(priced).items():
        feet = float(frame["feet"].cast(pl.Float64).sum())
        charged = float(frame["invoiced_usd"].cast(pl.Float64).fill_null(0).sum()) / feet
        if charged <= 0:
            continue
        drawn = forecast(frame, spread, factors, seed)
        price = price_row(season, segment, CARD_CHANCE, drawn, settings)["price_usd_per_ft"]
        chance = float(np.mean(drawn.jobs * drawn.next_season <= charged * keep))
        rows.append((season + 1, segment, frame.height, feet, charged, chance, price, (price - charged) * feet))
    return pl.DataFrame(rows, schema=OUTLOOK, orient="row")
