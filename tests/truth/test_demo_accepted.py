"""What the intake accepts of the demo against what a right intake accepts: sums that the maker wrote down."""

from __future__ import annotations

import polars as pl
import pytest
from support.demo import SEASONS, checked, truth


@pytest.mark.parametrize("season", SEASONS)
def test_the_accepted_records_sum_to_what_was_written_down(season: int) -> None:
    records, stated = checked(season).records, truth()["realized"][str(season)]["accepted"]
    jobs, receipts = records["jobs"], records["receipts"]
    paid = pl.when(pl.col("kind") == "refund").then(-pl.col("amount")).otherwise(pl.col("amount"))
    assert {
        "jobs": jobs.height,
        "new_jobs": jobs.filter(pl.col("work") == "new").height,
        "open_jobs": jobs["takedown_date"].null_count(),
        "invoiced": jobs["invoiced"].sum(),
        "invoiced_other": jobs["invoiced_other"].sum(),
        "feet": records["runs"]["feet"].sum(),
        "calls": records["service_calls"].height,
        "received": receipts.select(paid.sum()).item(),
    } == stated


@pytest.mark.parametrize("season", SEASONS)
def test_the_accepted_hours_of_each_task_are_those_written_down(season: int) -> None:
    hours = checked(season).records["hours"].group_by("task").agg(pl.col("hours").sum())
    assert dict(hours.rows()) == truth()["realized"][str(season)]["accepted_hours_by_task"]
