"""What being wrong by a unit costs: one that is left over, and one that is missing and the feet that it stops."""

from __future__ import annotations

from dataclasses import dataclass

import polars as pl

from pipeline.settings import Settings
from pipeline.statistics.newsvendor import Outcome


@dataclass(frozen=True)
class Terms:
    """What being wrong costs, from the settings: shares of a price but for `stopped_usd`, usd a unit by item."""

    rush_premium: float
    rush_share: float
    leftover: float
    rise: float
    floor: float
    stopped_usd: dict[str, float]

    def outcome(self, item_no: str, list_price: float, base_price: float) -> Outcome:
        """What a unit over or short is worth, usd. A missing unit is bought at next season's list price and the rush
        premium; the feet that it stops are lost where that fails. One left over keeps its worth at `base_price`, the
        best price that the need can reach, less holding_rate and obsolete_share of it."""
        stopped = (1 - self.rush_share) * self.stopped_usd.get(item_no, 0.0)
        rush = list_price * (1 + self.rise) * (1 + self.rush_premium) + stopped
        return Outcome(kept=base_price * (1 - self.leftover), rush=rush)


def terms_of(settings: Settings, job_items: pl.DataFrame, season: int, contribution_usd_per_ft: float) -> Terms:
    """The terms of a season's order. A missing unit stops `stopped_feet`, and their contribution with them."""

    def share(key: str) -> float:
        return float(settings.number(key) or 0)

    feet = stopped_feet(job_items.filter(pl.col("season") == season))
    stopped = {name: max(0.0, contribution_usd_per_ft) * each for name, each in feet.items()}
    return Terms(
        share("rush_premium"), share("rush_share"), share("holding_rate") + share("obsolete_share"),
        share("rise_goods"), share("service_floor"), stopped,
    )  # fmt: skip


def stopped_feet(job_items: pl.DataFrame) -> dict[str, float]:
    """Feet that a missing unit stops, by item: those that a unit of its kind carries on the jobs that have the item.

    A foot of line stops itself and a bulb its socket, however few jobs have that line or colour; a timer stops a job.
    `job_items` are a season's rows of facts.job_items.
    """
    built = job_items.select("branch", "job_no", "item_no", "kind", pl.col("built").cast(pl.Float64))
    built = built.filter(pl.col("built") > 0).sort("branch", "job_no", "item_no")
    job = ["branch", "job_no"]
    line = pl.col("built").filter(pl.col("kind") == "light_line").sum().over(job)
    whole = built.with_columns(feet=line, alike=pl.col("built").sum().over([*job, "kind"]))
    sums = whole.group_by("item_no", maintain_order=True).agg(pl.col("feet", "alike").sum())
    return {name: feet / alike for name, feet, alike in sums.iter_rows()}
