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
        hand.read_all("records.overheads"),
        hand.checked.settings,
        season=hand.season,
        seed=SEED,
    )


def _seasons(hand: SeasonInHand) -> pl.DataFrame:
    """The season and those before it, each with what was foreseen of its cost."""
    from pipeline.decisions.price_ahead import standing
    from pipeline.decisions.price_seasons import with_foreseen

    every = hand.read_all("measures.season_cost")
    schedule, overheads = hand.read_all("measures.leased_schedule"), hand.read_all("records.overheads")
    return with_foreseen(
        every.filter((every["branch"] == "all") & (every["season"] <= hand.season)),
        hand.settings_of,
        lambda season: standing(schedule, overheads, season),
    )


def price_season(hand: SeasonInHand) -> tuple[pl.DataFrame, Ahead]:
    """Write every decision about next season's price; returns the price table, and what is known of that season."""
    import polars as pl

    from pipeline.decisions.policy import CARD_CHANCE
    from pipeline.decisions.price import price_table, priced_jobs
    from pipeline.decisions.price_again import this_season_again
    from pipeline.decisions.price_ahead import factors_of
    from pipeline.decisions.price_card import fitted_card
    from pipeline.decisions.price_moves import line_offcuts, price_moves
    from pipeline.decisions.price_outlook import cost_forecast, price_outlook, unusual_prices
    from pipeline.decisions.renewals import renewals

    assert hand.checked is not None
    settings, season = hand.checked.settings, hand.season
    jobs, runs = hand.read("measures.job_cost"), hand.read("records.runs")
    seasons = _seasons(hand)
    properties = hand.read_all("facts.property_seasons")
    ahead = _ahead(hand)
    table, notes = price_table(jobs, seasons, settings, season=season, seed=SEED, ahead=ahead)
    advised = table.filter((pl.col("segment") == "all") & (pl.col("chance") == CARD_CHANCE))["price_usd_per_ft"]
    price = None if advised.is_empty() else float(advised[0])
    card = fitted_card(
        jobs, seasons, runs, settings,
        price=price, minimum=_least_charge(hand), season=season, seed=SEED, ahead=ahead,
        store=(hand.read_all("measures.job_cost"), hand.read_all("records.runs")),
    )  # fmt: skip
    again, by_segment = this_season_again(jobs, runs, card, settings, season=season, ahead=ahead)
    priced, _ = priced_jobs(jobs, settings)
    factors = factors_of(priced, settings, ahead)
    kept, kept_notes = renewals(jobs, properties, settings, season=season)
    outlook = price_outlook(jobs, seasons, settings, season=season, seed=SEED, ahead=ahead)
    hand.notes |= {"price": notes, "unusual": unusual_prices(outlook), "rate_card": card.notes, "renewals": kept_notes}
    written = {
        "price_table": table,
        "price_outlook": outlook,
        "cost_forecast": cost_forecast(jobs, seasons, settings, season=season, seed=SEED, ahead=ahead),
        "rate_card": card.rows,
        "price_again": again,
        "card_segments": by_segment,
        "price_moves": price_moves(
            priced, hand.read("facts.job_hours"),
            line_offcuts(hand.read("facts.job_items"), hand.read("facts.unit_costs")), factors, ahead,
            price=price, returns=_returns(properties, season), season=season,
        ),
        "renewals": kept,
    }  # fmt: skip
    for name, frame in written.items():
        hand.open_store.write(f"decisions.{name}", frame, season + 1)
    return table, ahead
