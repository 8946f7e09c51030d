"""Rules on goods that need several tables: units, scrap, light line against feet, what fits what."""

from __future__ import annotations

import polars as pl

from pipeline.validation.findings import quoted
from pipeline.validation.state import REJECTED_ROWS, State
from pipeline.validation.typing import UNIT_WORDS

LEAST_LINE_SHARE, MOST_LINE_SHARE = 1.0, 1.6
"""Light line used against installed feet."""
PACKS = ("pack", "spool", "case")
DOZEN = 12
SLACK = 1e-9
"""What floating-point sums may be off by."""

_UNIT_BEHIND = r"(?i)\d\s*([a-z]+|')\.?$"
_IN_ITEM_UNITS = (("items", "pack_size"), ("offers", "pack_size"), ("purchases", "pack_size"), ("stock", "on_hand"))
_JOB = ["branch", "job_no"]


def _written_unit(column: str) -> pl.Expr:
    """The unit that stands behind a number in its cell; null where there is none."""
    word = pl.col(f"raw:{column}").str.extract(_UNIT_BEHIND).str.to_lowercase()
    return word.replace_strict(UNIT_WORDS, default=None, return_dtype=pl.String)


def check_units(state: State) -> None:
    """Every quantity is in a unit that its item can be counted in; a blank unit is the item's."""
    if state.has("materials"):
        _fill_written_units(state)
    if not state.has("items"):
        return
    units = state.accepted("items").select("item_no", item_unit="unit")
    for name, column in _IN_ITEM_UNITS:
        if state.has(name):
            rows = state.all(name).join(units, on="item_no").with_columns(written=_written_unit(column))
            state.error(
                name,
                rows.filter(pl.col("written") != pl.col("item_unit")).rechunk(),
                column,
                f"{column}_is_in_the_unit_of_its_item",
                pl.format("{} is in {}, but item {} is kept in {}", quoted(column), "written", "item_no", "item_unit"),
                "give the quantity in the item's unit",
            )
    if state.has("materials"):
        _check_moved_units(state, units)


def _fill_written_units(state: State) -> None:
    """A unit behind the quantity stands for a blank unit; beside another unit it is a contradiction."""
    frame = state.all("materials").with_columns(written=_written_unit("quantity"))
    state.error(
        "materials",
        frame.filter(pl.col("written") != pl.col("unit")),
        "unit",
        "the_unit_is_the_one_behind_the_quantity",
        pl.format("{} contradicts the quantity {}", quoted("unit"), quoted("quantity")),
        "write one unit",
    )
    unread = pl.col("raw:unit").is_not_null() & pl.col("unit").is_null()
    filled = pl.when(unread).then(None).otherwise(pl.coalesce("unit", "written"))
    state.replace("materials", frame.with_columns(unit=filled).drop("written"))


def _check_moved_units(state: State, units: pl.DataFrame) -> None:
    """A dozen is for things counted; feet are for what is kept in feet; a pack is for anything."""
    frame = state.all("materials").join(units, on="item_no", how="left", maintain_order="left")
    frame = frame.with_columns(
        unit=pl.when(pl.col("raw:unit").is_null()).then(pl.coalesce("unit", "item_unit")).otherwise("unit")
    )
    impossible = frame.filter(
        ~(pl.col("unit").is_in(PACKS) | (pl.col("unit") == pl.col("item_unit")))
        & ~((pl.col("unit") == "dozen") & (pl.col("item_unit") == "each"))
    )
    state.replace("materials", frame.drop("item_unit"))
    state.error(
        "materials",
        impossible.rechunk(),
        "unit",
        "the_unit_suits_the_item",
        pl.format("{} cannot be counted in {}: the item is kept in {}", "item_no", "unit", "item_unit"),
        "give the quantity in the item's unit, or in packs",
    )


def in_item_units(state: State) -> pl.DataFrame:
    """Accepted movements of goods with `amount` in the item's unit, Float64: for rules, never for figures."""
    items = state.accepted("items").select("item_no", "kind", size=pl.col("pack_size").cast(pl.Float64))
    factor = pl.when(pl.col("unit").is_in(PACKS)).then("size").when(pl.col("unit") == "dozen").then(DOZEN).otherwise(1)
    moved = state.accepted("materials").join(items, on="item_no")
    return moved.with_columns(amount=pl.col("quantity").cast(pl.Float64) * factor)


_SIGNED = pl.when(pl.col("moved") == "returned").then(-pl.col("amount")).otherwise("amount")


def check_scrap(state: State) -> None:
    """Scrap of a job and item never exceeds what was issued and not returned.

    Where a row of that job and item was rejected it is not known what was issued, and nothing is concluded.
    """
    if not state.has("materials", "items"):
        return
    item = [*_JOB, "item_no"]
    torn = state.all("materials").filter(state.is_rejected("materials")).select(item).unique()
    sums = (
        in_item_units(state)
        .filter(pl.col("job_no").is_not_null())
        .group_by(item)
        .agg(
            net=_SIGNED.filter(pl.col("moved") != "scrapped").sum(),
            scrap=pl.col("amount").filter(pl.col("moved") == "scrapped").sum(),
        )
        .filter(pl.col("scrap") > pl.col("net") + SLACK)
        .join(torn, on=item, how="anti")
    )
    rows = state.accepted("materials").filter(pl.col("moved") == "scrapped").join(sums, on=item)
    state.error(
        "materials",
        rows.rechunk(),
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
    if not state.has("materials", "items"):
        return
    line = (
        in_item_units(state)
        .filter((pl.col("kind") == "light_line") & (pl.col("moved") != "scrapped"))
        .group_by(_JOB)
        .agg(line=_SIGNED.sum())
    )
    jobs = state.accepted("jobs").join(line, on=_JOB).with_columns(installed=pl.col("feet").cast(pl.Float64))
    if state.has("runs"):
        sums = state.accepted("runs").group_by(_JOB).agg(run_feet=pl.col("feet").sum().cast(pl.Float64))
        jobs = jobs.join(sums, on=_JOB, how="left").with_columns(installed=pl.coalesce("run_feet", "installed"))
    jobs = jobs.join(state.rejected_by_job("runs", "materials"), on=_JOB, how="left")
    share = (pl.col("line") / pl.col("installed")).round(9)
    odd = jobs.filter((share > MOST_LINE_SHARE) | ((share < LEAST_LINE_SHARE) & (pl.col("work") == "new")))
    state.warn(
        odd.rechunk(),
        "job_no",
        "line_used_suits_the_feet",
        pl.format(
            "{} ft of light line used for {} ft installed{}",
            pl.col("line").round(1),
            pl.col("installed").round(1),
            REJECTED_ROWS,
        ),
        "check what was issued and returned for this job",
    )


def check_fit(state: State) -> None:
    """Spacing, bulbs, plugs and taps that belong to their light line."""
    if not state.has("runs", "items"):
        return
    items = state.accepted("items").select("item_no", "kind", "socket", "wire", "volts", "spacing_in")
    runs = state.accepted("runs")
    spacings = items.filter(pl.col("kind") == "light_line")["spacing_in"].drop_nulls()
    if len(spacings):
        state.warn(
            runs.filter(~pl.col("spacing_in").is_in(spacings.implode())),
            "spacing_in",
            "a_light_line_has_this_spacing",
            pl.format("no light line in items has the spacing {}", quoted("spacing_in")),
            "correct the spacing, or the item",
        )
    _check_bulbs(state, runs, items)
    _check_made_with(state, runs, items)


def _check_bulbs(state: State, runs: pl.DataFrame, items: pl.DataFrame) -> None:
    line = items.select(line_item="item_no", line_socket="socket", line_volts="volts")
    bulb = items.select(bulb_item="item_no", bulb_socket="socket", bulb_volts="volts")
    unfit = (pl.col("line_socket") != pl.col("bulb_socket")) | (pl.col("line_volts") != pl.col("bulb_volts"))
    named = [runs]
    if state.has("run_bulbs"):
        lines = runs.select(*_JOB, "run_no", "line_item")
        named.append(state.accepted("run_bulbs").join(lines, on=[*_JOB, "run_no"]))
    for rows in named:
        state.warn(
            rows.join(line, on="line_item").join(bulb, on="bulb_item").filter(unfit).rechunk(),
            "bulb_item",
            "the_bulb_fits_its_line",
            pl.format("bulb {} does not fit line {} (socket or volts)", "bulb_item", "line_item"),
            "correct one of the two items",
        )


def _check_made_with(state: State, runs: pl.DataFrame, items: pl.DataFrame) -> None:
    """A plug or tap is for one kind of wire: one of its job's lines must have it."""
    if not state.has("connections"):
        return
    wires = runs.join(items.select(line_item="item_no", line_wire="wire"), on="line_item")
    # A job with a line of unknown wire could take any plug.
    lines = (
        wires.group_by(_JOB)
        .agg(wires="line_wire")
        .filter(pl.col("wires").list.eval(pl.element().is_null()).list.any().not_())
    )
    parts = items.filter(pl.col("kind").is_in(["plug", "inline_tap"]) & pl.col("wire").is_not_null())
    made = state.accepted("connections").join(parts.select("item_no", "wire"), on="item_no").join(lines, on=_JOB)
    state.warn(
        made.filter(~pl.col("wires").list.contains(pl.col("wire"))).rechunk(),
        "item_no",
        "the_plug_or_tap_fits_a_line_of_its_job",
        pl.format("{} is for {} wire, which no line of job {} has", quoted("item_no"), "wire", "job_no"),
        "correct the item",
    )
