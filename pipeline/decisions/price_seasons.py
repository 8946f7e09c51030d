"""How far the next season's cost a foot may lie from what is foreseen, from how far the seasons in the store did."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
import polars as pl
from numpy.typing import NDArray

from pipeline.decisions.policy import FEW_SEASONS
from pipeline.decisions.price_ahead import Ahead, factors_of, next_costs
from pipeline.settings import Settings

Floats = NDArray[np.float64]

MOST_CHANGE = 1.0
"""Most that a season's cost a foot is taken to be off, in logarithms: 2.7 times what was foreseen, or a third of it."""
MOST_FREEDOM = 1e6
"""Degrees of freedom from which Student's t is the normal curve to six digits."""
CONDITIONAL = "These chances hold if next season is like this one: one season does not show how seasons differ."


@dataclass(frozen=True)
class Seasons:
    """How the next season may differ from what is foreseen, and in words where that comes from.

    `spread` is the standard deviation of the log of a season's cost a foot about what was foreseen, `freedom` the
    degrees of freedom that it is known with (None: given). `holds_jobs` says whether it holds what a season's own jobs
    add by chance: that of seasons that were seen does.
    """

    spread: float
    freedom: int | None
    holds_jobs: bool
    note: str

    @property
    def condition(self) -> str:
        """What a chance hangs on where nothing shows how seasons differ, as the end of a sentence; else nothing."""
        return ", if next season is like this one" if self.note == CONDITIONAL else ""

    def factors(self, draws: int, seed: int, beside: float = 0.0) -> Floats:
        """Draws of the factor by which the season differs.

        `beside` is the variance of the log of all else that the draws are taken together with. A spread that few
        seasons show, drawn with them, would make the chances of the whole too careful (Behrens and Fisher's problem),
        and the freedom of Welch (1947) not careful enough at 90 % and more: it counts with as many times the degrees of
        freedom as the whole spreads more than it does alone, which lies between and comes nearest at all of CHANCES.
        """
        from scipy.special import ndtri, stdtrit

        even = np.random.default_rng(seed).random(draws)
        if not self.spread:
            return np.ones(draws)
        if self.freedom is None:
            return np.asarray(np.exp(ndtri(even) * self.spread))
        freedom = min(self.freedom * math.sqrt(1 + beside / self.spread**2), MOST_FREEDOM)
        return np.exp(np.clip(stdtrit(freedom, even) * self.spread, -MOST_CHANGE, MOST_CHANGE))


def with_foreseen(
    seasons: pl.DataFrame, settings_of: Callable[[int], Settings], ahead_of: Callable[[int], Ahead]
) -> pl.DataFrame:
    """measures.season_cost of all branches with `foreseen_usd_per_ft`: what the season before it, with the rises of its
    settings, its goods that stood already and its fixed overhead on the feet that came, would have said of its cost.

    `ahead_of` gives what the store knew at the end of a season; its growth is not used. Null for the first season and
    where feet are not known.
    """
    known = seasons.sort("season")
    foreseen: list[float | None] = [None] * known.height
    for at in range(1, known.height):
        before, here = known[at - 1], known[at]
        feet = (float(before["feet"][0] or 0), float(here["feet"][0] or 0))
        if min(feet) <= 0:
            continue
        earlier, years = int(before["season"][0]), int(here["season"][0]) - int(before["season"][0])
        was = ahead_of(earlier)
        ahead = Ahead(was.settled_usd, was.fixed_share, feet[1] / feet[0])
        costs = next_costs(before, factors_of(before, settings_of(earlier), ahead, years))
        foreseen[at] = float(costs[0]) / feet[0] or None
    return known.with_columns(foreseen_usd_per_ft=pl.Series(foreseen, dtype=pl.Float64))


def _changes(seasons: pl.DataFrame) -> tuple[int, Floats]:
    """Seasons with a cost, and by how much each but the first was off what was foreseen, in logarithms a season."""
    known = seasons.filter(pl.col("cost_usd_per_ft") > 0).sort("season")
    costs = known["cost_usd_per_ft"].cast(pl.Float64)
    before = costs.shift(1)
    if "foreseen_usd_per_ft" in known.columns:
        before = known["foreseen_usd_per_ft"].fill_null(before)
    years = known["season"].diff().cast(pl.Float64)
    changes = (costs / before).log() / years.sqrt()
    return known.height, changes.drop_nulls().to_numpy()


def season_spread(seasons: pl.DataFrame, settings: Settings) -> Seasons:
    """How a season's cost a foot differs from what the season before foresees of it.

    `seasons` has season and cost_usd_per_ft and, where known, foreseen_usd_per_ft; without it the cost of the season
    before is what was foreseen. With two seasons or more: the root mean square of the changes, and a Student-t with as
    many degrees of freedom as changes; what is expected to change is foreseen, so no trend is taken from the changes.
    Exact where costs wander, and within 1 % of its chances where they vary about a level. Else the setting
    season_spread as a standard deviation of the log. Else none.
    """
    count, changes = _changes(seasons)
    if len(changes):
        note = (
            f"The spread from season to season is that of {count} seasons: by how much each was off what the one "
            "before foresaw."
        )
        if count < FEW_SEASONS:
            note += " Two seasons show little of it: prices for chances of 90 % and more are high for that reason."
        return Seasons(float(np.sqrt((changes**2).mean())), len(changes), True, note)
    given = settings.number("season_spread")
    if given is not None:
        return Seasons(float(given), None, False, "The spread from season to season is the one you gave.")
    return Seasons(0.0, None, False, CONDITIONAL)
