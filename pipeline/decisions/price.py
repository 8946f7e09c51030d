"""Next year's price per foot: what reaches the target margin, and with what chance."""

from __future__ import annotations

import math
from dataclasses import dataclass
from decimal import Decimal

import numpy as np
import polars as pl
from numpy.typing import NDArray

from pipeline.decisions.policy import BOOTSTRAP_DRAWS, CARD_CHANCE, CHANCES, MIN_JOBS_FOR_PRICE
from pipeline.settings import Settings
from pipeline.statistics.bootstrap import ratio_of_sums

Floats = NDArray[np.float64]

TABLE = {
    "season": pl.Int32, "segment": pl.String, "chance": pl.Float64, "price_usd_per_ft": pl.Float64,
    "cost_usd_per_ft": pl.Float64, "margin": pl.Float64, "low": pl.Float64, "high": pl.Float64,
}  # fmt: skip
CARD = {
    "season": pl.Int32, "line": pl.Int32, "what": pl.String, "basis": pl.String, "amount_usd": pl.Float64,
    "low": pl.Float64, "high": pl.Float64,
}  # fmt: skip
_RISES = {
    "labor_usd": "rise_labor", "service_usd": "rise_labor", "materials_usd": "rise_goods",
    "travel_usd": "rise_other", "equipment_usd": "rise_other", "overhead_usd": "rise_other",
}  # fmt: skip


def price_of(cost: float, margin: float) -> float:
    """The price that leaves a margin: cost / (1 - margin), never cost x (1 + margin)."""
    return cost / (1 - margin)


def round_up(price: float, step: Decimal) -> float:
    """A price rounded up to a step; dust of floating point does not add a step."""
    return float(math.ceil(round(price / float(step), 9)) * step)


@dataclass(frozen=True)
class _Forecast:
    """Next season's cost a foot: draws over jobs, and the factors that seasons differ by."""

    now: float
    jobs: Floats
    seasons: Floats


def _segments(jobs: pl.DataFrame) -> dict[str, pl.DataFrame]:
    segments = {"all": jobs}
    for view in ("work", "terms"):
        for value in jobs[view].unique().sort().to_list():
            segments[value] = jobs.filter(pl.col(view) == value)
    return {name: frame for name, frame in segments.items() if frame.height >= MIN_JOBS_FOR_PRICE}


def _next_costs(jobs: pl.DataFrame, settings: Settings) -> Floats:
    total = np.zeros(jobs.height)
    for part, rise in _RISES.items():
        factor = 1 + float(settings.number(rise) or 0)
        total += jobs[part].cast(pl.Float64).fill_null(0).to_numpy() * factor
    return total


def season_factors(seasons: pl.DataFrame, settings: Settings, draws: int, seed: int) -> tuple[Floats, str]:
    """Factors by which a season's cost a foot differs from the last one, and in words where they come from.

    With two seasons or more in the store: a Student-t predictive on the log of cost per foot. Else the setting
    season_spread as a standard deviation of the log. Else none.
    """
    rng = np.random.default_rng(seed)
    logs = np.log(seasons["cost_usd_per_ft"].drop_nulls().cast(pl.Float64).to_numpy())
    count = len(logs)
    if count >= 2:
        spread = float(logs.std(ddof=1)) * math.sqrt(1 + 1 / count)
        draws_t = rng.standard_t(count - 1, draws)
        return np.exp(np.clip(draws_t * spread, -1, 1)), f"The spread from season to season is that of {count} seasons."
    given = settings.number("season_spread")
    if given is not None:
        return np.exp(rng.normal(0, float(given), draws)), "The spread from season to season is the one you gave."
    return np.ones(draws), "These chances hold if next season is like this one: one season does not show its spread."


def _forecast(jobs: pl.DataFrame, factors: Floats, settings: Settings, seed: int) -> _Forecast:
    costs, feet = _next_costs(jobs, settings), jobs["feet"].cast(pl.Float64).to_numpy()
    return _Forecast(float(costs.sum() / feet.sum()), ratio_of_sums(costs, feet, BOOTSTRAP_DRAWS, seed), factors)


def _row(season: int, segment: str, chance: float, forecast: _Forecast, settings: Settings) -> dict:
    margin, step = settings.number("target_margin"), settings.number("price_step")
    assert margin is not None
    assert step is not None
    share = float(margin)
    both = forecast.jobs * forecast.seasons
    price = round_up(price_of(float(np.quantile(both, chance)), share), step)
    reach = float(np.quantile(forecast.seasons, chance))
    low, high = np.quantile(forecast.jobs, [0.025, 0.975])
    return {
        "season": season + 1, "segment": segment, "chance": chance, "price_usd_per_ft": price,
        "cost_usd_per_ft": forecast.now, "margin": 1 - forecast.now / price,
        "low": price_of(float(low) * reach, share), "high": price_of(float(high) * reach, share),
    }  # fmt: skip


def _priced(jobs: pl.DataFrame) -> pl.DataFrame:
    return jobs.filter(pl.col("feet").is_not_null() & (pl.col("total_usd") > 0)).sort("branch", "job_no")


def price_table(
    jobs: pl.DataFrame, seasons: pl.DataFrame, settings: Settings, *, season: int, seed: int
) -> tuple[pl.DataFrame, list[str]]:
    """Price per foot by segment and chance that the season's margin reaches `target_margin`.

    `jobs` is measures.job_cost of the season, `seasons` measures.season_cost of all branches in every season of the
    store. Costs a foot are drawn by a bootstrap over jobs times the factors of `season_factors`; low and high are the
    95 % limits that the jobs alone leave. Returns rows of decisions.price_table for the next season, and notes.
    """
    priced = _priced(jobs)
    if priced.height < MIN_JOBS_FOR_PRICE:
        return pl.DataFrame(schema=TABLE), [f"A price needs {MIN_JOBS_FOR_PRICE} jobs with feet and costs."]
    upto = seasons.filter(pl.col("season") <= season).sort("season")
    factors, note = season_factors(upto, settings, BOOTSTRAP_DRAWS, seed)
    rows = []
    for segment, frame in _segments(priced).items():
        forecast = _forecast(frame, factors, settings, seed)
        rows += [_row(season, segment, chance, forecast, settings) for chance in CHANCES]
    return pl.DataFrame(rows, schema=TABLE), [note]


def rate_card(
    jobs: pl.DataFrame, seasons: pl.DataFrame, settings: Settings, *, season: int, seed: int
) -> tuple[pl.DataFrame, list[str]]:
    """A first rate card: one price per foot for each kind of work and terms with enough jobs.

    Each line reaches the target margin with the chance CARD_CHANCE. Inputs as for `price_table`. Returns rows of
    decisions.rate_card and notes.
    """
    priced = _priced(jobs)
    if priced.height < MIN_JOBS_FOR_PRICE:
        return pl.DataFrame(schema=CARD), [f"A rate card needs {MIN_JOBS_FOR_PRICE} jobs with feet and costs."]
    upto = seasons.filter(pl.col("season") <= season).sort("season")
    factors, _ = season_factors(upto, settings, BOOTSTRAP_DRAWS, seed)
    groups = [("any roofline work", priced)]
    for work in ("new", "repeat"):
        for terms in ("leased", "sold"):
            part = priced.filter((pl.col("work") == work) & (pl.col("terms") == terms))
            if part.height >= MIN_JOBS_FOR_PRICE:
                groups.append((f"{work} work, goods {terms}", part))
    rows = []
    for line, (what, frame) in enumerate(groups, start=1):
        row = _row(season, what, CARD_CHANCE, _forecast(frame, factors, settings, seed), settings)
        rows.append(
            {
                "season": season + 1, "line": line, "what": what, "basis": "usd per foot",
                "amount_usd": row["price_usd_per_ft"], "low": row["low"], "high": row["high"],
            }
        )  # fmt: skip
    return pl.DataFrame(rows, schema=CARD), [
        "Prices by surface, story and slope and a minimum charge are not on it yet."
    ]
