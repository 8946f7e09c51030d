"""Rules within one table: what a row or a table's rows must be, whatever the other tables hold."""

from __future__ import annotations

from datetime import date

import polars as pl

from pipeline.validation.state import State, number

LONG_DAY_HOURS, LONGEST_DAY_HOURS = 14, 24
"""A worker's day over 14 h is a warning, over 24 h impossible."""
BLOCK_ROWS = 10
"""Rows in one block that another sheet repeats before they count as the same rows kept twice."""
SOCKETS_TOLERANCE = "0.05"


def season_window(season: int) -> tuple[date, date]:
    """First and last day of a season: 1 August to 31 May."""
    return date(season, 8, 1), date(season + 1, 5, 31)


def season_of(state: State) -> int | None:
    """The season that most installations belong to; the later one of equals."""
    if not state.has("jobs"):
        return None
    years = state.all("jobs")["install_date"].drop_nulls().to_frame()
    if years.is_empty():
        return None
    starts = years.select(pl.col("install_date").dt.year() - (pl.col("install_date").dt.month() < 8).cast(pl.Int32))
    counts = starts.to_series().value_counts().sort("count", "install_date", descending=True)
    return int(counts["install_date"][0])


def check_jobs(state: State) -> None:
    """Dates in the season's window and in order."""
    first, last = season_window(state.season)
    jobs = state.all("jobs")
    for name in ("install_date", "takedown_date"):
        state.error(
            "jobs",
            jobs.filter(~pl.col(name).is_between(first, last)),
            name,
            f"{name}_is_in_the_season",
            pl.format(f'"{{}}" lies outside season {state.season} ({first} to {last})', pl.col(f"raw:{name}")),
            "correct the date, or put the job into its own season's folder",
        )
    state.error(
        "jobs",
        jobs.filter(pl.col("takedown_date") < pl.col("install_date")),
        "takedown_date",
        "takedown_is_on_or_after_installation",
        pl.format('"{}" is before the installation on {}', pl.col("raw:takedown_date"), pl.col("install_date")),
        "correct one of the two dates",
    )
    state.warn(
        jobs.filter((pl.col("work") == "repeat") & (pl.col("built_season") > state.season)),
        "built_season",
        "lines_were_cut_before_this_season",
        pl.format('"{}" is after this season', pl.col("raw:built_season")),
        "write the season in which the lines were cut",
    )


def check_runs(state: State) -> None:
    """Sockets against length and spacing."""
    runs = state.sound("runs").with_columns(
        expected=(pl.col("feet").cast(pl.Float64) * 12 / pl.col("spacing_in").cast(pl.Float64)).floor()
    )
    off = (pl.col("sockets") - pl.col("expected")).abs() > float(SOCKETS_TOLERANCE) * pl.col("expected")
    state.warn(
        runs.filter(off),
        "sockets",
        "sockets_agree_with_length_and_spacing",
        pl.format(
            '"{}" is more than 5 % off the {} that length and spacing give',
            "raw:sockets",
            pl.col("expected").cast(pl.Int64),
        ),
        "count again, or correct the length or the spacing",
    )


def check_hours(state: State) -> None:
    """A worker's day, and dates near the season."""
    hours = state.sound("hours")
    day = hours.with_columns(day_hours=pl.col("hours").sum().over("worker_no", "work_date"))
    shown = pl.col("day_hours").cast(pl.Float64).round(2)
    state.error(
        "hours",
        day.filter(pl.col("day_hours") > number(LONGEST_DAY_HOURS)),
        "hours",
        "a_day_has_at_most_24_hours",
        pl.format("worker {} has {} hours on {}", "worker_no", shown, "work_date"),
        "correct the hours of that day",
    )
    long = day.filter(pl.col("day_hours").is_between(number(LONG_DAY_HOURS), number(LONGEST_DAY_HOURS), closed="right"))
    state.warn(
        long,
        "hours",
        "a_day_is_under_14_hours",
        pl.format("worker {} has {} hours on {}", "worker_no", shown, "work_date"),
        "check the hours of that day",
    )
    first, last = season_window(state.season)
    state.warn(
        hours.filter(~pl.col("work_date").is_between(first, last)),
        "work_date",
        "work_date_is_in_the_season",
        pl.format('"{}" lies outside season {}', "raw:work_date", pl.lit(state.season)),
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
        pl.format('"{}" is before the first day {}', "raw:to_date", "from_date"),
        "correct one of the two dates",
    )


ROW_CHECKS = {"jobs": check_jobs, "runs": check_runs, "hours": check_hours, "workers": check_workers, "pay": check_pay}
"""Checks within a table, by table."""


def check_keys(state: State, table: str) -> None:
    """In a table with a key two rows of one key are both rejected; the second of two equal rows alone."""
    working = state.tables[table]
    key = [name for name in working.table.key if name in working.frame.columns]
    if not key:
        return
    rows = working.frame.filter(
        pl.all_horizontal(pl.col(name).is_not_null() for name in key if name in working.table.required)
    )
    twice = rows.filter(pl.struct(key).is_duplicated()).rechunk()
    if twice.is_empty():
        return
    cells = [f"raw:{name}" for name in working.table.fields]
    same = twice.with_columns(
        alike=pl.struct(cells).n_unique().over(key) == 1,
        first=pl.col("rid").rank("ordinal").over(key) == 1,
        others=pl.format("{} row {}", "source_file", "source_row").str.join(", ").over(key),
    )
    state.error(
        table,
        same.filter(pl.col("alike") & ~pl.col("first")),
        key[-1],
        "a_row_is_kept_once",
        pl.format("repeats a row that is already there ({})", "others"),
        "delete the repeat",
    )
    state.error(
        table,
        same.filter(~pl.col("alike")),
        key[-1],
        f"{'_and_'.join(key)}_is_unique",
        pl.format('"{}" is used more than once, with different cells ({})', f"raw:{key[-1]}", "others"),
        "give one of them its own number, or delete the one that is wrong",
    )


def check_repeats(state: State, table: str) -> None:
    """In a table without a key: a block that another sheet repeats is rejected, other equal rows are a warning."""
    working = state.tables[table]
    if working.table.key:
        return
    rows = state.sound(table).sort("rid")
    fields = list(working.table.fields)
    sheet = pl.struct("source_file", "source_sheet", "part")
    placed = rows.with_columns(sheet=sheet.rank("dense"), nth=pl.col("rid").rank("ordinal").over(fields))
    marked = placed.with_columns(copied=pl.col("sheet") != pl.col("sheet").min().over(fields))
    in_block = marked.with_columns(
        block=(pl.col("copied") != pl.col("copied").shift(1).over("sheet")).fill_null(True).cum_sum().over("sheet")
    ).with_columns(size=pl.len().over("sheet", "block"), whole=pl.col("copied").all().over("sheet"))
    copied = in_block.filter(pl.col("copied") & ((pl.col("size") >= BLOCK_ROWS) | pl.col("whole")))
    state.error(
        table,
        copied,
        None,
        "a_block_of_rows_is_kept_once",
        "repeats a row of another sheet, among a block that does so",
        "delete the repeated rows from one of the two sheets",
    )
    others = in_block.filter((pl.col("nth") > 1) & ~pl.col("rid").is_in(copied["rid"].implode()))
    state.warn(
        others,
        None,
        "a_row_is_kept_once",
        "is the same as another row; both are counted",
        "delete one if it is a repeat",
    )
