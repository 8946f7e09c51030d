"""The rate card: a charge for going there, a price a foot by surface, and what height, slope and kind of work add."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal

import numpy as np
import polars as pl
from numpy.typing import NDArray

from pipeline.decisions.card_fit import ANY_SURFACE, CardFit, Houses, fit_card, houses_of, segment_weights
from pipeline.decisions.card_work import Evidence, Key, earlier_evidence, expected_of, pulls
from pipeline.decisions.cost_groups import listed
from pipeline.decisions.policy import (
    CARD_CHANCE,
    CARD_VISIT_STEP,
    MIN_JOBS_FOR_COST_FUNCTION,
)
from pipeline.decisions.price import CARD, NOTHING_AHEAD, priced_jobs, rate_card, round_up
from pipeline.decisions.price_ahead import Ahead, factors_of
from pipeline.decisions.price_seasons import season_spread
from pipeline.settings import Settings

Floats = NDArray[np.float64]

LEAST_SHOWN = 0.0005
"""Share of accuracy that is a tenth of a percent when it is rounded."""
CARD_VIEWS = ("work", "terms", "stories", "size_band", "branch")
"""Kinds of work that a card is held to, beside surfaces."""


@dataclass(frozen=True)
class Card:
    """A rate card: its rows (decisions.rate_card), notes, and what it charges.

    `rates` are usd for the columns of `Houses`: a start, a foot of each surface, a foot with each adder. `surfaces`,
    `adders` and `base` are those of the houses that it was made from. None of them for a card of plain prices a foot.
    `pulled` is by how much the luck of each job that it was told from moved the rates, and `told_from` their keys.
    """

    rows: pl.DataFrame
    notes: list[str]
    rates: Floats | None = None
    least: float = 0.0
    houses: Houses | None = None
    told_from: tuple[Key, ...] = ()
    pulled: Floats | None = None

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
    the least multiple of its own step with which all jobs together bring the target, usd. Where every job is asked for
    the least charge anyway, it is no line of its own: the charge for going there is.
    """
    rates = np.array([_nearest(rate * scale, step) for rate in fit.rates])
    columns = houses.columns @ fit.lines.summed(houses)
    visit_step = Decimal(CARD_VISIT_STEP)
    by_feet = float((columns[:, 1:] @ rates[1:]).sum())
    rates[0] = max(0.0, round_up((target - by_feet) / len(houses.feet), visit_step))
    least = round_up(max(rates[0], minimum or 0.0), visit_step)
    return rates, least if (columns @ rates).min() < least else float(rates[0])


def _limits(houses: Houses, fit: CardFit, moved: Floats) -> list[tuple[float, float]]:
    """95 % limits of each line, usd, by the luck of the jobs that the card is told from: by how much each of them moved
    the rates is squared and summed (White 1980), with Student's t. What may not be below nothing has no limit there.
    """
    from scipy.special import stdtrit

    to = fit.lines.summed(houses)
    freedom = max(1, len(moved) - fit.lines.count)
    errors = np.sqrt((moved[:, to.argmax(axis=0)] ** 2).sum(axis=0) * len(moved) / freedom)
    half = errors * stdtrit(freedom, 0.975)
    least = np.zeros(fit.lines.count)
    least[fit.lines.free(houses)] = -np.inf
    return list(zip(np.maximum(fit.rates - half, least).tolist(), (fit.rates + half).tolist(), strict=True))


def _rows(
    names: list[tuple[str, str]], rates: Floats, limits: list[tuple[float, float]], least: float, season: int
) -> pl.DataFrame:
    rows: list[tuple] = []
    for (term, name), rate, (low, high) in zip(names, rates.tolist(), limits, strict=True):
        basis = "usd a job" if term == "visit" else "usd a foot"
        rows.append((term, name if term in ("visit", "surface") else f"{name}, on each foot", basis, rate, low, high))
    if least > rates[0]:
        rows.insert(1, ("least", "No job under", "usd a job", least, None, None))
    return pl.DataFrame([(season + 1, line, *row) for line, row in enumerate(rows, start=1)], schema=CARD, orient="row")


def _said(houses: Houses, fit: CardFit, price: float, earlier: int, condition: str) -> list[str]:
    lines = fit.lines.count
    notes = [
        f"The card reaches the target margin over all jobs together with a chance of {CARD_CHANCE * 100:.0f} %"
        f"{condition}: in all it asks as much as ${price:.2f} a foot would.",
        f"Prices a foot are for {houses.base}; lines of other kinds of work add to them or take off.",
    ]
    more = fit.error / fit.full_error - 1 if fit.full_error > 0 else 0.0
    notes.append(
        f"The card has {lines} lines. With every line that could be on it, it would follow what single jobs cost "
        + (f"better by {more * 100:.1f} %." if more >= LEAST_SHOWN else "no better.")
    )
    if earlier:
        before = "the season before it" if earlier == 1 else f"the {earlier} seasons before it"
        notes.append(f"What work takes is told from this season and {before}; the older one is, the less it counts.")
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
    store: tuple[pl.DataFrame, pl.DataFrame] | None = None,
) -> Card:
    """The season's rate card, whose lines together ask for as much as `price` a foot would.

    `jobs` is measures.job_cost, `seasons` measures.season_cost and `runs` records.runs; `price` is the firm's price a
    foot at CARD_CHANCE and `minimum` the cost function's least charge, usd; `store` has the jobs and runs of every
    season, where the earlier ones are to help to tell what work takes. With fewer jobs than a cost function needs or
    without hours by job the card has prices a foot by kind of work alone.
    """
    usable, notes = priced_jobs(jobs, settings)
    plain = usable.height < MIN_JOBS_FOR_COST_FUNCTION or not usable["has_own_hours"].all()
    if price is None or usable.is_empty() or plain:
        rows, said = rate_card(jobs, seasons, settings, season=season, seed=seed, ahead=ahead)
        return Card(rows, said)
    houses, factors = houses_of(usable, runs), factors_of(usable, settings, ahead)
    now = Evidence.of(usable, houses, factors)
    earlier = earlier_evidence(*store, houses, factors, settings, season) if store else []
    expected = expected_of([one.sums for one in (now, *earlier)], houses)
    _, segments = segment_weights(usable, houses, CARD_VIEWS)
    fair = now.need - now.work + houses.columns @ expected.rates
    seen = np.sum([(one.houses.adder_feet > 0).sum(axis=0) for one in (now, *earlier)], axis=0)
    fit = fit_card(houses, now.need, fair, segments, seen.tolist())
    target = price * float(houses.feet.sum())
    scale = target / float(now.need.sum())
    step = settings.number("price_step") or Decimal(0)
    rates, least = _rounded(houses, fit, scale, minimum, target, step)
    keys, moved = pulls(now, earlier, fit, expected)
    limits = [(low * scale, high * scale) for low, high in _limits(houses, fit, moved)]
    rows = _rows(_names(houses, fit), rates, limits, least, season)
    to = fit.lines.summed(houses)
    known = season_spread(seasons.filter(pl.col("season") <= season), settings)
    notes += _said(houses, fit, price, len(earlier), known.condition)
    if minimum and not (rows["term"] == "least").any():
        notes.append(f"No visit is worth less than ${minimum:,.0f}; every job comes to more, so that has no line.")
    return Card(rows, notes, to @ rates, least, houses, keys, moved * scale)
