"""`perfoot trace NAME`: from a printed figure, by its name in figures.json, to what it was read from in the store."""

from __future__ import annotations

import json
from collections.abc import Callable, Sequence
from difflib import get_close_matches
from pathlib import Path
from typing import Any

import polars as pl

from pipeline.documents.trace import Traced
from pipeline.documents.trace_figure import Place, figure_traced, keys_of, way_on
from pipeline.errors import UsageError
from pipeline.warehouse.tracing import file_of

Record = dict[str, Any]
Read = Callable[[str], pl.DataFrame]
TraceRecords = Callable[[Sequence[str], str | None], Traced]
"""The trace of a job, crew, item, kind of cost or price: its words, and a branch."""


def is_figure_name(words: Sequence[str]) -> bool:
    """Whether a single word is meant as the name of a figure: `owner.cost_usd_per_ft`."""
    return len(words) == 1 and "." in words[0]


def printed_figures(store: Path, season: int | None) -> list[Record]:
    """The figures of a season's reports beside the store or in ./reports; the last season's where none is named.

    Raises UsageError where there are none.
    """
    for folder in (store.resolve().parent / "reports", Path("reports")):
        found = sorted(folder.glob(f"{season or '[0-9]' * 4}/figures.json"))
        if found:
            return list(json.loads(found[-1].read_text(encoding="utf-8"))["figures"])
    which = f"season {season}" if season else "any season"
    raise UsageError(
        f"no reports of {which} lie in {store.resolve().parent / 'reports'}: close the season, or name the store that "
        "stands beside its reports with --store."
    )


def find_figure(figures: Sequence[Record], name: str) -> Record:
    """The figure of a name; raises UsageError with the near ones."""
    by_name = {figure["name"]: figure for figure in figures}
    if name in by_name:
        return by_name[name]
    near = get_close_matches(name, by_name, n=3)
    hint = f" Did you mean {' or '.join(near)}?" if near else ""
    raise UsageError(
        f'no report of this season prints a figure "{name}".{hint} season.xlsx lists them all, sheet Figures.'
    )


def rows_of(read: Read, figure: Record) -> list[Record]:
    """The rows that a figure names as its source, of the season that it names, or of all where it names none."""
    table, row = figure["source"]["table"], figure["source"].get("row", "")
    frame = read(table)
    for key, value in keys_of(row).items():
        if key == "season_label":
            frame = frame.filter(pl.col("season") == int(value[:4]))
        elif key in frame.columns:
            frame = frame.filter(_equals(frame.schema[key], key, value))
    return frame.to_dicts()


def _equals(kind: pl.DataType, key: str, value: str) -> pl.Expr:
    if kind.is_numeric():
        return (pl.col(key).cast(pl.Float64) - float(value)).abs() < 1e-9
    return pl.col(key).cast(pl.String) == value


def place_of(table: str) -> Place:
    """What is known of a table: the file that makes or describes it, and what its rows and columns are."""
    file = file_of(table)
    about, columns = file.meanings()
    return Place(table, file.where, about, columns)


def trace_figure(read: Read, figure: Record, records: TraceRecords) -> Traced:
    """A printed figure with the rows that it was read from, and the records behind them where a trace leads there.

    `read` gives a table of the store, every season's rows.
    """
    table = figure["source"]["table"]
    rows = rows_of(read, figure)
    if not rows:
        raise UsageError(
            f"{figure['name']} was read from {table}, {figure['source'].get('row', '')}, which the store no longer "
            "has: close the season again."
        )
    behind = None
    words = way_on(table, rows[0]) if len(rows) == 1 else None
    if words is not None:
        branch = rows[0].get("branch")
        behind = records(words, branch if words[0] in ("job", "crew") and branch != "all" else None)
    return figure_traced(figure, place_of(table), rows, behind)
