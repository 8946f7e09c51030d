"""Winning and losing quotes by price: what a dearer quote costs, and the prices that do well."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import polars as pl
from numpy.typing import NDArray

from pipeline.decisions.capacity import CrewHours
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
    "done_share": pl.Float64,
}  # fmt: skip
GOOD_PRICES = {
    "season": pl.Int32, "work": pl.String, "quotes": pl.Int64, "won": pl.Int64, "quoted_usd_per_ft": pl.Float64,
    "won_share": pl.Float64, "lost_share": pl.Float64, "lost_low": pl.Float64, "lost_high": pl.Float64,
    "good_low": pl.Float64, "good_high": pl.Float64, "best_usd_per_ft": pl.Float64, "best_end": pl.String,
    "is_separated": pl.Boolean, "most_hours": pl.Float64, "left_hours": pl.Float64, "busiest": pl.Int32,
    "fits_from_usd_per_ft": pl.Float64, "fits": pl.String,
}  # fmt: skip
NOT_SAID = "not said"
"""Work of a quote whose row does not say it."""
SMALL = 1e-9
"""Feet or a share that is nothing but rounding."""
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
    quotes: pl.DataFrame,
    direct_usd_per_ft: dict[str, float],
    *,
    season: int,
    seed: int,
    crew: CrewHours = CrewHours(),  # noqa: B008 - frozen, and never changed
) -> tuple[pl.DataFrame, pl.DataFrame, list[str]]:
    """The response of winning to price and the prices that do well, renewals apart from new work.

    `quotes` is facts.quote_outcomes of the seasons up to `season`, all of which the response is fitted to; it is spoken
    of for the quotes of `season` with all their prices moved by one factor, no further than quotes for like houses
    differed. `direct_usd_per_ft`: next season's direct cost by work, or `all`. What is won beyond the `crew` hours
    that are left for a work cannot be done and leaves nothing: no good price lies where more is won than can
    be done. Returns rows of decisions.price_response and of decisions.good_prices for the next season, and notes.
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
        asking = _asked(frame, known, cost, crew, season, seed + place)
        rows, price = _spoken(asking, known, fit_response(known.design, known.won), seed + place)
        responses += [row | {"work": work, "season": season + 1} for row in rows]
        limit = {"most_hours": crew.most, "busiest": crew.busiest}
        prices.append(price | limit | {"work": work, "season": season + 1})
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


@dataclass(frozen=True)
class _Asked:
    """This season's quotes, or as many of them as a response is averaged over, each standing for `times` of them; the
    crew hours that their work took, and those that are left for it.
    """

    design: Floats
    prices: Floats
    feet: Floats
    times: float
    cost: float
    factors: Floats
    hours: float | None
    left_hours: float | None

    @property
    def quoted(self) -> float:
        """Quoted price over quoted feet, usd a foot."""
        return float((self.prices * self.feet).sum() / self.feet.sum())

    def done(self, feet: Floats, feet_now: float) -> Floats:
        """The share of the feet won that the crew hours left suffice for, where those won now took what they took."""
        if self.left_hours is None or self.hours is None:
            return np.ones_like(feet)
        return np.minimum(1.0, self.left_hours * feet_now / np.maximum(feet * self.hours, SMALL))

    def outcome(self, coefficients: Floats) -> tuple[Floats, Floats, Floats]:
        """For each factor the share won, what it leaves, usd, and the feet won."""
        log_odds = (self.design @ coefficients)[:, None] + coefficients[1] * np.log(self.factors)[None, :]
        chance = chances(log_odds)
        left = self.feet[:, None] * (self.prices[:, None] * self.factors[None, :] - self.cost)
        feet = (chance * self.feet[:, None]).sum(axis=0) * self.times
        return chance.mean(axis=0), (chance * left).sum(axis=0) * self.times, feet


def _asked(frame: pl.DataFrame, known: _Quotes, cost: float, crew: CrewHours, season: int, seed: int) -> _Asked:
    rng = np.random.default_rng(seed)
    own = np.flatnonzero((frame["season"] == season).to_numpy())
    chosen = np.sort(rng.choice(own, EVALUATED_QUOTES, replace=False)) if len(own) > EVALUATED_QUOTES else own
    work = frame["work"][0]
    return _Asked(
        design=known.design[chosen],
        prices=frame["price_usd_per_ft"].to_numpy()[chosen],
        feet=frame["feet"].cast(pl.Float64).to_numpy()[chosen],
        times=len(own) / len(chosen),
        cost=cost,
        factors=np.append(known.factors, 1 + DEARER),
        hours=crew.of(work),
        left_hours=crew.left(work),
    )


def _spoken(asked: _Asked, known: _Quotes, response: Response, seed: int) -> tuple[list[dict], dict]:
    """Rows of the response over the factors, and what it comes to, for this season's quotes."""
    drawn = [asked.outcome(coefficients) for coefficients in response.draws(RESPONSE_DRAWS, seed)]
    won, contribution, feet = (np.array(values) for values in zip(*drawn, strict=True))
    won_now, contribution_now, feet_now = asked.outcome(response.coefficients)
    now = int(np.flatnonzero(known.factors == 1)[0])
    done = asked.done(feet_now, feet_now[now])
    contribution, contribution_now = contribution * asked.done(feet, feet_now[now]), contribution_now * done
    rows = [
        {
            "factor": float(factor), "price_usd_per_ft": asked.quoted * float(factor), "won_share": float(won_now[at]),
            **dict(zip(("won_low", "won_high"), percentile_limits(won[:, at]), strict=True)),
            "contribution_usd": float(contribution_now[at]),
            **dict(zip(("contribution_low", "contribution_high"), percentile_limits(contribution[:, at]), strict=True)),
            "feet": float(feet_now[at]), "done_share": float(done[at]),
            "hours": None if asked.hours is None else asked.hours * float(feet_now[at] / feet_now[now]),
        }
        for at, factor in enumerate(known.factors)
    ]  # fmt: skip
    lost: tuple[float | None, ...] = (None, None, None)
    if known.factors.max() >= 1 + DEARER:
        lost = (float(won_now[now] - won_now[-1]), *percentile_limits(won[:, now] - won[:, -1]))
    summary = {
        "quotes": len(known.won), "won": int(known.won.sum()), "quoted_usd_per_ft": asked.quoted,
        "won_share": float(won_now[now]), **dict(zip(("lost_share", "lost_low", "lost_high"), lost, strict=True)),
        "is_separated": response.is_separated, "left_hours": asked.left_hours,
    }  # fmt: skip
    prices = known.factors * asked.quoted
    falls = bool(response.coefficients[1] < 0)
    fits = _fits(prices, done[:-1] if falls else done[now : now + 1], asked.left_hours)
    return rows, summary | fits | _best(contribution[:, :-1], prices, len(known.won), fits["fits_from_usd_per_ft"])


def _fits(prices: Floats, done: Floats, left_hours: float | None) -> dict:
    """Whether what is won at all, some or none of the prices tried can be done, and the lowest price from which on it
    can where that is some of them. `done` has the price as it is alone where dearer quotes are won no less.
    """
    if left_hours is None:
        return {"fits": None, "fits_from_usd_per_ft": None}
    over = np.flatnonzero(done < 1 - SMALL)
    if not len(over):
        return {"fits": "all", "fits_from_usd_per_ft": None}
    first = int(over[-1]) + 1
    if first == len(done):
        return {"fits": "none", "fits_from_usd_per_ft": None}
    return {"fits": "some", "fits_from_usd_per_ft": float(prices[first])}


def _best(contribution: Floats, prices: Floats, quotes: int, least: float | None) -> dict:
    """Where most is left: limits of each draw's best price, and the price whose contribution is most on average; none
    of them under the `least` price from which on what is won can be done.
    """
    allowed = prices >= (least or 0.0) - 1e-9
    contribution, prices = contribution[:, allowed], prices[allowed]
    bests = prices[contribution.argmax(axis=1)]
    low, high = np.quantile(bests, [BEST_PRICE_TAIL, 1 - BEST_PRICE_TAIL], method="nearest")
    best = int(contribution.mean(axis=0).argmax())
    end = "high" if best == len(prices) - 1 else "low" if best == 0 and least is None else None
    single = float(prices[best]) if quotes >= BEST_PRICE_QUOTES and end is None else None
    return {"good_low": float(low), "good_high": float(high), "best_usd_per_ft": single, "best_end": end}
