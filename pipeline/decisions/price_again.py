"""This season again at the new card: what each job would have been asked for, beside what it was charged and cost."""

from __future__ import annotations

import numpy as np
import polars as pl
from numpy.typing import NDArray

from pipeline.decisions.card_fit import Houses, houses_of, segment_weights
from pipeline.decisions.price import NOTHING_AHEAD
from pipeline.decisions.price_ahead import Ahead, factors_of, next_costs
from pipeline.decisions.price_card import CARD_VIEWS, Card
from pipeline.settings import Settings

Floats = NDArray[np.float64]

AGAIN = {
    "season": pl.Int32, "branch": pl.String, "job_no": pl.String, "customer_no": pl.String, "property_no": pl.String,
    "feet": pl.Float64, "charged_usd": pl.Float64, "card_usd": pl.Float64, "change_usd": pl.Float64,
    "cost_usd": pl.Float64, "charged_margin_usd": pl.Float64, "card_margin_usd": pl.Float64,
}  # fmt: skip
SEGMENTS = {
    "season": pl.Int32, "view": pl.String, "segment": pl.String, "jobs": pl.Int32, "feet": pl.Float64,
    "charged_usd": pl.Float64, "card_usd": pl.Float64, "cost_usd": pl.Float64, "needed_usd": pl.Float64,
    "error_share": pl.Float64, "error_se": pl.Float64, "charged_losing": pl.Int32, "card_losing": pl.Int32,
}  # fmt: skip


def as_seen(jobs: pl.DataFrame, runs: pl.DataFrame, card: Houses) -> Houses:
    """Jobs with the columns of a card that was made from other jobs: surfaces and adders that it does not know go by
    its other surface, or by its base kind of work; a job of a kind that was the base has no adder.
    """
    own = houses_of(jobs, runs)
    surfaces = np.zeros((jobs.height, len(card.surfaces)))
    for at, name in enumerate(own.surfaces):
        place = card.surfaces.index(name) if name in card.surfaces else len(card.surfaces) - 1
        surfaces[:, place] += own.surface_feet[:, at]
    kinds = [f"{work} work, goods {terms}" for work, terms in jobs.select("work", "terms").rows()]
    columns = []
    for family, name in card.adders:
        if family == "work":
            columns.append(np.where(np.array(kinds) == name, own.feet, 0.0))
        else:
            columns.append(own.adder_feet[:, own.adders.index((family, name))])
    adders = np.column_stack(columns) if columns else np.zeros((jobs.height, 0))
    return Houses(own.feet, card.surfaces, surfaces, card.adders, adders, card.base)


def luck_of(fair: Floats, need: Floats, weight: Floats) -> float | None:
    """Standard error of a segment's need by the luck of its houses: the root of the sum of squares of what each needed
    beside its `fair` share, over the whole. None for a single house.
    """
    count = int((weight > 0).sum())
    if count == 1:
        return None
    apart = weight * (need - fair)
    return float(np.sqrt((apart**2).sum() * count / (count - 1)) / (weight @ need))


def this_season_again(
    jobs: pl.DataFrame, runs: pl.DataFrame, card: Card, settings: Settings, *, season: int, ahead: Ahead = NOTHING_AHEAD
) -> tuple[pl.DataFrame, pl.DataFrame]:
    """Rows of decisions.price_again (a job each) and decisions.card_segments, for season + 1; none without a card.

    `jobs` is measures.job_cost and `runs` records.runs of a season. Margins are at the season's realized cost.
    needed_usd is what a segment's forecast cost takes at the card's mean price over cost, so that what all costs rise
    by is no error of the card's; error_share is card over needed, less 1, and error_se how far the luck of as many
    houses moves it.
    """
    counted = jobs.filter((pl.col("feet") > 0) & (pl.col("total_usd") > 0)).sort("branch", "job_no")
    if card.rates is None or card.houses is None or counted.is_empty():
        return pl.DataFrame(schema=AGAIN), pl.DataFrame(schema=SEGMENTS)
    houses = as_seen(counted, runs, card.houses)
    asked = card.quote(houses)
    money = counted.select(pl.col("invoiced_usd", "total_usd").cast(pl.Float64).fill_null(0))
    charged, cost = money["invoiced_usd"].to_numpy(), money["total_usd"].to_numpy()
    again = counted.select("branch", "job_no", "customer_no", "property_no").with_columns(
        season=pl.lit(season + 1),
        feet=pl.Series(houses.feet),
        charged_usd=pl.Series(charged),
        card_usd=pl.Series(asked),
        change_usd=pl.Series(asked - charged),
        cost_usd=pl.Series(cost),
        charged_margin_usd=pl.Series(charged - cost),
        card_margin_usd=pl.Series(asked - cost),
    )
    need = next_costs(counted, factors_of(counted, settings, ahead))
    need = need * (asked.sum() / need.sum())
    views, weights = segment_weights(counted, houses, CARD_VIEWS)
    rows = []
    for (view, segment), weight in [(("all", "all"), np.ones(counted.height)), *zip(views, weights, strict=True)]:
        there = weight > 0
        error = float(weight @ asked / (weight @ need)) - 1
        rows.append(
            {
                "season": season + 1, "view": view, "segment": segment, "jobs": int(there.sum()),
                "feet": float(weight @ houses.feet), "charged_usd": float(weight @ charged),
                "card_usd": float(weight @ asked), "cost_usd": float(weight @ cost), "needed_usd": float(weight @ need),
                "error_share": error, "error_se": luck_of(asked / (1 + error), need, weight),
                "charged_losing": int((charged < cost)[there].sum()), "card_losing": int((asked < cost)[there].sum()),
            }
        )  # fmt: skip
    return again.select(pl.col(name).cast(kind) for name, kind in AGAIN.items()), pl.DataFrame(rows, schema=SEGMENTS)
