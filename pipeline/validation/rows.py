"""Rules within one table: what a row or a worker's day must be, whatever the other tables hold."""

from __future__ import annotations

from datetime import date

import numpy as np
import polars as pl

from pipeline.errors import UsageError
from pipeline.validation.findings import quoted
from pipeline.validation.state import State

LONG_DAY_HOURS, LONGEST_DAY_HOURS = 14, 24
"""A worker's day over 14 h is a warning, over 24 h impossible."""
MOST_WORKER_DAYS = 20_000_000
"""Workers times days up to which the hours of all are added up in one table: 160 MB."""
SOCKETS_TOLERANCE = 0.05
"""Sockets counted against floor(feet x 12 / spacing), as a share of the latter."""
LAST_LIT_DAY = (1, 5)
"""Month and day until which the lights of an open job count as lit."""
MOST_LIT_NIGHTS = 250


def season_window(season: int) -> tuple[date, date]:
    """First and last day of a season: 1 August to 31 May."""
    return date(season, 8, 1), date(season + 1, 5, 31)


SEVERAL_SEASONS_SHARE, SEVERAL_SEASONS_JOBS = 0.1, 5
"""Share of the jobs, and jobs, above which a second season is no slip: the folder holds several seasons."""


def season_of(state: State) -> int | None:
    """The season that most installations belong to; the later one of equals.

    Raises UsageError where another season holds too many of them to be slips of the keyboard.
    """
    years = state.all("jobs")["install_date"].drop_nulls().to_frame()
    if years.is_empty():
        return None
    starts = years.select(pl.col("install_date").dt.year() - (pl.col("install_date").dt.month() < 8).cast(pl.Int32))
    counts = starts.to_series().value_counts().sort("count", "install_date", descending=True)
    share = pl.col("count") / pl.col("count").sum()
    many = counts.filter((share > SEVERAL_SEASONS_SHARE) & (pl.col("count") > SEVERAL_SEASONS_JOBS))
    if many.height > 1:
        seasons = ", ".join(str(season) for season in many["install_date"].sort().to_list())
        raise UsageError(
            f"the folder holds jobs of several seasons ({seasons}); close them one at a time, each from a folder of "
            "its own."
        )
    return int(counts["install_date"][0])


def counted_sockets() -> pl.Expr:
    """floor(feet x 12 / spacing). Rounded at the sixth decimal first: 100' 4" has 301 sockets at 4", not 300."""
    feet, spacing = pl.col("feet").cast(pl.Float64), pl.col("spacing_in").cast(pl.Float64)
    return (feet * 12 / spacing).round(6).floor().cast(pl.Int32, strict=False)


def _fill_given(state: State, table: str) -> None:
    """What the description gives a value for, where the cell is blank."""
    described = state.tables[table].table
    filled = []
    for field in described.fields.values():
        # A raise inherits how its worker is engaged; see check_workers.
        if field.default is None or field.name == "engaged":
            continue
        blank = pl.col(field.name).is_null() & pl.col(f"raw:{field.name}").is_null()
        value = field.default if field.kind in ("choice", "name") else int(field.default)
        default = pl.lit(value).cast(state.all(table).schema[field.name])
        filled.append(pl.when(blank).then(default).otherwise(field.name).alias(field.name))
    if filled:
        state.replace(table, state.all(table).with_columns(filled))


def fill_defaults(state: State) -> None:
    """Fill what a blank cell stands for."""
    for name in state.tables:
        _fill_given(state, name)
    until = pl.col("takedown_date").fill_null(pl.lit(date(state.season + 1, *LAST_LIT_DAY)))
    nights = (until - pl.col("install_date")).dt.total_days().clip(0, MOST_LIT_NIGHTS).cast(pl.Int32)
    jobs = state.all("jobs").with_columns(
        property_no=pl.coalesce("property_no", "customer_no"), lit_nights=pl.coalesce("lit_nights", nights)
    )
    state.replace("jobs", jobs)
    if state.has("runs"):
        runs = state.all("runs").with_columns(sockets=pl.coalesce("sockets", counted_sockets()))
        state.replace("runs", runs.with_columns(fasteners=pl.coalesce("fasteners", "sockets")))


def check_jobs(state: State) -> None:
    """Dates in the season's window and in order; repeat work on lines of an earlier season."""
    first, last = season_window(state.season)
    jobs = state.all("jobs")
    for name in ("install_date", "takedown_date"):
        state.error(
            "jobs",
            jobs.filter(~pl.col(name).is_between(first, last)),
            name,
            f"{name}_is_in_the_season",
            pl.format("{} lies outside season {} ({} to {})", quoted(name), *map(pl.lit, (state.season, first, last))),
            "correct the date, or put the job into its own season's folder",
        )
    state.error(
        "jobs",
        jobs.filter(pl.col("takedown_date") < pl.col("install_date")),
        "takedown_date",
        "takedown_is_on_or_after_installation",
        pl.format("{} is before the installation on {}", quoted("takedown_date"), "install_date"),
        "correct one of the two dates",
    )
    state.warn(
        jobs.filter((pl.col("work") == "repeat") & (pl.col("built_season") >= state.season)),
        "built_season",
        "lines_of_repeat_work_were_cut_in_an_earlier_season",
        pl.format("{} is not before this season, {}", quoted("built_season"), pl.lit(state.season)),
        "write the season in which the lines were cut, or say that the work is new",
    )


def check_runs(state: State) -> None:
    """Sockets against length and spacing."""
    runs = state.sound("runs").with_columns(expected=counted_sockets())
    off = (pl.col("sockets") - pl.col("expected")).abs() > SOCKETS_TOLERANCE * pl.col("expected")
    state.warn(
        runs.filter(off),
        "sockets",
        "sockets_agree_with_length_and_spacing",
        pl.format("{} is more than 5 % off the {} that length and spacing give", quoted("sockets"), "expected"),
        "count again, or correct the length or the spacing",
    )


def _long_days(hours: pl.DataFrame) -> pl.DataFrame:
    """The rows of a worker's days that may be over 14 hours: the few for which an exact sum is worth its time."""
    numbered = hours.select(
        worker=pl.col("worker_no").cast(pl.Categorical).to_physical().cast(pl.Int64),
        day=pl.col("work_date").to_physical().cast(pl.Int64),
        hours=pl.col("hours").cast(pl.Float64),
    ).with_columns(pl.col("worker") - pl.col("worker").min(), pl.col("day") - pl.col("day").min())
    days = int(numbered["day"].max() or 0) + 1  # type: ignore[arg-type]
    place = (numbered["worker"] * days + numbered["day"]).to_numpy()
    if not len(place) or place.max() > MOST_WORKER_DAYS:
        return hours
    is_long = np.bincount(place, numbered["hours"].to_numpy()) > LONG_DAY_HOURS - 0.001
    return hours.filter(pl.Series(is_long[place])).rechunk()


def check_hours(state: State) -> None:
    """A worker's day, and dates in the season."""
    hours = state.sound("hours")
    day = _long_days(hours).with_columns(
        day_hours=pl.col("hours").sum().over("worker_no", "work_date").cast(pl.Float64).round(6)
    )
    text = pl.format("worker {} has {} hours on {}", "worker_no", pl.col("day_hours").round(2), "work_date")
    state.error(
        "hours",
        day.filter(pl.col("day_hours") > LONGEST_DAY_HOURS).rechunk(),
        "hours",
        "a_day_has_at_most_24_hours",
        text,
        "correct the hours of that day",
    )
    state.warn(
        day.filter(pl.col("day_hours").is_between(LONG_DAY_HOURS, LONGEST_DAY_HOURS, closed="right")),
        "hours",
        "a_day_is_under_14_hours",
        text,
        "check the hours of that day",
    )
    first, last = season_window(state.season)
    state.warn(
        hours.filter(~pl.col("work_date").is_between(first, last)),
        "work_date",
        "work_date_is_in_the_season",
        pl.format("{} lies outside season {}", quoted("work_date"), pl.lit(state.season)),
        "correct the date, or put the row into its own season's folder",
    )


def check_workers(state: State) -> None:
    """A raise inherits role and engagement; an employee has a wage."""
    workers = state.all("workers")
    order = pl.struct(pl.col("from_date").fill_null(date(1900, 1, 1)), "rid")
    filled = workers.with_columns(
        pl.col(name).forward_fill().over("worker_no", order_by=order) for name in ("role", "engaged", "branch")
    ).with_columns(pl.col("engaged").fill_null("employee"))
    state.replace("workers", filled)
    state.error(
        "workers",
        filled.filter((pl.col("engaged") == "employee") & pl.col("raw:hourly_wage").is_null()),
        "hourly_wage",
        "an_employee_has_a_wage",
        "is blank and is needed for an employee",
        "give the hourly wage, or say that the worker is engaged as owner or subcontract",
    )


def check_pay(state: State) -> None:
    """A period that does not end before it begins."""
    state.error(
        "pay",
        state.all("pay").filter(pl.col("to_date") < pl.col("from_date")),
        "to_date",
        "pay_period_ends_after_it_begins",
        pl.format("{} is before the first day, {}", quoted("to_date"), "from_date"),
        "correct one of the two dates",
    )


def check_service_calls(state: State) -> None:
    """A fault is mended after it was reported."""
    state.warn(
        state.sound("service_calls").filter(pl.col("fixed_date") < pl.col("call_date")),
        "fixed_date",
        "a_fault_is_mended_after_it_was_reported",
        pl.format("{} is before the call on {}", quoted("fixed_date"), "call_date"),
        "correct one of the two dates",
    )


ROW_CHECKS = {
    "jobs": check_jobs,
    "runs": check_runs,
    "hours": check_hours,
    "workers": check_workers,
    "pay": check_pay,
    "service_calls": check_service_calls,
}
"""Checks within a table, by table."""
