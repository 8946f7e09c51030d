"""Next season's price: its forecast, the price table, the rate card and the season again at it, and what moves it."""

from __future__ import annotations

from typing import TYPE_CHECKING

from pipeline.flows.stages import SEED, SeasonInHand

if TYPE_CHECKING:
    import polars as pl

    from pipeline.decisions.price_ahead import Ahead

RANGE = 0.8
"""Level of the interval over which returning properties are moved: P10 to P90."""


def _returns(properties: pl.DataFrame, season: int) -> tuple[float, float, float] | None:
    """Share of properties that returned and its range; None where no earlier season shows it."""
    from pipeline.decisions.renewals import return_counts
    from pipeline.statistics.intervals import clopper_pearson_limits

    counts = [return_counts(properties, season, terms) for terms in ("leased", "sold")]
    came, seen = (sum(pair[at] for pair in counts) for at in (0, 1))
    return (came / seen, *clopper_pearson_limits(came, seen, RANGE)) if seen else None


def _least_charge(hand: SeasonInHand) -> float | None:
    limits = hand.read("decisions.cost_limits")
    found = limits.filter(limits["what"] == "minimum_charge")["value"]
    return None if found.is_empty() else float(found[0])


def _ahead(hand: SeasonInHand) -> Ahead:
    from pipeline.decisions.price_ahead import look_ahead

    assert hand.checked is not None
    return look_ahead(
        hand.read_all("measures.job_cost"),
        hand.read_all("facts.property_seasons"),
        hand.read_all("measures.leased_schedule"),
        hand.read("records.overheads"),
        hand.checked.settings,
        season=hand.season,
        seed=SEED,
    )


def price_season(hand: SeasonInHand) -> pl.DataFrame:
    """Write every decision about next season's price; returns the price table."""
    import polars as pl

    from pipeline.decisions.policy import CARD_CHANCE
    from pipeline.decisions.price import price_table, priced_jobs
    from pipeline.decisions.price_again import this_season_again
    from pipeline.decisions.price_ahead import cost_forecast, factors_of
    from pipeline.decisions.price_card import fitted_card
    from pipeline.decisions.price_moves import price_moves
    from pipeline.decisions.price_outlook import price_outlook
    from pipeline.decisions.renewals import renewals

    assert hand.checked is not None
    settings, season = hand.checked.settings, hand.season
    jobs, runs = hand.read("measures.job_cost"), hand.read("records.runs")
    seasons = hand.read_all("measures.season_cost").filter(pl.col("branch") == "all")
    properties = hand.read_all("facts.property_seasons")
    ahead = _ahead(hand)
    table, notes = price_table(jobs, seasons, settings, season=season, seed=SEED, ahead=ahead)
    advised = table.filter((pl.col("segment") == "all") & (pl.col("chance") == CARD_CHANCE))["price_usd_per_ft"]
    price = None if advised.is_empty() else float(advised[0])
    card = fitted_card(
        jobs, seasons, runs, settings,
        price=price, minimum=_least_charge(hand), season=season, seed=SEED, ahead=ahead,
    )  # fmt: skip
    again, by_segment = this_season_again(jobs, runs, card, settings, season=season, ahead=ahead)
    priced, _ = priced_jobs(jobs, settings)
    factors = factors_of(priced, settings, ahead)
    kept, kept_notes = renewals(jobs, properties, settings, season=season)
    hand.notes |= {"price": notes, "rate_card": card.notes, "renewals": kept_notes}
    written = {
        "price_table": table,
        "price_outlook": price_outlook(jobs, seasons, settings, season=season, seed=SEED, ahead=ahead),
        "cost_forecast": cost_forecast(priced, settings, ahead, season=season),
        "rate_card": card.rows,
        "price_again": again,
        "card_segments": by_segment,
        "price_moves": price_moves(
            priced, hand.read("facts.job_hours"), factors, ahead,
            price=price, returns=_returns(properties, season), season=season,
        ),
        "renewals": kept,
    }  # fmt: skip
    for name, frame in written.items():
        hand.open_store.write(f"decisions.{name}", frame, season + 1)
    return table
