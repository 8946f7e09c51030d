"""Rate cards of made firms, applied to the season that they were fitted on and to the one after."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
import polars as pl
from support.card_worlds import made_seasons, runs_of

from pipeline.decisions.card_fit import as_seen, segment_weights
from pipeline.decisions.policy import BEYOND_LUCK, SEGMENT_ERROR
from pipeline.decisions.price_again import this_season_again
from pipeline.decisions.price_card import CARD_VIEWS, fitted_card
from pipeline.settings import Settings

PRICE_OVER_COST = 1.5

Kind = tuple[str, str]


@dataclass(frozen=True)
class Off:
    """A card in one kind of work of one season, beside what it asks in all: its error against what the houses are
    expected to cost (`true`), against what they did (`seen`, with its standard error `luck`), and what it asks over
    expected cost.
    """

    jobs: int
    true: float
    seen: float
    luck: float
    over_cost: float


@dataclass(frozen=True)
class Trial:
    """A made firm's card: its `lines`, and how far it is off by `own` and `next` season and kind of work."""

    lines: int
    own: dict[Kind, Off]
    next: dict[Kind, Off]


def trial(seed: int, count: int, before: int) -> Trial:
    """The card of a season of a made firm with `count` jobs, told from it and from as many seasons `before` it."""
    *known, later = made_seasons(seed, count, before + 2)
    now, settings = known[-1][0], Settings()
    every = pl.concat([jobs for jobs, _ in known])
    season = int(now["season"][0])
    price = PRICE_OVER_COST * float(now["total_usd"].sum()) / float(now["feet"].sum())
    costs = pl.DataFrame({"season": [season], "cost_usd_per_ft": [5.0]}, schema_overrides={"season": pl.Int32})
    card = fitted_card(
        now, costs, runs_of(now), settings,
        price=price, minimum=None, season=season, seed=seed, store=(every, runs_of(every)),
    )  # fmt: skip
    assert card.houses is not None
    found: list[dict[Kind, Off]] = []
    for jobs, expected in (known[-1], later):
        runs = runs_of(jobs)
        rows = this_season_again(jobs, runs, card, settings, season=season)[1].to_dicts()
        houses = as_seen(jobs, runs, card.houses)
        asked = card.quote(houses)
        names, weights = segment_weights(jobs, houses, CARD_VIEWS)
        shares = dict(zip(names, weights, strict=True))
        found.append({})
        for row in rows[1:]:
            kind = (row["view"], row["segment"])
            over = float(shares[kind] @ asked / (shares[kind] @ expected))
            true = over / float(asked.sum() / expected.sum()) - 1
            found[-1][kind] = Off(row["jobs"], true, row["error_share"], row["error_se"], over)
    return Trial(card.rows.height, *found)


def _root(values: np.ndarray) -> float:
    return round(float(np.sqrt((values**2).mean())), 4)


def _by_kind(seasons: list[dict[Kind, Off]]) -> dict[str, dict[str, float]]:
    """For each kind of work: in how many made firms it had jobs enough, and the card's mean error against expected
    cost with its standard error, null where that is not to be told."""
    kinds: dict[str, dict[str, float]] = {}
    for kind in sorted({kind for one in seasons for kind in one}):
        off = np.array([one[kind].true for one in seasons if kind in one])
        error = float(off.std(ddof=1) / np.sqrt(len(off))) if len(off) > 1 else float("nan")
        kinds[" ".join(kind)] = {
            "firms": len(off), "mean_error": round(float(off.mean()), 4), "standard_error": round(error, 4)
        }  # fmt: skip
    return {name: row for name, row in kinds.items() if row["firms"] > 1}


def summary(trials: list[Trial]) -> dict[str, Any]:
    """Of the cards of made firms of one size, in their own and the next season, over all kinds of work: root mean
    square errors against expected cost (`true`) and against what was seen, with the mean square of its standard error
    (`luck`); the share beyond SEGMENT_ERROR, and beyond that and BEYOND_LUCK standard errors; and how large the mean
    error of each kind is.
    """
    result: dict[str, Any] = {"firms": len(trials), "lines": round(float(np.mean([one.lines for one in trials])), 1)}
    for which in ("own", "next"):
        seasons = [getattr(one, which) for one in trials]
        every = [off for one in seasons for off in one.values()]
        true, seen, luck = (np.array([getattr(off, name) for off in every]) for name in ("true", "seen", "luck"))
        far = np.abs(seen) > SEGMENT_ERROR
        result[which] = {
            "kinds_of_work": len(every), "fewest_jobs": min(off.jobs for off in every),
            "true_off": _root(true), "true_beyond_3_percent": round(float((np.abs(true) > SEGMENT_ERROR).mean()), 4),
            "seen_off": _root(seen), "luck": _root(luck), "seen_beyond_3_percent": round(float(far.mean()), 4),
            "beyond_luck_too": round(float((far & (np.abs(seen) > BEYOND_LUCK * luck)).mean()), 4),
            "least_over_cost": round(min(off.over_cost for off in every), 3),
            "by_kind": _by_kind(seasons),
        }  # fmt: skip
    return result
