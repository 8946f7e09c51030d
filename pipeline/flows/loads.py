"""Feeds and circuits against their limits, and what to do about those that carry too much."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from pipeline.flows.stages import SeasonInHand, StageResult, rows_as_text

if TYPE_CHECKING:
    import polars as pl


def _plug(hand: SeasonInHand) -> dict[str, Any] | None:
    prices = hand.read("decisions.connection_price")
    plugs = prices.filter(prices["kind"] == "plug")
    return None if plugs.is_empty() else plugs.row(0, named=True)


def loads_on_feeds(hand: SeasonInHand) -> StageResult:
    """Feet, sockets and watts on each feed, watts on each circuit, and the feeds to split."""
    from pipeline.decisions.feed_splits import compare_loaded, feeds_to_split
    from pipeline.decisions.feeds import limits_in_force, load_circuits, load_feeds, reach_of_feeds

    assert hand.checked is not None
    limits = limits_in_force(hand.checked.settings)
    runs = hand.read("facts.feed_runs")
    feeds = load_feeds(hand.read("facts.feeds"), limits)
    split, notes = feeds_to_split(feeds, runs, limits, _plug(hand))
    faults, said = compare_loaded(
        feeds, hand.read("facts.connection_exposure"), season=hand.season, widening=_widening(hand)
    )
    hand.notes["feeds"] = [*notes, *said] if feeds.height else []
    store = hand.open_store
    store.write("measures.feed_loads", feeds, hand.season)
    store.write("measures.circuit_loads", load_circuits(hand.read("facts.circuits"), limits), hand.season)
    store.write("decisions.feed_reach", reach_of_feeds(runs, limits), hand.season)
    store.write("decisions.feeds_to_split", split, hand.season)
    store.write("decisions.feed_faults", faults, hand.season)
    over = feeds["is_over"].sum()
    columns = ("branch", "job_no", "feed", "feet", "sockets", "watts", "first_limit", "used_share")
    table: pl.DataFrame = feeds.filter(feeds["is_over"])
    return StageResult(f"{over} of {feeds.height} feeds over a limit", rows_as_text(table, columns))


def _widening(hand: SeasonInHand) -> float:
    """How many times as much as Poisson counts the season's failures spread over jobs; 1 where that is not known."""
    rates = hand.read("measures.connection_failures")
    whole = rates.filter((rates["branch"] == "all") & (rates["kind"] == "all"))
    return 1.0 if whole.is_empty() else float(whole["widening"][0] or 1.0)
