"""Figures that are kept twice and must agree: feet and runs, pay and hours, calls and hours, totals and their rows."""

from __future__ import annotations

from decimal import Decimal

import polars as pl

from pipeline.validation.corrections import at_home
from pipeline.validation.findings import quoted
from pipeline.validation.state import REJECTED_ROWS, State
from pipeline.vocabulary import DECIMAL_KINDS, WHOLE_KINDS

FEET_TOLERANCE = 0.02
"""Feet of a job against the sum of its runs, as a share of the job's feet."""
TOTAL_TOLERANCE = Decimal("0.005")
"""What a written total may be off by: half of the last place that people write."""

_JOB = ["branch", "job_no"]
_SUMMED = (DECIMAL_KINDS | WHOLE_KINDS) - {"season", "share", "slope", "inches"}


def check_feet(state: State) -> None:
    """A job has feet, or runs."""
    bare = state.all("jobs").filter(pl.col("raw:feet").is_null())
    if state.has("runs"):
        bare = bare.join(state.all("runs"), on=_JOB, how="anti").rechunk()
    state.error(
        "jobs",
        bare,
        "feet",
        "a_job_has_feet_or_runs",
        "is blank and the job has no runs",
        "give the fastened feet, or the job's runs",
    )


def compare_feet(state: State) -> None:
    """Feet of a job against the sum of its accepted runs."""
    if not state.has("runs"):
        return
    sums = state.accepted("runs").group_by(_JOB).agg(run_feet=pl.col("feet").sum().cast(pl.Float64))
    jobs = state.accepted("jobs").join(sums, on=_JOB).join(state.rejected_by_job("runs"), on=_JOB, how="left")
    off = ((pl.col("run_feet") / pl.col("feet").cast(pl.Float64)) - 1).abs().round(9)
    state.warn(
        jobs.filter(off > FEET_TOLERANCE).rechunk(),
        "feet",
        "feet_agree_with_the_runs",
        pl.format(
            "{} is more than 2 % off the {} ft of its runs{}",
            quoted("feet"),
            pl.col("run_feet").round(1),
            REJECTED_ROWS,
        ),
        "measure again, or correct the job's feet or its runs",
    )


def check_extra_pay(state: State) -> None:
    """A bonus, piece or day pay needs hours of its worker to go over."""
    is_dated = pl.col("from_date").is_not_null() & pl.col("to_date").is_not_null()
    pay = state.all("pay").filter(is_dated & (pl.col("kind") != "subcontract"))
    bare = pay
    if state.has("hours"):
        hours = (
            state.sound("hours").select("worker_no", "work_date", hours_branch="branch", hours_job="job_no").unique()
        )
        is_of_job = (pl.col("job_no") == pl.col("hours_job")) & pl.col("branch").eq_missing(pl.col("hours_branch"))
        met = pay.join(hours, on="worker_no").filter(
            pl.col("work_date").is_between(pl.col("from_date"), pl.col("to_date"))
            & (pl.col("job_no").is_null() | is_of_job)
        )
        bare = pay.filter(~pl.col("rid").is_in(met["rid"].unique().implode()))
    worker = (
        pl.when(pl.col("worker_no").is_null()).then(pl.lit("nobody")).otherwise(pl.format("worker {}", "worker_no"))
    )
    state.error(
        "pay",
        bare.rechunk(),
        "worker_no",
        "pay_has_hours_to_go_over",
        pl.format("{} is paid for {} to {}, with no hours there", worker, "from_date", "to_date"),
        "correct the worker, the job or the dates, or add the hours",
    )


def compare_service(state: State) -> None:
    """Service hours without a call, and a call without hours."""
    if not state.has("hours", "service_calls"):
        return
    hours = state.accepted("hours").filter((pl.col("task") == "service") & pl.col("job_no").is_not_null())
    calls = state.accepted("service_calls")
    state.warn(
        hours.join(calls, on=_JOB, how="anti").unique(_JOB, keep="first", maintain_order=True).rechunk(),
        "job_no",
        "service_hours_have_a_call",
        pl.format("job {} has service hours and no service call", "job_no"),
        "add the call, or correct the task",
    )
    state.warn(
        calls.join(hours, on=_JOB, how="anti").rechunk(),
        "job_no",
        "a_call_has_service_hours",
        pl.format("job {} has a service call and no service hours", "job_no"),
        "add the hours with task service",
    )


def check_totals(state: State, name: str, totals: pl.DataFrame) -> None:
    """Totals rows against the rows above them: all of them, or those since the last totals row."""
    fields = [field.name for field in state.tables[name].table.fields.values() if field.kind in _SUMMED]
    sheet = ["source_file", "source_sheet", "part"]
    every = at_home(state.all(name), state.homes)
    for _, rows in totals.group_by(sheet, maintain_order=True):
        home = rows.select(sheet).unique()
        above = every.join(home, left_on=["home_file", "home_sheet", "home_part"], right_on=sheet).select(
            "home_row", *fields, *[f"raw:{field}" for field in fields]
        )
        begin = 0
        for row in rows.sort("source_row").iter_rows(named=True):
            upper = above.filter(pl.col("home_row") < row["source_row"])
            for field in fields:
                if row[field] is not None:
                    _check_total(state, rows, row, field, upper, begin)
            begin = row["source_row"]


def _check_total(state: State, rows: pl.DataFrame, row: dict, field: str, upper: pl.DataFrame, begin: int) -> None:
    sums = [
        Decimal(part[field].sum() or 0) for part in (upper, upper.filter(pl.col("home_row") > begin)) if part.height
    ]
    if any(abs(total - Decimal(row[field])) <= TOTAL_TOLERANCE for total in sums or [Decimal(0)]):
        return
    unread = upper.filter(pl.col(field).is_null() & pl.col(f"raw:{field}").is_not_null()).height
    reason = f"; {unread} of their cells could not be read" if unread else ""
    shown = f"{sums[0] if sums else 0:,.2f}"
    state.warn(
        rows.filter(pl.col("source_row") == row["source_row"]),
        field,
        "a_totals_row_agrees_with_its_rows",
        pl.concat_str(quoted(field), pl.lit(f" differs from the sum of the rows above it, {shown}{reason}")),
        "correct the total, or look for a row that is missing",
    )
