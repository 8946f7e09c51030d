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
    MIN_JOBS_FOR_COST_FUNCTION,
    MIN_JOBS_FOR_PRICE,
)
from pipeline.decisions.price_ahead import Ahead, factors_of, next_costs
from pipeline.decisions.price_seasons import Seasons, season_spread
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
class Coming:
    """What the next season is forecast with, alike for every kind of work: what `seasons` differ by, the `factors` of
    the parts, what is known `ahead`, and the variance of the log of the season's cost a foot by its jobs' `luck`.
    """

    seasons: Seasons
    factors: dict[str, float]
    ahead: Ahead
    luck: float
    seed: int


@dataclass(frozen=True)
class Forecast:
    """Next season's cost a foot: expected, `jobs` as draws of what this season's jobs leave open of it, and draws of
    what it will be, usd.
    """

    now: float
    jobs: Floats
    later: Floats


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


def _luck(jobs: pl.DataFrame, factors: dict[str, float], seed: int) -> tuple[float, Floats]:
    """Next season's cost a foot of jobs like these, and draws of the factor by which these jobs' luck moves it."""
    costs, feet = next_costs(jobs, factors), jobs["feet"].cast(pl.Float64).to_numpy()
    now = float(costs.sum() / feet.sum())
    return now, ratio_of_sums(costs, feet, BOOTSTRAP_DRAWS, seed) / now


def coming(
    jobs: pl.DataFrame, seasons: pl.DataFrame, settings: Settings, *, season: int, seed: int, ahead: Ahead
) -> Coming:
    """What the next season is forecast with. `jobs` are those of `priced_jobs`, `seasons` as for `price_table`."""
    known = seasons.filter(pl.col("season") <= season)
    factors = factors_of(jobs, settings, ahead)
    return Coming(
        season_spread(known, settings), factors, ahead, float(np.log(_luck(jobs, factors, seed)[1]).var()), seed
    )


def forecast(jobs: pl.DataFrame, known: Coming) -> Forecast:
    """Next season's cost a foot of a kind of work: its jobs' parts by their factors, what seasons differ by, the feet
    on which fixed overhead will lie, and the luck of this season's jobs and of the next one's.

    Where seasons that were seen hold the luck of all jobs together, only what these jobs have beside it is added.
    """
    now, here = _luck(jobs, known.factors, known.seed)
    _, there = _luck(jobs, known.factors, known.seed + 1)
    own = 1.0
    if known.seasons.holds_jobs:
        variance = float(np.log(here).var())
        own = math.sqrt(max(0.0, 1 - known.luck / variance)) if variance > 0 else 0.0
    overhead = float(jobs["overhead_usd"].cast(pl.Float64).fill_null(0).sum()) * known.factors["overhead_usd"]
    share = overhead / (now * float(jobs["feet"].cast(pl.Float64).sum()))
    beside = known.ahead.by_feet(share, BOOTSTRAP_DRAWS) * (here * there) ** own
    season = known.seasons.factors(BOOTSTRAP_DRAWS, known.seed, float(np.log(beside).var()))
    return Forecast(now, now * here, now * season * beside)


def price_row(season: int, segment: str, chance: float, drawn: Forecast, settings: Settings) -> dict:
    share = float(settings.number("target_margin") or 0)
    step = settings.number("price_step") or Decimal(0)
    exact = price_of(float(np.quantile(drawn.later, chance)), share)
    price = round_up(exact, step)
    low, high = percentile_limits(drawn.jobs / drawn.now)
    return {
        "season": season + 1, "segment": segment, "chance": chance, "price_usd_per_ft": price,
        "cost_usd_per_ft": drawn.now, "margin": 1 - drawn.now / price, "low": exact * low, "high": exact * high,
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
    store, with what was foreseen of each where that is known. Costs a foot are drawn as `forecast` says; low and high
    are the 95 % limits that the jobs leave of the price before rounding. Returns rows of decisions.price_table for the
    next season, and notes.
    """
    priced, notes = priced_jobs(jobs, settings)
    if priced.is_empty():
        return pl.DataFrame(schema=TABLE), notes
    known = coming(priced, seasons, settings, season=season, seed=seed, ahead=ahead)
    rows = []
    for segment, frame in segments_of(priced).items():
        drawn = forecast(frame, known)
        rows += [price_row(season, segment, chance, drawn, settings) for chance in CHANCES]
    notes += [known.seasons.note, *ahead.notes]
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
    known = coming(priced, seasons, settings, season=season, seed=seed, ahead=ahead)
    groups = [("any roofline work", priced)]
    if priced["has_own_hours"].all():
        kinds = [(work, terms) for work in ("new", "repeat") for terms in ("leased", "sold")]
        parts = [priced.filter((pl.col("work") == work) & (pl.col("terms") == terms)) for work, terms in kinds]
        groups += [
            (f"{work} work, goods {terms}", part)
            for (work, terms), part in zip(kinds, parts, strict=True)
            if part.height >= MIN_JOBS_FOR_PRICE
        ]
    rows = []
    for line, (what, frame) in enumerate(groups, start=1):
        row = price_row(season, what, CARD_CHANCE, forecast(frame, known), settings)
        rows.append(
            {
                "season": season + 1, "line": line, "term": "foot", "what": what, "basis": "usd a foot",
                "amount_usd": row["price_usd_per_ft"], "low": row["low"], "high": row["high"],
            }
        )  # fmt: skip
    said = f"Each line reaches the target margin with a chance of {CARD_CHANCE * 100:.0f} %{known.seasons.condition}."
    return pl.DataFrame(rows, schema=CARD), [
        said,
        f"Prices by surface, story and slope and a least charge need {MIN_JOBS_FOR_COST_FUNCTION} jobs with hours of "
        "their own.",
    ]
