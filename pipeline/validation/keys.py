"""Rows that are there twice: keys used more than once, and rows that another sheet repeats."""

from __future__ import annotations

import polars as pl

from pipeline.validation.corrections import at_home
from pipeline.validation.state import State, first_rows
from pipeline.vocabulary import Table

BLOCK_ROWS = 10
"""Rows in one block that another sheet repeats before they count as the same rows kept twice."""

PLACE = pl.concat_str(
    "source_file",
    pl.when(pl.col("source_sheet") != "").then(pl.format(", sheet '{}'", "source_sheet")).otherwise(pl.lit("")),
    pl.format(", row {}", "source_row"),
)
"""Where a row stands, as a person says it."""


def _key_text(table: Table) -> pl.Expr:
    """A row's key in words: `job no "1042"`; the branch is left out where the key has more."""
    names = [name for name in table.key if name != "branch"] or list(table.key)
    parts = []
    for name in names:
        cell = pl.coalesce(pl.col(f"raw:{name}"), pl.col(name).cast(pl.String))
        written = pl.when(cell.is_null()).then(pl.lit("blank")).otherwise(pl.format('"{}"', cell))
        parts.append(pl.concat_str(pl.lit(f"{name.replace('_', ' ')} "), written))
    return pl.concat_str(parts, separator=", ")


def _keyed(state: State, table: str) -> pl.DataFrame:
    """Rows whose whole key could be read."""
    working = state.tables[table]
    complete = [
        pl.col(name).is_not_null()
        if name in working.table.required
        else (pl.col(name).is_not_null() | pl.col(f"raw:{name}").is_null())
        for name in working.table.key
    ]
    return working.frame.filter(pl.all_horizontal(complete))


def check_keys(state: State, table: str) -> None:
    """In a table with a key two rows of one key are both rejected; of rows that are the same the first is kept."""
    described = state.tables[table].table
    key = list(described.key)
    if not key:
        return
    twice = _keyed(state, table).filter(pl.struct(key).is_duplicated()).sort("rid").rechunk()
    if twice.is_empty():
        return
    # A cell that could not be read is compared as it was written.
    values = [pl.coalesce(pl.col(name).cast(pl.String), pl.col(f"raw:{name}")) for name in described.fields]
    marked = twice.with_columns(
        alike=pl.struct(values).n_unique().over(key) == 1,
        first=pl.col("rid") == pl.col("rid").min().over(key),
        times=pl.len().over(key),
        first_place=PLACE.first().over(key),
        second_place=PLACE.get(1).over(key),
    ).rechunk()
    other = pl.when("first").then("second_place").otherwise("first_place")
    more = pl.when(pl.col("times") > 2).then(pl.format(" and {} more", pl.col("times") - 2)).otherwise(pl.lit(""))
    column = key[-1]
    state.error(
        table,
        marked.filter(pl.col("alike") & ~pl.col("first")).rechunk(),
        column,
        "a_row_is_kept_once",
        pl.format("{} is a repeat of {}, the same in every cell", _key_text(described), "first_place"),
        "delete the repeat",
    )
    state.error(
        table,
        marked.filter(~pl.col("alike")).rechunk(),
        column,
        f"{'_and_'.join(key)}_is_unique",
        pl.format("{} is also used in {}{}, with other cells", _key_text(described), other, more),
        "give one of them its own number, or delete the one that is wrong",
    )


def check_repeats(state: State, table: str) -> None:
    """In a table without a key: a block that another sheet repeats is rejected, other equal rows are a warning."""
    if state.tables[table].table.key:
        return
    equal = _equal_rows(state, table)
    if equal.is_empty():
        return
    state.error(
        table,
        equal.filter("in_block").rechunk(),
        None,
        "a_block_of_rows_is_kept_once",
        pl.format("repeats {}, among a block of rows that does so", "home_place"),
        "delete the repeated rows from one of the two sheets",
    )
    state.warn(
        equal.filter(~pl.col("in_block") & (pl.col("rid") != pl.col("first_rid"))).rechunk(),
        None,
        "a_row_is_kept_once",
        pl.format("is the same as {}; both are counted", "first_place"),
        "delete one if it is a repeat",
    )


def _is_repeated(hashes: pl.Series) -> pl.Series:
    """Whether a hash occurs more than once; sorting them costs a third of grouping by them."""
    ordered = hashes.sort()
    return hashes.is_in(ordered.filter(ordered == ordered.shift(1)).unique().implode())


def _placed(equal: pl.DataFrame, sheets: pl.DataFrame) -> pl.DataFrame:
    """Rows with their sheet's number as `home`, their place in it as `nth_row` and its rows.

    `sheets` names the sheet of every row; the rows of one stand together. `at` is a row's place among them.
    """
    begins = first_rows(sheets)
    sizes = pl.concat([begins, pl.Series([sheets.height], dtype=begins.dtype)]).diff().drop_nulls()
    home = begins.search_sorted(equal["at"], side="right") - 1
    return equal.with_columns(
        home=home, nth_row=equal["at"].cast(pl.Int64) - begins.gather(home), sheet_rows=sizes.gather(home)
    )


def _equal_rows(state: State, table: str) -> pl.DataFrame:
    """Rows that equal another one, and whether a block of them repeats another sheet.

    The second of two equal rows in one sheet repeats the second in another: 4 h in two rows of 2 h are two rows.
    """
    fields = list(state.tables[table].table.fields)
    sheet = ["home_file", "home_sheet", "home_part"]
    rows = at_home(state.sound(table), state.homes).sort("rid")
    if state.homes.height:
        # A corrected row is one of its first sheet still, in the place where it stood.
        rows = rows.sort(pl.col("rid").min().over(sheet), "home_row")
    rows = rows.with_row_index("at")
    # The hash finds the few rows to look at; equality is told from the cells themselves.
    likely = rows.filter(_is_repeated(rows.select(fields).hash_rows()))
    equal = likely.filter(pl.struct(fields).is_duplicated()) if likely.height else likely
    if equal.is_empty():
        return equal
    equal = _placed(equal, rows.select(sheet))
    equal = equal.with_columns(nth=pl.int_range(pl.len()).over([*fields, "home"]))
    equal = equal.with_columns(
        copied=pl.col("home") != pl.col("home").min().over([*fields, "nth"]),
        home_place=PLACE.first().over([*fields, "nth"]),
        first_rid=pl.col("rid").min().over(fields),
        first_place=PLACE.first().over(fields),
    )
    copies = equal.filter("copied").select("rid", "home", "nth_row", "sheet_rows")
    begins = (pl.col("nth_row") != pl.col("nth_row").shift(1) + 1) | (pl.col("home") != pl.col("home").shift(1))
    blocks = copies.with_columns(block=begins.fill_null(value=True).cum_sum()).with_columns(
        size=pl.len().over("block"), whole=pl.len().over("home") == pl.col("sheet_rows")
    )
    in_block = blocks.filter((pl.col("size") >= BLOCK_ROWS) | pl.col("whole"))["rid"].implode()
    return equal.with_columns(in_block=pl.col("rid").is_in(in_block))
