"""The rate card: a charge for going there, a price a foot by surface, and what height, slope and kind of work add."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal

import numpy as np
import polars as pl
from numpy.typing import NDArray

from pipeline.decisions.card_fit import ANY_SURFACE, CardFit, Houses, fit_card, houses_of, segment_weights, solved
from pipeline.decisions.cost_groups import listed
from pipeline.decisions.policy import (
    CARD_CHANCE,
    CARD_VISIT_STEP,
    COST_DRAWS,
    MIN_JOBS_FOR_COST_FUNCTION,
)
from pipeline.decisions.price import CARD, NOTHING_AHEAD, priced_jobs, rate_card, round_up
from pipeline.decisions.price_ahead import Ahead, factors_of, next_costs
from pipeline.settings import Settings
from pipeline.statistics.bootstrap import percentile_limits
from pipeline.statistics.least_squares import bootstrap_moments

Floats = NDArray[np.float64]

CARD_VIEWS = ("work", "terms", "stories", "size_band", "branch")
"""Kinds of work that a card is held to, beside surfaces."""


@dataclass(frozen=True)
class Card:
    """A rate card: its rows (decisions.rate_card), notes, and what it charges.

    `rates` are usd for the columns of `Houses`: a start, a foot of each surface, a foot with each adder. `surfaces`,
    `adders` and `base` are those of the houses that it was made from. None of them for a card of plain prices a foot.
    """

    rows: pl.DataFrame
    notes: list[str]
    rates: Floats | None = None
    least: float = 0.0
    houses: Houses | None = None

    def quote(self, houses: Houses) -> Floats:
        """What the card asks for jobs with these houses' columns, usd a job."""
        assert self.rates is not None
        return np.maximum(self.least, houses.columns @ self.rates)


def _nearest(amount: float, step: Decimal) -> float:
    """An amount at the nearest multiple of a step; as it is for a step of 0."""
    return float(round(amount / float(step)) * step) if step else amount


def _names(houses: Houses, fit: CardFit) -> list[tuple[str, str]]:
    """Term and name of each line."""
    names = [("visit", "Going to a house")]
    for members in fit.lines.surfaces:
        words = [houses.surfaces[at] for at in members]
        every = len(fit.lines.surfaces) == 1
        names.append(("surface", "each foot, any surface" if every else f"each foot on {listed(words)}"))
    for members in fit.lines.adders:
        words = [houses.adders[at][1] for at in members]
        stories = houses.adders[members[0]][0] == "stories" and len(members) > 1
        names.append((houses.adders[members[0]][0], "2 stories or more" if stories else " or ".join(words)))
    return names


def _rounded(
    houses: Houses, fit: CardFit, scale: float, minimum: float | None, target: float, step: Decimal
) -> tuple[Floats, float]:
    """Rates of the lines for paper, and the least charge: feet to the nearest step, then the charge for going there
    the least multiple of its own step with which all jobs together bring the target, usd.
    """
    rates = np.array([_nearest(rate * scale, step) for rate in fit.rates])
    columns = houses.columns @ fit.lines.summed(houses)
    visit_step = Decimal(CARD_VISIT_STEP)
    by_feet = float((columns[:, 1:] @ rates[1:]).sum())
    rates[0] = max(0.0, round_up((target - by_feet) / len(houses.feet), visit_step))
    return rates, round_up(max(rates[0], minimum or 0.0), visit_step)


def _limits(houses: Houses, fit: CardFit, need: Floats, scale: float, seed: int) -> list[tuple[float, float]]:
    """95 % limits of each line that the jobs leave, before rounding, usd."""
    sums = bootstrap_moments(houses.columns, need[:, None], 1 / houses.feet, COST_DRAWS, seed)
    draws = solved(houses, fit.lines, sums) * scale
    return [percentile_limits(draws[:, line]) for line in range(draws.shape[1])]


def _rows(
    names: list[tuple[str, str]], rates: Floats, limits: list[tuple[float, float]], least: float, season: int
) -> pl.DataFrame:
    rows: list[tuple] = []
    for (term, name), rate, (low, high) in zip(names, rates.tolist(), limits, strict=True):
        basis = "usd a job" if term == "visit" else "usd a foot"
        rows.append((term, name if term in ("visit", "surface") else f"{name}, on each foot", basis, rate, low, high))
    if least > rates[0]:
        rows.insert(1, ("least", "No job under", "usd a job", least, None, None))
    else:
        rows[0] = ("visit", "Going to a house, and the least charge", *rows[0][2:])
    return pl.DataFrame([(season + 1, line, *row) for line, row in enumerate(rows, start=1)], schema=CARD, orient="row")


def _said(houses: Houses, fit: CardFit, price: float) -> list[str]:
    lines = fit.lines.count
    notes = [
        f"The card reaches the target margin over all jobs together with a chance of {CARD_CHANCE * 100:.0f} %: in all "
        f"it asks as much as ${price:.2f} a foot would.",
        f"Prices a foot are for {houses.base}; lines of other kinds of work add to them or take off.",
    ]
    more = fit.error / fit.full_error - 1 if fit.full_error > 0 else 0.0
    notes.append(
        f"The card has {lines} lines. With every line that could be on it, it would follow what single jobs cost "
        f"better by {more * 100:.1f} %."
    )
    if houses.surfaces == (ANY_SURFACE,):
        notes.append("Surfaces have no prices of their own: no runs are kept.")
    if not any(houses.adders[members[0]][0] == "slope" for members in fit.lines.adders):
        notes.append(
            "Slope has no line: steep roofs cost no more a foot than the others, or too few were written down."
        )
    return notes


def fitted_card(
    jobs: pl.DataFrame,
    seasons: pl.DataFrame,
    runs: pl.DataFrame,
    settings: Settings,
    *,
    price: float | None,
    minimum: float | None,
    season: int,
    seed: int,
    ahead: Ahead = NOTHING_AHEAD,
) -> Card:
    """The season's rate card, whose lines together ask for as much as `price` a foot would.

    `jobs` is measures.job_cost, `seasons` measures.season_cost and `runs` records.runs; `price` is the firm's price a
    foot at CARD_CHANCE and `minimum` the cost function's least charge, usd. With fewer jobs than a cost function needs
    or without hours by job the card has prices a foot by kind of work alone.
    """
    usable, notes = priced_jobs(jobs, settings)
    plain = usable.height < MIN_JOBS_FOR_COST_FUNCTION or not usable["has_own_hours"].all()
    if price is None or usable.is_empty() or plain:
        rows, said = rate_card(jobs, seasons, settings, season=season, seed=seed, ahead=ahead)
        return Card(rows, said)
    houses = houses_of(usable, runs)
    need = next_costs(usable, factors_of(usable, settings, ahead))
    _, segments = segment_weights(usable, houses, CARD_VIEWS)
    fit = fit_card(houses, need, segments)
    target = price * float(houses.feet.sum())
    scale = target / float(need.sum())
    step = settings.number("price_step") or Decimal(0)
    rates, least = _rounded(houses, fit, scale, minimum, target, step)
    limits = _limits(houses, fit, need, scale, seed)
    rows = _rows(_names(houses, fit), rates, limits, least, season)
    return Card(rows, notes + _said(houses, fit, price), fit.lines.summed(houses) @ rates, least, houses)
