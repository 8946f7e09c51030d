"""The store: one DuckDB file, opened under lock, read and written as polars frames, changed in one transaction."""

from __future__ import annotations

import re
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import duckdb
import polars as pl

from pipeline.errors import StoreUnavailable

MEMORY = ":memory:"
_CONFIG: dict[str, str | bool | int | float | list[str]] = {
    "autoinstall_known_extensions": "false",
    "autoload_known_extensions": "false",
    # A million jobs are built within it: what does not fit is put beside the store's file while it is needed. By itself
    # the database would take four fifths of the machine's memory.
    "memory_limit": "2500MB",
}
_BLOCK_BYTES = 16_384
"""Of a new store. It holds many small tables: with the default of 256 KB a block, a season of 3 MB takes 30."""
_ROW_GROUP = 16_384
"""Rows that are read and written as one piece, by one processor at a time. With the default of 122,880 a table of
30,000 jobs is one piece, and a second processor has nothing to do."""
_HOLDER = re.compile(r"\(PID (\d+)\)")


class _Offered:
    """A frame as DuckDB takes it without pyarrow: nothing but the Arrow stream."""

    def __init__(self, frame: pl.DataFrame) -> None:
        self._frame = frame

    def __arrow_c_stream__(self, requested_schema: object = None) -> Any:
        return self._frame.__arrow_c_stream__(requested_schema)


@dataclass(frozen=True)
class Store:
    """An open store. Tables are named with their schema: `measures.job_cost`."""

    con: duckdb.DuckDBPyConnection

    def columns(self, name: str) -> list[str]:
        """A table's columns in order; empty where there is no such table."""
        schema, table = name.split(".")
        query = (
            "select column_name from duckdb_columns() where schema_name = ? and table_name = ? order by column_index"
        )
        return [row[0] for row in self.con.execute(query, [schema, table]).fetchall()]

    def query(self, sql: str) -> pl.DataFrame:
        """The result of a query."""
        return pl.DataFrame(self.con.sql(sql))

    def read(self, name: str, season: int | None = None) -> pl.DataFrame:
        """A table's rows, of one season or of all, in a fixed order so that seeded draws repeat."""
        columns = self.columns(name)
        if not columns:
            raise KeyError(f"the store has no table {name}")
        where = f"where season = {int(season)}" if season is not None and "season" in columns else ""
        return self.query(f"select * from {name} {where} order by all")

    def insert(self, name: str, frame: pl.DataFrame, **constants: str) -> None:
        """Add a frame's rows to a table, every column by its name; `constants` fill columns that the frame has not."""
        columns = self.columns(name)
        given = {*frame.columns, *constants}
        if given != set(columns):
            missing, unknown = sorted(set(columns) - given), sorted(given - set(columns))
            raise ValueError(f"{name}: the frame lacks {missing} and has {unknown} that the table does not")
        if frame.is_empty():
            return
        # A column of nulls alone has no type of its own, and DuckDB refuses it.
        frame = frame.with_columns(pl.col(n).cast(pl.String) for n, kind in frame.schema.items() if kind == pl.Null)
        names = [*frame.columns, *constants]
        listed = ", ".join(f'"{n}"' for n in names)
        chosen = ", ".join([*(f'"{n}"' for n in frame.columns), *("?" for _ in constants)])
        self.con.register("incoming", _Offered(frame))
        try:
            self.con.execute(f"insert into {name} ({listed}) select {chosen} from incoming", list(constants.values()))
        finally:
            self.con.unregister("incoming")

    def write(self, name: str, frame: pl.DataFrame, season: int) -> None:
        """Replace a season's rows of a documented table. Call within `transaction`."""
        if "season" not in frame.columns:
            frame = frame.with_columns(pl.lit(season, dtype=pl.Int32).alias("season"))
        self.con.execute(f"delete from {name} where season = ?", [season])
        self.insert(name, frame)


def _unavailable(path: Path, error: duckdb.Error) -> StoreUnavailable:
    text = str(error)
    if holder := _HOLDER.search(text):
        return StoreUnavailable(
            f"The store {path} is in use by another program (PID {holder[1]}). Close that program, or wait until it is "
            "done, and try again."
        )
    if "not a valid DuckDB database" in text:
        return StoreUnavailable(f"{path} is not a store. Name another file with --store, or move this one away.")
    if "does not exist" in text or "No such file" in text:
        return StoreUnavailable(f"There is no store at {path}. Close a season first, or name another with --store.")
    first = text.splitlines()[0]
    return StoreUnavailable(
        f"The store {path} cannot be opened: {first} Name another file with --store, or restore a copy."
    )


def _attach(con: duckdb.DuckDBPyConnection, path: Path | str, read_only: bool) -> None:
    """Make the store the database that `con` works on: a row group's size can be told by `attach` alone."""
    options = f"row_group_size {_ROW_GROUP}, block_size {_BLOCK_BYTES}" + (", read_only" if read_only else "")
    if str(path) != MEMORY:
        con.execute("set temp_directory = ?", [f"{path}.tmp"])
    try:
        con.execute(f"attach {_quoted(path)} as store ({options})")
    except duckdb.Error as error:
        raise _unavailable(Path(path), error) from error
    con.execute("use store")


def _quoted(path: Path | str) -> str:
    """A path as an SQL literal."""
    return "'" + str(path).replace("'", "''") + "'"


@contextmanager
def open_store(path: Path | str, read_only: bool = False) -> Iterator[Store]:
    """Open the store, making the file where there is none; `:memory:` keeps nothing.

    Raises StoreUnavailable, naming the program that holds the store or what else is wrong, and the remedy.
    """
    if str(path) != MEMORY and not read_only:
        Path(path).parent.mkdir(parents=True, exist_ok=True)
    con = duckdb.connect(MEMORY, config=_CONFIG)
    try:
        _attach(con, path, read_only)
        con.execute("set lock_configuration = true")
        yield Store(con)
    finally:
        con.close()


@contextmanager
def transaction(store: Store) -> Iterator[None]:
    """All that happens inside is kept, or, on any exception, none of it."""
    store.con.execute("begin transaction")
    try:
        yield
    except BaseException:
        # Committing an aborted transaction rolls back and says nothing, so nothing is ever committed after an error.
        store.con.execute("rollback")
        raise
    store.con.execute("commit")
