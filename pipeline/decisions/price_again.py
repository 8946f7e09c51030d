"""This season again at the new card: what each job would have been asked for, beside what it was charged and cost."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import polars as pl
from numpy.typing import NDArray

from pipeline.decisions.card_fit import as_seen, segment_weights
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
    "error_share": pl.Float64, "error_se": pl.Float64, "later_se": pl.Float64,
    "charged_losing": pl.Int32, "card_losing": pl.Int32,
}  # fmt: skip


@dataclass(frozen=True)
class Luck:
    """What luck does to a card's errors in a season: the jobs' `columns`, what the card `asked` for each and what each
    would `need`, usd, in all the same; by how much the luck of each moved the card's rates (`own`, jobs x columns), and
    that of each job that the card was told from besides (`others`).
    """

    columns: Floats
    asked: Floats
    need: Floats
    own: Floats
    others: Floats

    @staticmethod
    def of(card: Card, jobs: pl.DataFrame, columns: Floats, asked: Floats, need: Floats) -> Luck:
        """`jobs` are rows of measures.job_cost."""
        assert card.pulled is not None
        places = {key: at for at, key in enumerate(jobs.select("season", "branch", "job_no").rows())}
        to = np.array([places.get(key, -1) for key in card.told_from])
        own = np.zeros((jobs.height, columns.shape[1]))
        own[to[to >= 0]] = card.pulled[to >= 0]
        return Luck(columns, asked, need, own, card.pulled[to < 0])

    def standard_errors(self, weight: Floats) -> tuple[float | None, float | None]:
        """Of a segment's error in this season, and in another one with as many houses like these; None for one house.

        To first order in each job's luck: it moves the rates where the card is told from it, and what is needed.
        """
        count = int((weight > 0).sum())
        if count == 1 or (weight == 1).all():
            return None, None
        here, whole = weight @ self.need, self.need.sum()
        moved = weight @ self.columns / here - self.columns.sum(axis=0) / whole
        fair = self.asked * (here / (weight @ self.asked))
        wanted = weight * (self.need - fair) * np.sqrt(count / (count - 1)) / here - (self.need - self.asked) / whole
        of_rates = float(((self.others @ moved) ** 2).sum())
        this = of_rates + float(((self.own @ moved - wanted) ** 2).sum())
        later = of_rates + float(((self.own @ moved) ** 2).sum() + (wanted**2).sum())
        return float(np.sqrt(this)), float(np.sqrt(later))


def this_season_again(
    jobs: pl.DataFrame, runs: pl.DataFrame, card: Card, settings: Settings, *, season: int, ahead: Ahead = NOTHING_AHEAD
) -> tuple[pl.DataFrame, pl.DataFrame]:
    """Rows of decisions.price_again (a job each) and decisions.card_segments, for season + 1; none without a card.

    `jobs` is measures.job_cost and `runs` records.runs of a season. Margins are at the season's realized cost.
    needed_usd is what a segment's forecast cost takes at the card's mean price over cost, so that what all costs rise
    by is no error of the card's; error_share is card over needed, less 1, error_se its standard error by the luck of
    the jobs, and later_se that of its error in another season with as many jobs like these.
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
    luck = Luck.of(card, counted, houses.columns, asked, need)
    views, weights = segment_weights(counted, houses, CARD_VIEWS)
    rows = []
    for (view, segment), weight in [(("all", "all"), np.ones(counted.height)), *zip(views, weights, strict=True)]:
        there = weight > 0
        error_se, later_se = luck.standard_errors(weight)
        rows.append(
            {
                "season": season + 1, "view": view, "segment": segment, "jobs": int(there.sum()),
                "feet": float(weight @ houses.feet), "charged_usd": float(weight @ charged),
                "card_usd": float(weight @ asked), "cost_usd": float(weight @ cost), "needed_usd": float(weight @ need),
                "error_share": float(weight @ asked / (weight @ need)) - 1, "error_se": error_se, "later_se": later_se,
                "charged_losing": int((charged < cost)[there].sum()), "card_losing": int((asked < cost)[there].sum()),
            }
        )  # fmt: skip
    return again.select(pl.col(name).cast(kind) for name, kind in AGAIN.items()), pl.DataFrame(rows, schema=SEGMENTS)
