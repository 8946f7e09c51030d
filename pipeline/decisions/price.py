"""Next year's price per foot: what reaches the target margin, and with what chance."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from decimal import Decimal
from typing import Any

import numpy as np
import polars as pl
from numpy.typing import NDArray

from pipeline.decisions.policy import (
    BOOTSTRAP_DRAWS,
    CARD_CHANCE,
    CHANCES,
    FEW_SEASONS,
    MIN_JOBS_FOR_COST_FUNCTION,
    MIN_JOBS_FOR_PRICE,
)
from pipeline.decisions.price_ahead import Ahead, factors_of, next_costs
from pipeline.settings import Settings
from pipeline.statistics.bootstrap import percentile_limits, ratio_of_sums

Floats = NDArray[np.float64]

NOTHING_AHEAD = Ahead()
TABLE = {
    "season": pl.Int32, "segment": pl.String, "chance": pl.Float64, "price_usd_per_ft": pl.Float64,
    "cost_usd_per_ft": pl.Float64, "margin": pl.Float64, "low": pl.Float64, "high": pl.Float64,
}  # fmt: skip
CARD = {
    "season": pl.Int32, "line": pl.Int32, "term": pl.String, "what": pl.String, "basis": pl.String,
    "amount_usd": pl.Float64, "low": pl.Float64, "high": pl.Float64,
}  # fmt: skip

MORE_VIEWS: dict[str, Callable[[Any], str]] = {
    "stories": lambda stories: "1 story" if stories == 1 else f"{stories} stories",
    "size_band": str,
    "branch": lambda branch: f"branch {branch}",
}
"""Views beside work and terms by which prices are told apart, and how their segments are called."""


def price_of(cost: float, margin: float) -> float:
    """The price that leaves a margin: cost / (1 - margin), never cost x (1 + margin)."""
    return cost / (1 - margin)


def round_up(price: float, step: Decimal) -> float:
    """A price rounded up to a step, 0 for none; dust of floating point does not add a step."""
    if not step:
        return price
    return float(math.ceil(round(price / float(step), 9)) * step)


@dataclass(frozen=True)
class Seasons:
    """How the next season may differ from the last one: a factor a draw, and in words where it comes from.

    `holds_jobs` says whether the factors hold what next season's own jobs add by chance: seasons that were seen do.
    """

    factors: Floats
    holds_jobs: bool
    note: str


@dataclass(frozen=True)
class Forecast:
    """Next season's cost a foot: now, and draws of what the jobs leave open and of next season."""

    now: float
    jobs: Floats
    next_season: Floats


def segments_of(jobs: pl.DataFrame) -> dict[str, pl.DataFrame]:
    """The kinds of work that are priced apart, each with its jobs: those with jobs enough, where hours are by job."""
    segments = {"all": jobs}
    if not jobs["has_own_hours"].all():
        return segments
    for view in ("work", "terms"):
        for value in jobs[view].unique().sort().to_list():
            segments[value] = jobs.filter(pl.col(view) == value)
    for view, named in MORE_VIEWS.items():
        values = jobs[view].drop_nulls().unique().sort().to_list() if view in jobs.columns else []
        if len(values) > 1:
            segments |= {named(value): jobs.filter(pl.col(view) == value) for value in values}
    return {name: frame for name, frame in segments.items() if frame.height >= MIN_JOBS_FOR_PRICE}


def season_factors(seasons: pl.DataFrame, settings: Settings, draws: int, seed: int) -> Seasons:
    """Factors by which a season's cost a foot differs from that of the season before.

    `seasons` has season and cost_usd_per_ft. With two seasons or more: a Student-t predictive on the log, the root
    mean square of the changes from season to season x t with as many degrees of freedom as changes; what is expected
    to change is in the rises, so no trend is taken from the changes. Exact where costs wander, and within 1 % of its
    chances where they vary about a level. Else the setting season_spread as a standard deviation of the log. Else none.
    """
    rng = np.random.default_rng(seed)
    known = seasons.filter(pl.col("cost_usd_per_ft") > 0).sort("season")
    logs = np.log(known["cost_usd_per_ft"].cast(pl.Float64).to_numpy())
    changes = np.diff(logs) / np.sqrt(np.diff(known["season"].to_numpy()))
    if len(changes):
        spread = float(np.sqrt((changes**2).mean()))
        factors = np.exp(np.clip(rng.standard_t(len(changes), draws) * spread, -1, 1))
        note = f"The spread from season to season is that of {len(logs)} seasons."
        if len(logs) < FEW_SEASONS:
            note += " Two seasons show little of it: prices for chances of 90 % and more are high for that reason."
        return Seasons(factors, True, note)
    given = settings.number("season_spread")
    if given is not None:
        factors = np.exp(rng.normal(0, float(given), draws))
        return Seasons(factors, False, "The spread from season to season is the one you gave.")
    note = "These chances hold if next season is like this one: one season does not show how seasons differ."
    return Seasons(np.ones(draws), False, note)


def forecast(jobs: pl.DataFrame, seasons: Seasons, factors: dict[str, float], seed: int) -> Forecast:
    """Next season's cost a foot from these jobs, their parts' `factors` and what seasons differ by."""
    costs, feet = next_costs(jobs, factors), jobs["feet"].cast(pl.Float64).to_numpy()
    now = float(costs.sum() / feet.sum())
    next_season = seasons.factors
    if not seasons.holds_jobs:
        next_season = next_season * ratio_of_sums(costs, feet, BOOTSTRAP_DRAWS, seed + 1) / now
    return Forecast(now, ratio_of_sums(costs, feet, BOOTSTRAP_DRAWS, seed), next_season)


def price_row(season: int, segment: str, chance: float, ahead: Forecast, settings: Settings) -> dict:
    share = float(settings.number("target_margin") or 0)
    step = settings.number("price_step") or Decimal(0)
    cost = float(np.quantile(ahead.jobs * ahead.next_season, chance))
    price = round_up(price_of(cost, share), step)
    reach = float(np.quantile(ahead.next_season, chance))
    low, high = percentile_limits(ahead.jobs)
    return {
        "season": season + 1, "segment": segment, "chance": chance, "price_usd_per_ft": price,
        "cost_usd_per_ft": ahead.now, "margin": 1 - ahead.now / price,
        "low": price_of(low * reach, share), "high": price_of(high * reach, share),
    }  # fmt: skip


def priced_jobs(jobs: pl.DataFrame, settings: Settings) -> tuple[pl.DataFrame, list[str]]:
    """The jobs that a price can be made from, in a fixed order, and what to say of them; none with the reason."""
    costed = jobs.filter((pl.col("feet") > 0) & (pl.col("total_usd") > 0)).sort("branch", "job_no")
    final = costed.filter(pl.col("is_final"))
    notes = []
    if final.height >= MIN_JOBS_FOR_PRICE:
        still_up = costed.height - final.height
        costed = final
        if still_up:
            notes.append(f"{still_up} jobs still to be taken down are left out: their cost is not final.")
    elif final.height < costed.height:
        notes.append("Most jobs are still to be taken down: their cost, and so these prices, will rise.")
    if costed.height < MIN_JOBS_FOR_PRICE:
        return costed.clear(), [f"A price needs {MIN_JOBS_FOR_PRICE} jobs with feet and costs; there are fewer."]
    if (settings.number("target_margin") or 0) >= 1:
        return costed.clear(), ["A target_margin of 100 % cannot be reached at any price; give a smaller one."]
    if costed["is_understated"].any():
        notes.append(f"The cost of {costed['is_understated'].sum()} jobs is understated, and so are these prices.")
    if not costed["has_own_hours"].all():
        notes.append(
            "Hours are spread over jobs by feet, so kinds of work cannot be priced apart and the limits are too narrow."
        )
    return costed, notes


def price_table(
    jobs: pl.DataFrame,
    seasons: pl.DataFrame,
    settings: Settings,
    *,
    season: int,
    seed: int,
    ahead: Ahead = NOTHING_AHEAD,
) -> tuple[pl.DataFrame, list[str]]:
    """Price per foot by segment and chance that the season's margin reaches `target_margin`.

    `jobs` is measures.job_cost of the season, `seasons` measures.season_cost of all branches in every season of the
    store. Costs a foot are drawn by a bootstrap over jobs times the factors of `season_factors`; low and high are the
    95 % limits that the jobs leave of the price before rounding. Returns rows of decisions.price_table for the next
    season, and notes.
    """
    priced, notes = priced_jobs(jobs, settings)
    if priced.is_empty():
        return pl.DataFrame(schema=TABLE), notes
    spread = season_factors(seasons.filter(pl.col("season") <= season), settings, BOOTSTRAP_DRAWS, seed)
    factors = factors_of(priced, settings, ahead)
    rows = []
    for segment, frame in segments_of(priced).items():
        drawn = forecast(frame, spread, factors, seed)
        rows += [price_row(season, segment, chance, drawn, settings) for chance in CHANCES]
    notes += [spread.note, *ahead.notes]
    return pl.DataFrame(rows, schema=TABLE), notes


def rate_card(
    jobs: pl.DataFrame,
    seasons: pl.DataFrame,
    settings: Settings,
    *,
    season: int,
    seed: int,
    ahead: Ahead = NOTHING_AHEAD,
) -> tuple[pl.DataFrame, list[str]]:
    """A first rate card: one price per foot for each kind of work and terms with enough jobs.

    Each line reaches the target margin with the chance CARD_CHANCE. Inputs as for `price_table`. Returns rows of
    decisions.rate_card and notes.
    """
    priced, notes = priced_jobs(jobs, settings)
    if priced.is_empty():
        return pl.DataFrame(schema=CARD), notes
    spread = season_factors(seasons.filter(pl.col("season") <= season), settings, BOOTSTRAP_DRAWS, seed)
    groups = [("any roofline work", priced)]
    if priced["has_own_hours"].all():
        kinds = [(work, terms) for work in ("new", "repeat") for terms in ("leased", "sold")]
        parts = [priced.filter((pl.col("work") == work) & (pl.col("terms") == terms)) for work, terms in kinds]
        groups += [
            (f"{work} work, goods {terms}", part)
            for (work, terms), part in zip(kinds, parts, strict=True)
            if part.height >= MIN_JOBS_FOR_PRICE
        ]
    factors = factors_of(priced, settings, ahead)
    rows = []
    for line, (what, frame) in enumerate(groups, start=1):
        row = price_row(season, what, CARD_CHANCE, forecast(frame, spread, factors, seed), settings)
        rows.append(
            {
                "season": season + 1, "line": line, "term": "foot", "what": what, "basis": "usd a foot",
                "amount_usd": row["price_usd_per_ft"], "low": row["low"], "high": row["high"],
            }
        )  # fmt: skip
    said = f"Each line reaches the target margin with a chance of {CARD_CHANCE * 100:.0f} %."
    return pl.DataFrame(rows, schema=CARD), [
        said,
        f"Prices by surface, story and slope and a least charge need {MIN_JOBS_FOR_COST_FUNCTION} jobs with hours of "
        "their own.",
    ]
