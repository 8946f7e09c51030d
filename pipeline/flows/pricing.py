"""What quotes say of next year's price and whether it can be paid for: parts of the stage that sets the price."""

from __future__ import annotations

from pipeline.flows.stages import SEED, SeasonInHand

DIRECT_TASKS = ("prep", "drive", "install", "takedown", "service", "storage")
"""Hours that go when a job goes."""


def win_and_lose(hand: SeasonInHand) -> None:
    """Break-even losses of jobs, the response of winning to price, and the prices that do well."""
    import polars as pl

    from pipeline.decisions.break_even import break_even, next_direct_costs
    from pipeline.decisions.win_and_lose import good_prices

    assert hand.checked is not None
    jobs = hand.read("measures.job_cost")
    quotes = hand.read_all("facts.quote_outcomes").filter(pl.col("season") <= hand.season)
    responses, prices, notes = good_prices(
        quotes,
        next_direct_costs(jobs, hand.checked.settings),
        hours_per_ft=_hours_per_ft(hand),
        season=hand.season,
        seed=SEED,
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


def _hours_per_ft(hand: SeasonInHand) -> float | None:
    """Direct crew hours a foot of the season; None where hours or feet are not known."""
    season = hand.read("measures.season_cost").filter(branch="all")
    hours = hand.read("measures.task_hours").filter(branch="all")
    direct = sum(float(row["hours"] or 0) for row in hours.to_dicts() if row["task"] in DIRECT_TASKS)
    feet = float(season["feet"][0] or 0) if season.height else 0.0
    return direct / feet if direct and feet else None
