"""Rules on goods and money that need several tables: units, scrap, line against feet, what fits what."""

from __future__ import annotations

import polars as pl

from pipeline.validation.state import State

FEET_TOLERANCE = 0.02
"""Feet of a job against the sum of its runs."""
LEAST_LINE_SHARE, MOST_LINE_SHARE = 1.0, 1.6
"""Light line used against installed feet."""
PACKS = ("pack", "spool", "case")


def check_feet(state: State) -> None:
    """A job has feet, or runs; where it has both they agree."""
    jobs = state.all("jobs")
    if not state.has("runs"):
        bare = jobs.filter(pl.col("raw:feet").is_null())
    else:
        bare = jobs.filter(pl.col("raw:feet").is_null()).join(state.all("runs"), on="job_no", how="anti")
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
    sums = state.accepted("runs").group_by("branch", "job_no").agg(run_feet=pl.col("feet").sum())
    jobs = state.accepted("jobs").join(sums, on=["branch", "job_no"])
    share = (pl.col("run_feet") / pl.col("feet")).cast(pl.Float64) - 1
    state.warn(
        jobs.filter(share.abs() > FEET_TOLERANCE),
        "feet",
        "feet_agree_with_the_runs",
        pl.format(
            '"{}" is more than 2 % off the {} ft of its runs', "raw:feet", pl.col("run_feet").cast(pl.Float64).round(1)
        ),
        "measure again, or correct the job's feet or its runs",
    )


def check_units(state: State) -> None:
    """Fill the unit from the item; a dozen is for things counted, a foot for things measured."""
    if not state.has("materials", "items"):
        return
    units = state.accepted("items").select("item_no", item_unit="unit").unique("item_no")
    frame = state.all("materials").join(units, on="item_no", how="left", maintain_order="left")
    frame = frame.with_columns(unit=pl.coalesce("unit", "item_unit"))
    impossible = frame.filter(
        ~(pl.col("unit").is_in(PACKS) | (pl.col("unit") == pl.col("item_unit")))
        & ~((pl.col("unit") == "dozen") & (pl.col("item_unit") == "each"))
    )
    state.replace("materials", frame.drop("item_unit"))
    state.error(
        "materials",
        impossible,
        "unit",
        "the_unit_suits_the_item",
        pl.format("{} cannot be counted in {}: the item is kept in {}", "item_no", "unit", "item_unit"),
        "give the quantity in the item's unit, or in packs",
    )


def in_item_units(state: State) -> pl.DataFrame:
    """Accepted movements of goods with `amount` in the item's unit, Float64: for warnings alone."""
    items = state.accepted("items").select("item_no", "kind", size="pack_size").unique("item_no")
    factor = pl.when(pl.col("unit").is_in(PACKS)).then("size").when(pl.col("unit") == "dozen").then(12.0).otherwise(1.0)
    moved = state.accepted("materials").join(items.with_columns(pl.col("size").cast(pl.Float64)), on="item_no")
    return moved.with_columns(amount=pl.col("quantity").cast(pl.Float64) * factor)


def check_scrap(state: State) -> None:
    """Scrap of a job and item never exceeds what was issued and not returned."""
    if not state.has("materials", "items"):
        return
    job = ["branch", "job_no", "item_no"]
    signed = pl.when(pl.col("moved") == "returned").then(-pl.col("amount")).otherwise("amount")
    out = signed.filter(pl.col("moved") != "scrapped").sum()
    sums = (
        in_item_units(state)
        .filter(pl.col("job_no").is_not_null())
        .group_by(job)
        .agg(net=out, scrap=pl.col("amount").filter(pl.col("moved") == "scrapped").sum())
        .filter(pl.col("scrap") > pl.col("net") + 1e-9)
    )
    rows = state.accepted("materials").filter(pl.col("moved") == "scrapped").join(sums, on=job)
    state.error(
        "materials",
        rows,
        "quantity",
        "scrap_is_part_of_what_was_not_returned",
        pl.format(
            "{} scrapped, but only {} of {} was issued and not returned",
            pl.col("scrap").round(2),
            pl.col("net").round(2),
            "item_no",
        ),
        "correct the scrap, or add what was issued",
    )


def compare_line_with_feet(state: State) -> None:
    """Light line used against installed feet; only new work can use too little: repeat work takes replacements."""
    if not state.has("materials", "items", "runs"):
        return
    signed = pl.when(pl.col("moved") == "returned").then(-pl.col("amount")).otherwise("amount")
    line = (
        in_item_units(state)
        .filter((pl.col("kind") == "light_line") & (pl.col("moved") != "scrapped"))
        .group_by("branch", "job_no")
        .agg(line=signed.sum())
    )
    feet = state.accepted("runs").group_by("branch", "job_no").agg(run_feet=pl.col("feet").sum().cast(pl.Float64))
    jobs = state.accepted("jobs").join(line, on=["branch", "job_no"]).join(feet, on=["branch", "job_no"])
    share = pl.col("line") / pl.col("run_feet")
    odd = jobs.filter((share > MOST_LINE_SHARE) | ((share < LEAST_LINE_SHARE) & (pl.col("work") == "new")))
    state.warn(
        odd,
        "job_no",
        "line_used_suits_the_feet",
        pl.format("{} ft of light line used for {} ft installed", pl.col("line").round(1), pl.col("run_feet").round(1)),
        "check what was issued and returned for this job",
    )


def check_fit(state: State) -> None:
    """Spacing, bulbs and line that belong together."""
    if not state.has("runs", "items"):
        return
    items = state.accepted("items").unique("item_no").select("item_no", "kind", "socket", "volts", "spacing_in")
    spacings = items.filter(pl.col("kind") == "light_line")["spacing_in"].drop_nulls().implode()
    runs = state.accepted("runs")
    state.warn(
        runs.filter(~pl.col("spacing_in").is_in(spacings)),
        "spacing_in",
        "a_light_line_has_this_spacing",
        pl.format('no light line in items has the spacing "{}"', "raw:spacing_in"),
        "correct the spacing, or the item",
    )
    line = items.select(line_item="item_no", line_socket="socket", line_volts="volts")
    bulb = items.select(bulb_item="item_no", bulb_socket="socket", bulb_volts="volts")
    pairs = runs.join(line, on="line_item").join(bulb, on="bulb_item")
    unfit = (pl.col("line_socket") != pl.col("bulb_socket")) | (pl.col("line_volts") != pl.col("bulb_volts"))
    state.warn(
        pairs.filter(unfit),
        "bulb_item",
        "the_bulb_fits_its_line",
        pl.format("bulb {} does not fit line {} (socket or volts)", "bulb_item", "line_item"),
        "correct one of the two items",
    )


def check_extra_pay(state: State) -> None:
    """A bonus, piece or day pay needs hours of its worker to go over."""
    if not state.has("pay", "hours"):
        return
    hours = state.sound("hours").select("worker_no", "work_date", hours_job="job_no")
    pay = state.sound("pay").filter(pl.col("kind") != "subcontract")
    met = pay.join(hours, on="worker_no").filter(
        pl.col("work_date").is_between(pl.col("from_date"), pl.col("to_date"))
        & (pl.col("job_no").is_null() | (pl.col("job_no") == pl.col("hours_job")))
    )
    bare = pay.filter(~pl.col("rid").is_in(met["rid"].unique().implode()))
    state.error(
        "pay",
        bare,
        "worker_no",
        "pay_has_hours_to_go_over",
        pl.format(
            "worker {} has no hours from {} to {}", pl.col("worker_no").fill_null("(none)"), "from_date", "to_date"
        ),
        "correct the worker or the dates, or add the hours",
    )


def compare_service(state: State) -> None:
    """Service hours without a call, and a call without hours."""
    if not state.has("hours", "service_calls"):
        return
    job = ["branch", "job_no"]
    hours = state.accepted("hours").filter((pl.col("task") == "service") & pl.col("job_no").is_not_null())
    calls = state.accepted("service_calls")
    state.warn(
        hours.join(calls, on=job, how="anti").unique(job, maintain_order=True),
        "job_no",
        "service_hours_have_a_call",
        pl.format("job {} has service hours and no service call", "job_no"),
        "add the call, or correct the task",
    )
    state.warn(
        calls.join(hours, on=job, how="anti"),
        "job_no",
        "a_call_has_service_hours",
        pl.format("job {} has a service call and no service hours", "job_no"),
        "add the hours with task service",
    )


def check_totals(state: State, totals: dict[str, list[pl.DataFrame]]) -> None:
    """A totals row against the sum of the rows read above it."""
    for name, frames in totals.items():
        working = state.tables[name]
        for rows in frames:
            _check_totals_row(state, name, working.frame, rows)


def _check_totals_row(state: State, name: str, frame: pl.DataFrame, rows: pl.DataFrame) -> None:
    home = ["source_file", "source_sheet", "part"]
    for row in rows.iter_rows(named=True):
        above = frame.join(rows.filter(pl.col("source_row") == row["source_row"]).select(home), on=home)
        for field in state.tables[name].table.fields.values():
            total = row.get(field.name)
            if total is None or field.kind not in ("money", "feet", "hours", "quantity", "miles", "whole"):
                continue
            rest = above.filter(pl.col("source_row") < row["source_row"])[field.name].sum()
            if abs(float(rest or 0) - float(total)) > 0.005:
                at = rows.filter(pl.col("source_row") == row["source_row"])
                state.warn(
                    at,
                    field.name,
                    "a_totals_row_agrees_with_its_rows",
                    f'"{row[f"raw:{field.name}"]}" differs from the sum of the rows above it, {float(rest or 0):,.2f}',
                    "correct the total, or look for a row that is missing",
                )
