"""Rate cards of made seasons, applied to the season that they were fitted on and to the one after."""

from __future__ import annotations

import numpy as np
import polars as pl
from support.card_worlds import FIRST, expected_costs, runs_of, two_seasons

from pipeline.decisions.card_fit import segment_weights
from pipeline.decisions.policy import BEYOND_LUCK, SEGMENT_ERROR
from pipeline.decisions.price_again import as_seen, this_season_again
from pipeline.decisions.price_card import CARD_VIEWS, fitted_card
from pipeline.settings import Settings

PRICE_OVER_COST = 1.5

Trial = dict[tuple[str, str], dict[str, float]]


def trial(seed: int) -> dict[str, Trial]:
    """For `own` and `next` season, by kind of work, the card's error against what its houses are expected to cost
    (`off`), against what they did (`seen`, with its standard error `luck`), and what it asks over expected cost.

    Errors are of the card alone: in all it is taken to ask what is needed of both.
    """
    (now, _), (later, _) = two_seasons(seed)
    settings, runs = Settings(), runs_of(now)
    price = PRICE_OVER_COST * float(now["total_usd"].sum()) / float(now["feet"].sum())
    costs = pl.DataFrame({"season": [FIRST], "cost_usd_per_ft": [5.0]}, schema_overrides={"season": pl.Int32})
    card = fitted_card(now, costs, runs, settings, price=price, minimum=None, season=FIRST, seed=seed)
    found: dict[str, Trial] = {}
    for which, jobs in (("own", now), ("next", later)):
        assert card.houses is not None
        own_runs = runs_of(jobs)
        _, seen = this_season_again(jobs, own_runs, card, settings, season=FIRST)
        houses = as_seen(jobs, own_runs, card.houses)
        asked, expected = card.quote(houses), expected_costs(jobs)
        names, weights = segment_weights(jobs, houses, CARD_VIEWS)
        rows = {(row["view"], row["segment"]): row for row in seen.to_dicts()}
        found[which] = {
            name: {
                "off": float(weight @ asked / (weight @ expected) / (asked.sum() / expected.sum())) - 1,
                "seen": rows[name]["error_share"], "luck": rows[name]["error_se"],
                "over_cost": float(weight @ asked / (weight @ expected)),
            }
            for name, weight in zip(names, weights, strict=True)
        }  # fmt: skip
    return found


def summary(trials: list[dict[str, Trial]]) -> dict[str, dict[str, dict[str, float]]]:
    """By season and kind of work: in how many made seasons it had jobs enough, the card's mean error and its standard
    error, how often what was seen lay beyond SEGMENT_ERROR, and how often beyond that and its luck.
    """
    result: dict[str, dict[str, dict[str, float]]] = {}
    for which in ("own", "next"):
        kinds = sorted({kind for one in trials for kind in one[which]})
        result[which] = {}
        for kind in kinds:
            own = [one[which][kind] for one in trials if kind in one[which]]
            off, seen, luck = (np.array([row[name] for row in own]) for name in ("off", "seen", "luck"))
            far = np.abs(seen) > SEGMENT_ERROR
            result[which][" ".join(kind)] = {
                "seasons": len(own), "mean_error": round(float(off.mean()), 4),
                "standard_error": round(float(off.std(ddof=1) / np.sqrt(len(own))), 4) if len(own) > 1 else 0.0,
                "one_season_off": round(float(np.sqrt((off**2).mean())), 4),
                "seen_off": round(float(np.sqrt((seen**2).mean())), 4),
                "beyond_3_percent": round(float(far.mean()), 3),
                "beyond_luck_too": round(float((far & (np.abs(seen) > BEYOND_LUCK * luck)).mean()), 3),
                "least_over_cost": round(min(row["over_cost"] for row in own), 3),
            }  # fmt: skip
    return result
