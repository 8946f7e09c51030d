"""The tables of a folder while they are checked, and which of their rows are rejected or held."""

from __future__ import annotations

from dataclasses import dataclass, field
from decimal import Decimal

import polars as pl

from pipeline.settings import Settings
from pipeline.validation.findings import Findings
from pipeline.validation.typing import Working

NO_ROWS = pl.Series("rid", [], dtype=pl.UInt32)


@dataclass
class State:
    """Working tables by name and the row numbers that fell out so far."""

    tables: dict[str, Working]
    found: Findings
    settings: Settings = field(default_factory=Settings)
    season: int = 0
    rejected: dict[str, pl.Series] = field(default_factory=dict)
    held: dict[str, pl.Series] = field(default_factory=dict)

    def has(self, *names: str) -> bool:
        """Whether a sheet of each table was found."""
        return all(name in self.tables for name in names)

    def reject(self, table: str, rids: pl.Series) -> None:
        """Mark rows as rejected."""
        self.rejected[table] = pl.concat([self.rejected.get(table, NO_ROWS), rids.cast(pl.UInt32)]).unique()

    def hold(self, table: str, rids: pl.Series) -> None:
        """Mark rows as held; a rejected row stays rejected."""
        self.held[table] = pl.concat([self.held.get(table, NO_ROWS), rids.cast(pl.UInt32)]).unique()

    def all(self, table: str) -> pl.DataFrame:
        """Every row of a table, whatever became of it."""
        return self.tables[table].frame

    # polars 2.1 panics in `format` over columns whose chunks differ, as filters and joins leave them: frames that are
    # handed out are in one piece.
    def sound(self, table: str) -> pl.DataFrame:
        """Rows that were not rejected; an empty frame where the table is missing."""
        frame = self.all(table)
        return frame.filter(~pl.col("rid").is_in(self.rejected.get(table, NO_ROWS).implode())).rechunk()

    def accepted(self, table: str) -> pl.DataFrame:
        """Rows neither rejected nor held."""
        return self.sound(table).filter(~pl.col("rid").is_in(self.held.get(table, NO_ROWS).implode())).rechunk()

    def error(
        self, table: str, rows: pl.DataFrame, column: str | None, rule: str, text: pl.Expr | str, how: str
    ) -> None:
        """Reject rows with a reason."""
        self.found.at(rows, column, rule, "error", text, how)
        self.reject(table, rows["rid"])

    def warn(self, rows: pl.DataFrame, column: str | None, rule: str, text: pl.Expr | str, how: str) -> None:
        """Report rows and leave them accepted."""
        self.found.at(rows, column, rule, "warning", text, how)

    def replace(self, table: str, frame: pl.DataFrame) -> None:
        """Put a filled frame in the place of a table's working frame."""
        working = self.tables[table]
        assert frame.height == working.frame.height, f"{table}: rows were lost while filling"
        self.tables[table] = Working(working.table, frame.rechunk(), working.unread)


def number(value: Decimal | int) -> pl.Expr:
    """A literal of the records' decimal type."""
    return pl.lit(Decimal(value))
