"""What quotes say of next year's price and whether it can be paid for: parts of the stage that sets the price."""

from __future__ import annotations

from typing import TYPE_CHECKING

from pipeline.flows.stages import SEED, SeasonInHand

if TYPE_CHECKING:
    from pipeline.decisions.price_ahead import Ahead


def win_and_lose(hand: SeasonInHand, ahead: Ahead) -> None:
    """Break-even losses of jobs, the response of winning to price, and the prices that do well."""
    import polars as pl

    from pipeline.decisions.break_even import break_even, next_direct_costs
    from pipeline.decisions.capacity import crew_hours
    from pipeline.decisions.price_ahead import factors_of
    from pipeline.decisions.win_and_lose import good_prices

    assert hand.checked is not None
    jobs, settings = hand.read("measures.job_cost"), hand.checked.settings
    responses, prices, notes = good_prices(
        hand.read_all("facts.quote_outcomes").filter(pl.col("season") <= hand.season),
        next_direct_costs(jobs, factors_of(jobs, settings, ahead)),
        season=hand.season,
        seed=SEED,
        crew=crew_hours(
            jobs, hand.read("facts.job_hours"), hand.read_all("measures.task_hours"), settings, season=hand.season
        ),
    )
    hand.notes["quotes"] = notes
    hand.open_store.write("decisions.break_even", break_even(jobs, season=hand.season), hand.season + 1)
    hand.open_store.write("decisions.price_response", responses, hand.season + 1)
    hand.open_store.write("decisions.good_prices", prices, hand.season + 1)


def cash(hand: SeasonInHand) -> None:
    """Next season's cash by month, from this season's receipts and the advised order."""
    from pipeline.decisions.cash import cash_plan

    assert hand.checked is not None
    orders = hand.open_store.read("decisions.order_lines", hand.season + 1)
    plan = cash_plan(hand.read("measures.cash_months"), orders, hand.checked.settings, season=hand.season)
    hand.open_store.write("decisions.cash_plan", plan, hand.season + 1)
