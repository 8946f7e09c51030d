"""How long customers wait for a repair, calls that are still open among them."""

from __future__ import annotations

import polars as pl

SCHEMA = {
    "season": pl.Int32, "branch": pl.String, "calls": pl.Int64, "open_calls": pl.Int64,
    **dict.fromkeys(
        ("median_days", "median_low", "median_high", "p90_days", "p90_low", "p90_high"), pl.Float64
    ),
}  # fmt: skip


def call_times(counts: pl.DataFrame, waits: pl.DataFrame) -> pl.DataFrame:
    """Rows of measures.call_times from facts.call_counts and facts.call_waits."""
    from pipeline.statistics.survival import quantile_of_waits, waiting_shares

    rows = []
    for row in counts.sort("season", "branch").to_dicts():
        own = waits if row["branch"] == "all" else waits.filter(pl.col("branch") == row["branch"])
        shares = waiting_shares(own["days"].cast(pl.Float64).to_numpy(), own["is_mended"].to_numpy().astype(bool))
        middle, slow = quantile_of_waits(shares, 0.5), quantile_of_waits(shares, 0.9)
        rows.append(
            row
            | {"median_days": middle.value, "median_low": middle.low, "median_high": middle.high}
            | {"p90_days": slow.value, "p90_low": slow.low, "p90_high": slow.high}
        )
    return pl.DataFrame(rows, schema=SCHEMA)
