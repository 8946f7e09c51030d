"""One pandera schema a table, made from the one description, and what its failures mean in words."""

from __future__ import annotations

from functools import cache

import pandera.polars as pa
import polars as pl
from pandera.errors import SchemaErrors

from pipeline.dictionary import HOW_TO_WRITE
from pipeline.validation.findings import Findings, quoted
from pipeline.validation.typing import ERROR_CELL, NO_RESULT, Working, polars_type
from pipeline.vocabulary import Field, tables
from pipeline.workbook.examples import MARK

WHAT_IT_IS_NOT = {
    "money": "is not an amount",
    "feet": "is not a length",
    "inches": "is not a length in inches",
    "slope": "is not a slope",
    "miles": "is not a distance",
    "hours": "is not a duration",
    "quantity": "is not a quantity",
    "number": "is not a number",
    "share": "is not a share",
    "whole": "is not a whole number",
    "season": "is not a year",
    "date": "is not a date that can be read for certain",
    "yesno": "is neither yes nor no",
    "choice": "is not one of the words for this column",
    **dict.fromkeys(("code", "name", "text"), "does not name anything"),
}
"""What is wrong with a cell that could not be read, by kind."""
DAY_CELL = r"^\d{4}-\d{2}-\d{2}$"
"""A day where no day belongs: the spreadsheet took what was typed, such as 6/12 or 1/2, for one."""


def expectation(field: Field) -> tuple[str, str]:
    """What is wrong with a cell that could not be read as this field, and the remedy."""
    if field.kind == "choice":
        return WHAT_IT_IS_NOT[field.kind], "write one of: " + ", ".join(field.allowed)
    return WHAT_IT_IS_NOT[field.kind], HOW_TO_WRITE[field.kind]


def _reasons(field: Field) -> list[tuple[pl.Expr, str, str]]:
    """Which unread cells, what is wrong with them, and the remedy: the particular reasons before the general one."""
    text, (what, how) = pl.col(f"raw:{field.name}"), expectation(field)
    is_error, has_no_result = text.str.contains(ERROR_CELL), text.str.contains(NO_RESULT)
    is_day = text.str.contains(DAY_CELL) & pl.lit(field.kind != "date")
    return [
        (is_error, "is an error of the spreadsheet", "correct the formula, or write the value itself"),
        (has_no_result, "stands here: it was never calculated", "open the file, let it calculate, and save it again"),
        (
            ~is_error & is_day,
            f"is a day, which the spreadsheet has made of what was typed, and {what}",
            f"format the column as text and {how}",
        ),
        (~is_error & ~has_no_result & ~is_day, what, how),
    ]


def _checks(field: Field) -> list[pa.Check]:
    checks = []
    if field.above is not None:
        checks.append(pa.Check.gt(field.above, error=f"above {field.above}"))
    if field.min is not None:
        checks.append(pa.Check.ge(field.min, error=f"at least {field.min}"))
    if field.max is not None:
        checks.append(pa.Check.le(field.max, error=f"at most {field.max}"))
    return checks


@cache
def schema_of(table: str) -> pa.DataFrameSchema:
    """The schema of a table's typed columns: types and ranges. Required cells are checked beside it."""
    fields = tables()[table].fields.values()
    return pa.DataFrameSchema({f.name: pa.Column(polars_type(f), _checks(f), nullable=True) for f in fields})


def range_failures(working: Working) -> pl.DataFrame:
    """rid, field and bound of every typed value outside its range."""
    table, frame = working.table, working.frame
    try:
        schema_of(table.name).validate(frame.select(list(table.fields)), lazy=True)
    except SchemaErrors as errors:
        cases = errors.failure_cases
        if cases.filter(pl.col("index").is_null()).height:
            raise TypeError(f"{table.name}: {cases.filter(pl.col('index').is_null()).to_dicts()}") from None
        return cases.select(
            rid=pl.col("index").cast(pl.UInt32), field=pl.col("column").cast(pl.String), bound=pl.col("check")
        )
    return pl.DataFrame(schema={"rid": pl.UInt32, "field": pl.String, "bound": pl.String})


def _missing(working: Working) -> pl.DataFrame:
    frame, table = working.frame, working.table
    counts = frame.select(pl.col(f"raw:{name}").null_count() for name in table.required)
    blank = [name for name in table.required if counts[f"raw:{name}"][0]]
    parts = [frame.filter(pl.col(f"raw:{name}").is_null()).select("rid", field=pl.lit(name)) for name in blank]
    return pl.concat([pl.DataFrame(schema={"rid": pl.UInt32, "field": pl.String}), *parts])


def _marked(working: Working, found: Findings) -> pl.Series:
    """Rows with the mark of the blank workbook's example and other cells than it has: which of the two is not known."""
    name = next(iter(working.table.fields))
    rows = working.frame.filter(pl.col(f"raw:{name}").str.contains(f"(?i)^{MARK}"))
    text = pl.concat_str(quoted(name), pl.lit(" marks an example, but the row is not the blank workbook's"))
    how = f"write the row's own {working.table.fields[name].heading} in its place, or delete the row"
    found.at(rows, name, "an_example_is_as_it_was", "error", text, how)
    return rows["rid"]


def cell_findings(working: Working, found: Findings) -> pl.Series:
    """Report cells that cannot be read, are missing or out of range; returns the rids of their rows."""
    missing, ranges = _missing(working), range_failures(working)
    for (name,), cases in working.unread.group_by("field", maintain_order=True):
        rows = _rows(working, cases)
        for these, what, how in _reasons(working.table.fields[name]):
            text = pl.concat_str(quoted(name), pl.lit(f" {what}"))
            found.at(rows.filter(these), name, f"{name}_can_be_read", "error", text, how)
    for (name,), cases in missing.group_by("field", maintain_order=True):
        field = working.table.fields[name]
        how = f"give {field.text}, such as {field.example}"
        found.at(_rows(working, cases), name, f"{name}_is_given", "error", "is blank and is needed", how)
    for (name, bound), cases in ranges.group_by("field", "bound", maintain_order=True):
        field = working.table.fields[name]
        unit = f" {field.unit}" if field.unit else ""
        text = pl.concat_str(quoted(name), pl.lit(f" is out of range: it must be {bound}{unit}"))
        how = f"check {field.text} and write it again"
        found.at(_rows(working, cases), name, f"{name}_is_in_range", "error", text, how)
    marked = _marked(working, found)
    return pl.concat([working.unread["rid"], missing["rid"], ranges["rid"], marked]).unique()


def _rows(working: Working, cases: pl.DataFrame) -> pl.DataFrame:
    return working.frame.filter(pl.col("rid").is_in(cases["rid"].implode()))
