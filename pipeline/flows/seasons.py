"""The season against the one before it in the store."""

from __future__ import annotations

from typing import TYPE_CHECKING

from pipeline.flows.stages import SeasonInHand, StageResult, rows_as_text

if TYPE_CHECKING:
    import polars as pl


def season_before(hand: SeasonInHand) -> StageResult:
    """What changed since the season before, and which of it is more than chance would make."""
    from pipeline.decisions.season_changes import SeasonRecords, season_changes

    def until_now(name: str) -> pl.DataFrame:
        every = hand.read_all(name)
        return every.filter(every["season"] <= hand.season)

    records = SeasonRecords(
        until_now("facts.job_hours"), until_now("measures.connection_failures"), until_now("measures.feed_loads"),
        until_now("facts.property_seasons"),
    )  # fmt: skip
    changes = season_changes(records, hand.season)
    hand.open_store.write("decisions.season_changes", changes, hand.season)
    if changes.is_empty():
        return StageResult("no season before this one is in the store")
    sure = int(changes["more_than_chance"].fill_null(value=False).sum())
    columns = ("measure", "what", "before", "now", "change", "low", "high", "more_than_chance")
    return StageResult(
        f"{sure} of {changes['comparisons'][0]} changes are more than chance", rows_as_text(changes, columns)
    )
