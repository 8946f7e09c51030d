"""The four measures, and the price: statistics and decisions over what the models computed."""

from __future__ import annotations

from typing import TYPE_CHECKING

from pipeline.flows.pricing import cash, win_and_lose
from pipeline.flows.stages import SEED, SeasonInHand, StageResult, rows_as_text

if TYPE_CHECKING:
    import polars as pl

    from pipeline.decisions.demand import Records
    from pipeline.decisions.reorder import Order


def _all_branches(frame: pl.DataFrame) -> pl.DataFrame:
    return frame.filter(frame["branch"] == "all")


def _loaded_usd_per_hour(hand: SeasonInHand) -> float | None:
    """Loaded cost of an installing hour, usd; None where hours or wages were not handed in."""
    hours = hand.read("measures.task_hours")
    row = hours.filter((hours["branch"] == "all") & (hours["task"] == "install"))
    if row.is_empty() or not row["hours"][0] or not row["loaded_usd"][0]:
        return None
    return float(row["loaded_usd"][0]) / float(row["hours"][0])


def _contribution_usd_per_ft(hand: SeasonInHand, of_season: int | None = None) -> float:
    """What a foot that is not hung costs the firm: its price less the costs that it would have brought, usd."""
    costs = hand.open_store.read("measures.season_cost", of_season or hand.season)
    season = _all_branches(costs).row(0, named=True)
    if not season["feet"] or season["total_usd"] is None:
        return 0.0
    kept = season["invoiced_usd"] - season["total_usd"] + season["overhead_usd"]
    return max(0.0, float(kept) / float(season["feet"]))


def cost_per_foot(hand: SeasonInHand) -> StageResult:
    """Realized cost per foot, by part, for the season and each branch."""
    cost = hand.read("measures.season_cost")
    columns = (
        "branch", "jobs", "feet", "labor_usd", "materials_usd", "travel_usd", "equipment_usd", "service_usd",
        "overhead_usd", "total_usd", "cost_usd_per_ft", "charged_usd_per_ft",
    )  # fmt: skip
    whole = _all_branches(cost).row(0, named=True)
    per_foot = whole["cost_usd_per_ft"]
    sentence = (
        "no cost per foot: no feet or no record of a cost" if per_foot is None else f"a foot cost ${per_foot:.2f}"
    )
    return StageResult(sentence, rows_as_text(cost, columns))


def cost_function(hand: SeasonInHand) -> StageResult:
    """What going to a job costs at all and what a foot adds, and the least charge that follows."""
    from pipeline.decisions.cost_function import cost_function as fitted

    assert hand.checked is not None
    found = fitted(
        hand.read("measures.job_cost"),
        hand.read("records.runs"),
        hand.read("records.overheads"),
        hand.checked.settings,
        season=hand.season,
        seed=SEED,
    )
    hand.notes["cost_function"] = found.notes
    hand.open_store.write("decisions.cost_function", found.lines, hand.season)
    hand.open_store.write("decisions.cost_limits", found.limits, hand.season)
    hand.open_store.write("decisions.cost_by_size", found.sizes, hand.season)
    limits = dict(found.limits.select("what", "value").rows())
    start = limits.get("going_there")
    sentence = "no cost function: too few jobs" if start is None else f"a job costs ${start:.0f} before its first foot"
    return StageResult(sentence, rows_as_text(found.lines, ("what", "jobs", "feet", "direct_usd", "full_usd")))


def crew_hours_per_foot(hand: SeasonInHand) -> StageResult:
    """Crew hours per foot, raw and with the houses' difficulty taken out."""
    from pipeline.decisions.crews import compare_crews

    every = hand.read_all("facts.job_hours")
    until_now = every.filter(every["season"] <= hand.season)
    found = compare_crews(until_now, hand.read("facts.connection_weeks"), season=hand.season, seed=SEED)
    hand.notes["crews"] = found.notes
    hand.notes["learning"] = found.learning_notes
    for name, frame in found.tables.items():
        hand.open_store.write(f"decisions.{name}", frame, hand.season)
    columns = ("branch", "crew", "jobs", "observed_hours", "expected_hours", "ratio", "low", "high")
    return StageResult(f"{found.crews.height} crews compared", rows_as_text(found.crews, columns))


def failure_points_per_connection(hand: SeasonInHand) -> StageResult:
    """Failure points per connection, with limits, the price of one more connection, and the days to a repair."""
    from pipeline.decisions.call_times import call_times
    from pipeline.decisions.connections import price_connections
    from pipeline.decisions.failures import season_failures
    from pipeline.decisions.gaps import cross_gaps

    assert hand.checked is not None
    season, settings, write = hand.season, hand.checked.settings, hand.open_store.write
    found = season_failures(
        hand.read("facts.connection_counts"), hand.read("facts.connection_weeks"), season=season, seed=SEED
    )
    for name, frame in found.tables().items():
        write(name, frame, season)
    goods, loaded = hand.read("facts.connection_goods"), _loaded_usd_per_hour(hand)
    prices = price_connections(
        _all_branches(found.kinds),
        _all_branches(hand.read("measures.service_cost")),
        hand.read("facts.failure_costs"),
        goods,
        settings,
        loaded_usd_per_hour=loaded,
        seed=SEED,
    )
    crossings, gap_notes = cross_gaps(prices, goods, settings, season=season, loaded_usd_per_hour=loaded)
    write("decisions.connection_price", prices.table, season)
    write("decisions.gap_crossings", crossings, season)
    write("measures.call_times", call_times(hand.read("facts.call_counts"), hand.read("facts.call_waits")), season)
    hand.notes |= {"failures": found.notes, "connections": prices.notes, "gaps": gap_notes}
    columns = ("branch", "kind", "connections", "failed_points", "per_1000_connection_nights", "low", "high")
    return StageResult(f"{prices.table.height} kinds of connection", rows_as_text(_all_branches(found.kinds), columns))


def _backtest(hand: SeasonInHand, records: Records) -> tuple[pl.DataFrame, list[str]]:
    """The orders that would have been advised for the seasons in the store, against what they used."""
    from dataclasses import replace

    from pipeline.decisions.backtest import Past, backtest

    past = Past(
        replace(records, items=hand.read_all("records.items")), hand.read_all("records.offers"),
        hand.read_all("facts.closing_stock"), hand.read_all("facts.stock_counts"), hand.settings_of,
        lambda season: _contribution_usd_per_ft(hand, season),
    )  # fmt: skip
    return backtest(past, season=hand.season, seed=SEED)


def reorder_quantities(hand: SeasonInHand) -> StageResult:
    """Next season's order by item in whole packs, and the spools to cut it from."""
    from pipeline.decisions.demand import Records, next_season
    from pipeline.decisions.reorder import place_order
    from pipeline.decisions.returning import settled

    assert hand.checked is not None
    items, offers = hand.read("records.items"), hand.read("records.offers")
    settings = hand.checked.settings
    records = Records(
        hand.read_all("facts.job_items"), hand.read_all("facts.property_seasons"),
        hand.read_all("measures.item_use"), items,
    )  # fmt: skip
    ahead = settled(hand.read("facts.quote_outcomes"), hand.read("records.jobs")["install_date"].to_list())
    demand = next_season(records, settings, season=hand.season, seed=SEED, ahead=ahead)
    order = place_order(
        demand,
        records,
        offers,
        hand.read("facts.closing_stock"),
        settings,
        contribution_usd_per_ft=_contribution_usd_per_ft(hand),
        season=hand.season,
        runs=hand.read_all("records.runs"),
    )
    hand.notes["reorder"] = order.notes
    lines = order.lines
    hand.open_store.write("decisions.order_lines", lines, hand.season + 1)
    hand.open_store.write("decisions.order_drivers", order.drivers, hand.season + 1)
    tried, hand.notes["backtest"] = _backtest(hand, records)
    hand.open_store.write("decisions.order_backtest", tried, hand.season + 1)
    _spools(hand, order)
    columns = ("item_no", "packs", "pack_size", "pack_price", "amount_usd", "need_p50", "on_hand", "chance_short")
    return StageResult(f"{lines.height} items to order", rows_as_text(lines, columns))


def _spools(hand: SeasonInHand, order: Order) -> None:
    """The order's spools, and how the season's own lines were cut against the best that was possible."""
    from pipeline.decisions.spools import spool_plan
    from pipeline.decisions.spools_season import best_cutting

    plan, notes = spool_plan(order, season=hand.season)
    offcut, best, remarks = best_cutting(
        hand.read("records.runs"), hand.read("records.jobs"), hand.read("records.items"),
        hand.read("records.purchases"), hand.read("measures.item_use"), season=hand.season,
    )  # fmt: skip
    hand.notes["spools"] = notes
    hand.notes["offcut"] = remarks
    hand.open_store.write("decisions.spool_plan", plan, hand.season + 1)
    hand.open_store.write("decisions.offcut", offcut, hand.season)
    hand.open_store.write("decisions.cut_list", best, hand.season)


def price(hand: SeasonInHand) -> StageResult:
    """Next year's price per foot, for a chance of reaching the target margin."""
    from pipeline.flows.season_price import price_season

    table, ahead = price_season(hand)
    win_and_lose(hand, ahead)
    cash(hand)
    return StageResult(
        "price table and rate card", rows_as_text(table, ("segment", "chance", "price_usd_per_ft", "margin"))
    )
