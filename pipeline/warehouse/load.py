"""Replacing a season: the branches that are closed lose their old rows and get the new ones, all or none."""

from __future__ import annotations

import hashlib
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import timedelta
from typing import Protocol

import polars as pl

from pipeline.errors import StoreUnavailable, UsageError
from pipeline.settings import mile_rates, social_security_bases
from pipeline.vocabulary import tables
from pipeline.warehouse.files import SCHEMAS, SqlFile, described, table_files
from pipeline.warehouse.store import Store
from pipeline.warehouse.wage_bases import require_wage_bases

_BETWEEN = " + "
LONGEST_SET = 60
"""Letters of a set of branches: it stands in every row and is compared at every step, so a long one is cut short."""
_DIVIDED = ("audit.record_tables", "audit.files", "audit.intake", "audit.findings", "audit.corrections")
"""Tables of the audit that are replaced by season and branches, as the records are."""


class FileLike(Protocol):
    """A file that was read."""

    @property
    def path(self) -> str: ...
    @property
    def sha256(self) -> str: ...
    @property
    def rows(self) -> int: ...
    @property
    def problem(self) -> str | None: ...


@dataclass(frozen=True)
class Run:
    """A run of the pipeline: its id stands for what was read, by which version."""

    run_id: str
    started: str
    version: str
    folder: str


def _columns_made(file: SqlFile) -> list[str]:
    """The columns that a file's first table has, by the house's layout: four spaces, a name, a type."""
    columns: list[str] = []
    for line in file.text.splitlines():
        if line.startswith(");"):
            break
        if line.startswith("    ") and not line.startswith(("     ", "    check", "    unique", "    )")):
            columns.append(line.split()[0])
    return columns


def make_tables(store: Store) -> None:
    """Create the schemas and the tables that the store lacks.

    Raises StoreUnavailable where the store was made by a version that had other columns.
    """
    for schema in SCHEMAS:
        store.con.execute(f"create schema if not exists {schema}")
    for file in table_files():
        existing = store.columns(file.name)
        if not existing:
            store.con.execute(file.text)
            store.con.execute(described(file))
        elif existing != _columns_made(file):
            raise StoreUnavailable(
                f"The store was made by another version of perfoot: {file.name} has other columns. Close the seasons "
                "again into a new store, named with --store."
            )


def set_of(branches: Sequence[str]) -> str:
    """The branches that were closed together as one text: their names, or the first, how many more, and a digest."""
    names = sorted(branches)
    whole = _BETWEEN.join(names)
    if len(whole) <= LONGEST_SET:
        return whole
    return f"{names[0]}{_BETWEEN}{len(names) - 1} more, {hashlib.sha256(whole.encode()).hexdigest()[:12]}"


def _sets_to_replace(store: Store, season: int, branches: Sequence[str]) -> list[str]:
    rows = store.con.execute(
        "select branch_set, list(distinct branch) from records.jobs where season = ? group by branch_set", [season]
    ).fetchall()
    closed, replaced = set(branches), []
    for stored, names in sorted(rows):
        held = set(names)
        if held & closed:
            if not held <= closed:
                together = _BETWEEN.join(sorted(held))
                raise UsageError(
                    f"Season {season} was closed with the branches {together} together; close them together again "
                    f"(this folder has {_BETWEEN.join(sorted(closed))})."
                )
            replaced.append(stored)
    return replaced


def _delete(store: Store, names: Iterable[str], season: int, sets: list[str]) -> None:
    for name in names:
        store.con.execute(f"delete from {name} where season = ? and list_contains(?, branch_set)", [season, sets])


def _counts(records: dict[str, pl.DataFrame], refused: dict[str, pl.DataFrame], season: int) -> pl.DataFrame:
    """One row a table of which a sheet was found: a missing sheet is not an empty one."""
    rows = [
        (season, name, records[name].height if name in records else 0, refused[name].height if name in refused else 0)
        for name in tables()
        if name in records or name in refused
    ]
    return pl.DataFrame(rows, schema=["season", "record_table", "accepted", "refused"], orient="row")


def _file_rows(files: Sequence[FileLike], season: int) -> pl.DataFrame:
    rows = [(season, f.path, f.sha256, f.rows, f.problem) for f in files]
    kinds = {"season": pl.Int32, "path": pl.String, "sha256": pl.String, "rows": pl.Int64, "problem": pl.String}
    return pl.DataFrame(rows, schema=kinds, orient="row")


def _load_reference(store: Store, season: int, settings: list[dict[str, str | None]]) -> None:
    kinds = {"setting": pl.String, "value": pl.String, "origin": pl.String}
    store.write("reference.settings", pl.DataFrame(settings, schema=kinds), season)
    rates = mile_rates()
    ends = [*(rate.from_date - timedelta(days=1) for rate in rates[1:]), None]
    rows = [(r.from_date, end, str(r.usd_per_mile), r.source) for r, end in zip(rates, ends, strict=True)]
    frame = pl.DataFrame(
        rows,
        schema={"from_date": pl.Date, "to_date": pl.Date, "usd_per_mile": pl.String, "source": pl.String},
        orient="row",
    )
    store.con.execute("delete from reference.mile_rates")
    store.insert("reference.mile_rates", frame)
    bases = [(base.year, str(base.usd), base.source) for base in social_security_bases()]
    store.con.execute("delete from reference.social_security_bases")
    store.insert("reference.social_security_bases", pl.DataFrame(bases, schema=["year", "usd", "source"], orient="row"))


def load_season(
    store: Store,
    *,
    season: int,
    branches: Sequence[str],
    records: dict[str, pl.DataFrame],
    refused: dict[str, pl.DataFrame],
    findings: pl.DataFrame,
    intake: pl.DataFrame,
    corrections: pl.DataFrame,
    files: Sequence[FileLike],
    settings: list[dict[str, str | None]],
    run: Run,
) -> None:
    """Replace a season of these branches by what was read. Call within `transaction`.

    A key in `records` means that a sheet of that table was found; a frame without rows, that it was empty.
    Raises UsageError where these branches were closed together with others that are not in the folder, or where hours
    fall in a year of which the base of a tax is not known.
    """
    if not branches:
        raise UsageError("No job was accepted, so there is no season to close; the intake report says why.")
    require_wage_bases(records, refused, settings)
    make_tables(store)
    branch_set = set_of(branches)
    old = [*_sets_to_replace(store, season, branches), branch_set]
    _delete(store, [f"{schema}.{name}" for schema in ("records", "refused") for name in tables()], season, old)
    _delete(store, _DIVIDED, season, old)
    for schema, frames in (("records", records), ("refused", refused)):
        for name, frame in frames.items():
            store.insert(f"{schema}.{name}", frame, branch_set=branch_set)
    of_run = {"run_id": run.run_id, "branch_set": branch_set}
    counts = _counts(records, refused, season)
    season_column = pl.lit(season, dtype=pl.Int32).alias("season")
    store.insert("audit.record_tables", counts, **of_run)
    store.insert("audit.files", _file_rows(files, season), **of_run)
    store.insert("audit.intake", intake.with_columns(season_column), **of_run)
    store.insert("audit.findings", findings.with_columns(season_column), **of_run)
    store.insert("audit.corrections", corrections.with_columns(season_column), **of_run)
    _load_reference(store, season, settings)


def record_outcome(store: Store, run: Run, *, season: int, files: Sequence[FileLike], outcome: str) -> None:
    """Write down the run, its files and its counts. A run that read the same again takes the place of the first."""
    listed = [{"path": f.path, "sha256": f.sha256, "rows": f.rows} for f in files]
    counts = """
        select
            (select any_value(branch_set) from audit.record_tables where run_id = $run) as branch_set,
            sum(rows_read)::bigint as rows_read,
            sum(accepted)::bigint as accepted,
            sum(rejected)::bigint as rejected,
            sum(held)::bigint as held,
            sum(set_aside)::bigint as set_aside
        from audit.intake
        where run_id = $run
    """
    store.con.execute("delete from audit.runs where run_id = ?", [run.run_id])
    row = store.con.execute(counts, {"run": run.run_id}).fetchone()
    assert row is not None
    names = ("branch_set", "rows_read", "accepted", "rejected", "held", "set_aside")
    made = {
        "run_id": run.run_id, "started": run.started, "version": run.version, "folder": run.folder, "season": season,
        "outcome": outcome, "files": listed, **dict(zip(names, row, strict=True)),
    }  # fmt: skip
    store.insert("audit.runs", pl.DataFrame([made]))
