"""Winning and losing quotes by price: what a dearer quote costs, and the prices that do well."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import polars as pl
from numpy.typing import NDArray

from pipeline.decisions.policy import (
    BEST_PRICE_QUOTES,
    BEST_PRICE_TAIL,
    DEARER,
    EVALUATED_QUOTES,
    MIN_QUOTES,
    OUTCOMES_A_COEFFICIENT,
    PRICE_TAIL,
    RESPONSE_DRAWS,
)
from pipeline.statistics.bootstrap import percentile_limits
from pipeline.statistics.responses import Response, chances, fit_response

Floats = NDArray[np.float64]

RESPONSE = {
    "season": pl.Int32, "work": pl.String, "price_usd_per_ft": pl.Float64, "factor": pl.Float64,
    "won_share": pl.Float64, "won_low": pl.Float64, "won_high": pl.Float64, "contribution_usd": pl.Float64,
    "contribution_low": pl.Float64, "contribution_high": pl.Float64, "feet": pl.Float64, "hours": pl.Float64,
}  # fmt: skip
GOOD_PRICES = {
    "season": pl.Int32, "work": pl.String, "quotes": pl.Int64, "won": pl.Int64, "quoted_usd_per_ft": pl.Float64,
    "won_share": pl.Float64, "lost_share": pl.Float64, "lost_low": pl.Float64, "lost_high": pl.Float64,
    "good_low": pl.Float64, "good_high": pl.Float64, "best_usd_per_ft": pl.Float64, "best_end": pl.String,
    "is_separated": pl.Boolean,
}  # fmt: skip
NOT_SAID = "not said"
"""Work of a quote whose row does not say it."""
STEP = 0.005
"""Steps of the factor by which all prices are moved: finer than a price is ever written."""


def work_in_words(work: str) -> str:
    """A kind of work as it is spoken of in a sentence."""
    return {"new": "new work", "repeat": "renewals"}.get(work, "quotes that do not say their work")


@dataclass(frozen=True)
class _Quotes:
    """The design of a work's quotes, its second column the log price; `factors` are moves that the data know."""

    design: Floats
    won: NDArray[np.bool_]
    factors: Floats


def good_prices(
    quotes: pl.DataFrame, direct_usd_per_ft: dict[str, float], *, hours_per_ft: float | None, season: int, seed: int
) -> tuple[pl.DataFrame, pl.DataFrame, list[str]]:
    """The response of winning to price and the prices that do well, renewals apart from new work.

    `quotes` is facts.quote_outcomes of the seasons up to `season`, all of which the response is fitted to; it is spoken
    of for the quotes of `season` with all their prices moved by one factor, no further than quotes for like houses
    differed. `direct_usd_per_ft`: next season's direct cost by work, or `all`; `hours_per_ft`: direct crew hours.
    Returns rows of decisions.price_response and of decisions.good_prices for the next season, and notes.
    """
    named = quotes.with_columns(pl.col("work").fill_null(NOT_SAID))
    decided = named.filter((pl.col("outcome") != "open") & (pl.col("price_usd_per_ft") > 0))
    # Where all of a season's quotes ended alike they say nothing of their prices.
    decided = decided.filter(pl.col("outcome").n_unique().over("season", "work") > 1)
    asked = set(named.filter(pl.col("season") == season)["work"])
    responses: list[dict] = []
    prices: list[dict] = []
    notes = [] if quotes.height else ["No quotes were handed in, so what a price does to winning cannot be told."]
    for place, work in enumerate(("new", "repeat", NOT_SAID)):
        frame = decided.filter(pl.col("work") == work).sort("season", "branch", "quote_no", nulls_last=True)
        cost = direct_usd_per_ft.get(work, direct_usd_per_ft.get("all"))
        if work not in asked:
            continue
        reason = _why_not(frame, work, cost, season)
        if reason:
            notes.append(reason)
            continue
        assert cost is not None
        known = _design(frame, season)
        if known is None:
            notes.append(
                f"Prices quoted for {work_in_words(work)} hardly differ between like houses, so no response shows."
            )
            continue
        rows, price = _spoken(
            frame, known, fit_response(known.design, known.won), cost, hours_per_ft, season, seed + place
        )
        responses += [row | {"work": work, "season": season + 1} for row in rows]
        prices.append(price | {"work": work, "season": season + 1})
    return pl.DataFrame(responses, schema=RESPONSE), pl.DataFrame(prices, schema=GOOD_PRICES), notes


def _why_not(frame: pl.DataFrame, work: str, cost: float | None, season: int) -> str | None:
    """Why nothing can be said of a work's quotes, or None."""
    words = work_in_words(work)
    won = int((frame["outcome"] == "won").sum())
    fewest = min(won, frame.height - won)
    if cost is None:
        return f"What a job costs is not known, so no price for {words} can be judged."
    if frame.filter(pl.col("season") == season).is_empty():
        return f"This season's quotes for {words} all ended alike, so what a price does to winning cannot be told."
    if frame.height < MIN_QUOTES or fewest < OUTCOMES_A_COEFFICIENT:
        return (
            f"How price changes winning takes {MIN_QUOTES} quotes with {OUTCOMES_A_COEFFICIENT} won and as many lost; "
            f"for {words} there are {frame.height}, {won} won. Break-even losses are all that can be said."
        )
    return None


def _design(frame: pl.DataFrame, season: int) -> _Quotes | None:
    """Ones, the log price beside like houses', and as much else as the outcomes bear; None where it hardly differs."""
    won = (frame["outcome"] == "won").to_numpy()
    log_price = np.log(frame["price_usd_per_ft"].to_numpy())
    others = [np.log(frame["feet"].cast(pl.Float64).to_numpy())]
    if frame["stories"].null_count() == 0:
        others.append(frame["stories"].cast(pl.Float64).to_numpy())
    others += [(frame["season"] == earlier).cast(pl.Float64).to_numpy() for earlier in _earlier(frame, season)]
    rest = np.ones((len(won), 1))
    for column in others:
        wider = np.column_stack([rest, column - column.mean()])
        rest = wider if np.linalg.matrix_rank(wider) == wider.shape[1] else rest
    # The price beside that of like houses: what else makes a house dear is taken out before the outcomes are asked.
    own = log_price - rest @ np.linalg.lstsq(rest, log_price, rcond=None)[0]
    affordable = max(int(min(won.sum(), (~won).sum()) // OUTCOMES_A_COEFFICIENT), 1)
    design = np.column_stack([rest[:, 0], own, rest[:, 1:affordable]])
    low, high = np.quantile(own, [PRICE_TAIL, 1 - PRICE_TAIL])
    steps = np.arange(np.ceil(np.expm1(low) / STEP), np.floor(np.expm1(high) / STEP) + 1)
    if len(steps) < 3 or not (steps == 0).any():
        return None
    return _Quotes(design, won, 1 + STEP * steps)


def _earlier(frame: pl.DataFrame, season: int) -> list[int]:
    return [each for each in frame["season"].unique().sort(descending=True).to_list() if each != season]


def _spoken(
    frame: pl.DataFrame,
    known: _Quotes,
    response: Response,
    cost: float,
    hours_per_ft: float | None,
    season: int,
    seed: int,
) -> tuple[list[dict], dict]:
    """Rows of the response over the factors, and what it comes to, for this season's quotes."""
    rng = np.random.default_rng(seed)
    own = np.flatnonzero((frame["season"] == season).to_numpy())
    chosen = np.sort(rng.choice(own, EVALUATED_QUOTES, replace=False)) if len(own) > EVALUATED_QUOTES else own
    design, times = known.design[chosen], len(own) / len(chosen)
    prices = frame["price_usd_per_ft"].to_numpy()[chosen]
    feet = frame["feet"].cast(pl.Float64).to_numpy()[chosen]
    factors = np.append(known.factors, 1 + DEARER)
    left = feet[:, None] * (prices[:, None] * factors[None, :] - cost)

    def outcome(coefficients: Floats) -> tuple[Floats, Floats, Floats]:
        log_odds = (design @ coefficients)[:, None] + coefficients[1] * np.log(factors)[None, :]
        chance = chances(log_odds)
        return chance.mean(axis=0), (chance * left).sum(axis=0) * times, (chance * feet[:, None]).sum(axis=0) * times

    drawn = [outcome(coefficients)[:2] for coefficients in response.draws(RESPONSE_DRAWS, seed)]
    won, contribution = (np.array(values) for values in zip(*drawn, strict=True))
    won_now, contribution_now, feet_now = outcome(response.coefficients)
    quoted = float((prices * feet).sum() / feet.sum())
    rows = [
        {
            "factor": float(factor), "price_usd_per_ft": quoted * float(factor), "won_share": float(won_now[at]),
            **dict(zip(("won_low", "won_high"), percentile_limits(won[:, at]), strict=True)),
            "contribution_usd": float(contribution_now[at]),
            **dict(zip(("contribution_low", "contribution_high"), percentile_limits(contribution[:, at]), strict=True)),
            "feet": float(feet_now[at]), "hours": None if hours_per_ft is None else float(feet_now[at]) * hours_per_ft,
        }
        for at, factor in enumerate(known.factors)
    ]  # fmt: skip
    now = int(np.flatnonzero(known.factors == 1)[0])
    lost: tuple[float | None, ...] = (None, None, None)
    if known.factors.max() >= 1 + DEARER:
        lost = (float(won_now[now] - won_now[-1]), *percentile_limits(won[:, now] - won[:, -1]))
    summary = {
        "quotes": frame.height, "won": int(known.won.sum()), "quoted_usd_per_ft": quoted,
        "won_share": float(won_now[now]), **dict(zip(("lost_share", "lost_low", "lost_high"), lost, strict=True)),
        "is_separated": response.is_separated,
    }  # fmt: skip
    return rows, summary | _best(contribution[:, :-1], known.factors * quoted, frame.height)


def _best(contribution: Floats, prices: Floats, quotes: int) -> dict:
    """Where most is left: limits of each draw's best price, and the price whose contribution is most on average."""
    bests = prices[contribution.argmax(axis=1)]
    low, high = np.quantile(bests, [BEST_PRICE_TAIL, 1 - BEST_PRICE_TAIL], method="nearest")
    best = int(contribution.mean(axis=0).argmax())
    end = "high" if best == len(prices) - 1 else "low" if best == 0 else None
    single = float(prices[best]) if quotes >= BEST_PRICE_QUOTES and end is None else None
    return {"good_low": float(low), "good_high": float(high), "best_usd_per_ft": single, "best_end": end}
