"""The models of sql/: put in order by what they read, built as tables, described, and checked."""

from __future__ import annotations

import re
from collections.abc import Iterable
from functools import cache

import duckdb

from pipeline.errors import ControlDifference
from pipeline.warehouse.files import SCHEMAS, ModelError, SqlFile, described, files_of, model_files
from pipeline.warehouse.store import Store

_READ = re.compile(rf"\b(?:from|join)\s+((?:{'|'.join(SCHEMAS)})\.[a-z_0-9]+)")
_COMMENT = re.compile(r"--.*")


@cache
def tables_read(text: str) -> list[str]:
    """The tables that a query reads: what follows `from` and `join` with its schema, as every model is written.

    Asking the database to bind the query would not do: a `using` join or a macro fails there before its tables exist,
    and the failure aborts the transaction. Its syntax tree tells the same, and takes a hundred times as long.
    """
    return sorted(set(_READ.findall(_COMMENT.sub("", text))))


def build_order(store: Store, wanted: Iterable[str] | None = None) -> list[SqlFile]:
    """The models, each after those that it reads: all of them, or those that the wanted tables need.

    Raises ModelError for models that read each other in a circle and for a table that nothing makes.
    """
    models = model_files()
    query = "select schema_name || '.' || table_name from duckdb_tables()"
    existing = {row[0] for row in store.con.execute(query).fetchall()}
    order: list[SqlFile] = []
    done: set[str] = set()

    def visit(name: str, path: tuple[str, ...]) -> None:
        if name in path:
            raise ModelError(f"models read each other in a circle: {' -> '.join([*path[path.index(name) :], name])}.")
        if name in done:
            return
        if name not in models:
            if name not in existing:
                reader = models[path[-1]].where if path else "the caller"
                raise ModelError(f"{reader} reads {name}, which nothing in sql/ makes.")
            return
        for read in tables_read(models[name].text):
            visit(read, (*path, name))
        done.add(name)
        order.append(models[name])

    for name in sorted(models) if wanted is None else wanted:
        visit(name, ())
    return order


def drop_other_kinds(store: Store, files: Iterable[SqlFile]) -> None:
    """Drop what another version of the program made a table of and is a view now, or the other way about."""
    query = """
        select schema_name || '.' || table_name, 'table' from duckdb_tables()
        union all select schema_name || '.' || view_name, 'view' from duckdb_views() where not internal
    """
    standing = dict(store.con.execute(query).fetchall())
    for file in files:
        other = "table" if file.is_view or file.is_passing else "view"
        if standing.get(file.name) == other:
            store.con.execute(f"drop {other} {file.name}")


def make_model(store: Store, file: SqlFile) -> None:
    """Make a model's table or view anew.

    A model for the run alone is a temporary table behind a view, so that it is never written to the file.
    """
    text = file.text
    if file.is_passing:
        store.con.execute(f'create or replace temp table "{file.name}" as\n{file.text}')
        text = f'select * from temp."{file.name}"'
    kind = "view" if file.is_view or file.is_passing else "table"
    store.con.execute(f"create or replace {kind} {file.name} as\n{text}")


def drop_passing(store: Store) -> None:
    """Take away the models that stand for the run alone. Call before the transaction ends, when nothing needs them."""
    for file in model_files().values():
        if file.is_passing:
            store.con.execute(f"drop view if exists {file.name}")
            store.con.execute(f'drop table if exists temp."{file.name}"')


def build_models(store: Store, wanted: Iterable[str] | None = None) -> list[str]:
    """Build the models, tables or views, over all seasons in the store, with comments; returns their names in order."""
    for macro in files_of("macros"):
        store.con.execute(macro.text)
    order = build_order(store, wanted)
    drop_other_kinds(store, order)
    for file in order:
        try:
            make_model(store, file)
            if not file.is_passing:
                store.con.execute(described(file))
        except duckdb.Error as error:
            raise ModelError(f"{file.where}: {error}") from error
    return [file.name for file in order]


def run_checks(store: Store, season: int) -> None:
    """Run every check of sql/checks: a query that returns offenders, each with its `why`.

    Raises ControlDifference naming the check, how many offend and the first of them.
    """
    for check in files_of("checks"):
        try:
            offenders = store.query(check.text)
        except duckdb.Error as error:
            raise ModelError(f"{check.where}: {error}") from error
        if "season" in offenders.columns:
            offenders = offenders.filter(offenders["season"] == season)
        if offenders.height:
            first = ", ".join(
                f"{name} {value}" for name, value in offenders.row(0, named=True).items() if name != "why"
            )
            rule = check.path.stem.replace("_", " ")
            raise ControlDifference(
                f"The season was not loaded: the check `{rule}` finds {offenders.height}. First: {first}: "
                f"{offenders['why'][0]}."
            )
