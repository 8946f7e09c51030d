"""From a figure back to its rows: the queries of sql/trace, each asked for one thing."""

from __future__ import annotations

from datetime import date
from functools import cache

import polars as pl

from pipeline.warehouse.files import SqlFile, files_of
from pipeline.warehouse.store import Store

LINE = (
    "part", "what", "quantity", "unit", "rate_usd", "amount_usd", "rule", "source_file", "source_sheet", "source_row",
)  # fmt: skip
"""The columns that every query gives, in order."""
_TYPES = {int: "integer", str: "varchar", date: "date"}


@cache
def file_of(table: str) -> SqlFile:
    """The file of sql/ that makes or describes a table of the store. Raises KeyError where none does."""
    return {file.name: file for file in files_of(table.partition(".")[0])}[table]


def prepare(store: Store) -> None:
    """Make what the queries use; the store itself is only read."""
    for macro in files_of("macros"):
        store.con.execute(macro.text)


def trace_lines(store: Store, name: str, **asked: int | str | date) -> pl.DataFrame:
    """The lines of `sql/trace/<name>.sql` for what is asked, in its order; at least the columns of LINE."""
    (file,) = [file for file in files_of("trace") if file.path.stem == name]
    columns = ", ".join(f"?::{_TYPES[type(value)]} as {key}" for key, value in asked.items())
    store.con.execute(f"create or replace temp table asked as select {columns}", list(asked.values()))
    return store.query(file.text)
