"""The tables of a folder while they are checked, and which of their rows are rejected or held."""

from __future__ import annotations

from dataclasses import dataclass, field

import polars as pl

from pipeline.settings import Settings
from pipeline.validation.findings import Findings
from pipeline.validation.typing import Working

REJECTED_ROWS = pl.when(pl.col("lost") > 0).then(pl.format(" ({} of its rows rejected)", "lost")).otherwise(pl.lit(""))
"""What a figure of a job may be off by: rows of it that were rejected. See State.rejected_by_job."""
NO_ROWS = pl.Series("rid", [], dtype=pl.UInt32)


def first_rows(sheets: pl.DataFrame) -> pl.Series:
    """The places at which the rows of another sheet begin; `sheets` names the sheet of every row."""
    return sheets.select(pl.any_horizontal(pl.all().ne_missing(pl.all().shift(1))).arg_true()).to_series()


@dataclass
class State:
    """Working tables by name and the row numbers that fell out so far."""

    tables: dict[str, Working]
    found: Findings
    settings: Settings = field(default_factory=Settings)
    season: int = 0
    rejected: dict[str, pl.Series] = field(default_factory=dict)
    held: dict[str, pl.Series] = field(default_factory=dict)
    homes: pl.DataFrame = field(default_factory=pl.DataFrame)
    """Where rows first stood that were corrected elsewhere; see corrections.homes_of."""
    _frames: dict[tuple[str, str], pl.DataFrame] = field(default_factory=dict)

    def has(self, *names: str) -> bool:
        """Whether a sheet of each table was found."""
        return all(name in self.tables for name in names)

    def reject(self, table: str, rids: pl.Series) -> None:
        """Mark rows as rejected."""
        self._mark(self.rejected, table, rids)

    def hold(self, table: str, rids: pl.Series) -> None:
        """Mark rows as held; a rejected row stays rejected."""
        self._mark(self.held, table, rids)

    def _mark(self, places: dict[str, pl.Series], table: str, rids: pl.Series) -> None:
        if len(rids):
            places[table] = pl.concat([places.get(table, NO_ROWS), rids.cast(pl.UInt32)]).unique()
            self._forget(table)

    def _forget(self, table: str) -> None:
        for kept in ("sound", "accepted"):
            self._frames.pop((table, kept), None)

    def all(self, table: str) -> pl.DataFrame:
        """Every row of a table, whatever became of it."""
        return self.tables[table].frame

    # polars 2.1 panics in `format` over columns whose chunks differ, as filters and joins leave them: frames that are
    # handed out are in one piece.
    def _without(self, table: str, kept: str, frame: pl.DataFrame, rids: pl.Series) -> pl.DataFrame:
        if (table, kept) not in self._frames:
            rest = frame.filter(~pl.col("rid").is_in(rids.implode())).rechunk() if len(rids) else frame
            self._frames[table, kept] = rest
        return self._frames[table, kept]

    def sound(self, table: str) -> pl.DataFrame:
        """Rows that were not rejected."""
        return self._without(table, "sound", self.all(table), self.rejected.get(table, NO_ROWS))

    def accepted(self, table: str) -> pl.DataFrame:
        """Rows neither rejected nor held."""
        return self._without(table, "accepted", self.sound(table), self.held.get(table, NO_ROWS))

    def is_rejected(self, table: str) -> pl.Expr:
        """Whether a row of a table was rejected so far."""
        return pl.col("rid").is_in(self.rejected.get(table, NO_ROWS).implode())

    def is_held(self, table: str) -> pl.Expr:
        """Whether a row of a table was held so far."""
        return pl.col("rid").is_in(self.held.get(table, NO_ROWS).implode())

    def rejected_by_job(self, *tables: str) -> pl.DataFrame:
        """How many rows of each job were rejected in these tables, as `lost`; jobs without any are absent."""
        rows = [
            self.all(table).filter(self.is_rejected(table)).select("branch", "job_no")
            for table in tables
            if self.has(table)
        ]
        empty = pl.DataFrame(schema={"branch": pl.String, "job_no": pl.String})
        return pl.concat([empty, *rows]).group_by("branch", "job_no").agg(lost=pl.len())

    def error(
        self, table: str, rows: pl.DataFrame, column: str | None, rule: str, text: pl.Expr | str, how: str
    ) -> None:
        """Reject rows with a reason."""
        self.found.at(rows, column, rule, "error", text, how)
        self.reject(table, rows["rid"])

    def hold_with(
        self, table: str, rows: pl.DataFrame, column: str | None, rule: str, text: pl.Expr | str, how: str
    ) -> None:
        """Hold rows with a reason."""
        self.found.at(rows, column, rule, "held", text, how)
        self.hold(table, rows["rid"])

    def warn(self, rows: pl.DataFrame, column: str | None, rule: str, text: pl.Expr | str, how: str) -> None:
        """Report rows and leave them accepted."""
        self.found.at(rows, column, rule, "warning", text, how)

    def replace(self, table: str, frame: pl.DataFrame) -> None:
        """Put a filled frame in the place of a table's working frame."""
        working = self.tables[table]
        assert frame.height == working.frame.height, f"{table}: rows were lost while filling"
        self.tables[table] = Working(working.table, frame.rechunk(), working.unread)
        self._forget(table)

    def note(self, table: str, rule: str, text: str, how: str) -> None:
        """Say something of a whole table, at the first sheet that holds it."""
        rows = self.all(table)
        if rows.height:
            self.found.of_sheet(rows["source_file"][0], rows["source_sheet"][0], rule, "note", text, how)
