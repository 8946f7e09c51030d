"""The season's measures and decisions as tables for a workbook: every column with its unit and its meaning."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from pipeline.warehouse.files import SqlFile, model_files, table_files

if TYPE_CHECKING:
    import polars as pl

SCHEMAS = ("decisions", "measures")
"""What to do first, then what happened."""
MOST_ROWS = 20_000
"""Rows of a table that are listed: a workbook of more is slow to open, and the store holds them all."""

_UNITS: tuple[tuple[str, str, str], ...] = (
    # what a name ends with, its unit, its kind
    (r"_usd_per_([a-z0-9_]+)", "usd/{}", "usd"),
    (r"_usd", "usd", "usd"),
    (r"_per_100_ft", "per 100 ft", "ratio"),
    (r"_?(?:share|chance)", "share", "share"),
    (r"_hours_per_ft", "h/ft", "ratio"),
    (r"_per_(ft|unit)", "per {}", "any"),
    (r"_ft", "ft", "feet"),
    (r"_in", "in", "feet"),
    (r"_amps", "A", "feet"),
    (r"_volts", "V", "ratio"),
    (r"_(?:price|cost)", "usd", "usd"),
)
_WHOLE_NAMES = {
    "feet": ("ft", "feet"), "hours": ("h", "hours"), "amps": ("A", "feet"), "watts": ("W", "feet"),
    "chance": ("share", "share"), "season": ("", "plain"),
}  # fmt: skip
_LAST_WORDS = {"hours": ("h", "hours"), "feet": ("ft", "feet"), "days": ("days", "feet"), "nights": ("nights", "count"),
               "watts": ("W", "feet"), "miles": ("miles", "feet"), "minutes": ("min", "feet")}  # fmt: skip


@dataclass(frozen=True)
class SheetColumn:
    """A column: its name in the store, its heading, its unit, how its values are shown, and what it means.

    `kind` is one of usd, share, feet, hours, ratio, any, count, plain, date, yesno, text.
    """

    key: str
    heading: str
    unit: str
    kind: str
    meaning: str

    @property
    def titled(self) -> str:
        """The heading with its unit: `Total (usd)`."""
        if not self.unit or self.heading.casefold().endswith(self.unit.casefold()):
            return self.heading
        return f"{self.heading} ({self.unit})"


@dataclass(frozen=True)
class SeasonSheet:
    """A table: its name in the store, what one row of it is, its columns, its rows, and how many more there are."""

    name: str
    grain: str
    columns: tuple[SheetColumn, ...]
    rows: tuple[tuple[Any, ...], ...]
    left_out: int = 0


def _in_words(name: str) -> str:
    return name.replace("_", " ").strip().capitalize()


def _unit_and_kind(name: str) -> tuple[str, str, str] | None:
    """Heading, unit and kind by a column's name; None where the name says none."""
    if name.startswith("usd_per_"):
        return "Rate", f"usd/{name.removeprefix('usd_per_')}", "usd"
    if name in _WHOLE_NAMES:
        return _in_words(name), *_WHOLE_NAMES[name]
    for pattern, unit, kind in _UNITS:
        found = re.search(f"{pattern}$", name)
        if found:
            said = unit.format(found[1].replace("_", " ")) if "{}" in unit else unit
            return _in_words(name[: found.start()]) or _in_words(name), said, kind
    last = name.rpartition("_")[2]
    return (_in_words(name), *_LAST_WORDS[last]) if last in _LAST_WORDS else None


def column_of(name: str, dtype: pl.DataType, meaning: str) -> SheetColumn:
    """A column by its name, its type in the store and its comment there."""
    import polars as pl

    if dtype == pl.Boolean or dtype == pl.Date or dtype == pl.String:
        kind = {pl.Boolean: "yesno", pl.Date: "date", pl.String: "text"}[type(dtype)]
        return SheetColumn(name, _in_words(name), "", kind, meaning)
    found = _unit_and_kind(name)
    if found is None:
        return SheetColumn(name, _in_words(name), "", "count" if dtype.is_integer() else "any", meaning)
    heading, unit, kind = found
    return SheetColumn(name, heading, unit, "count" if dtype.is_integer() and kind != "plain" else kind, meaning)


def result_files() -> dict[str, SqlFile]:
    """The files that describe measures and decisions, by the name of their table; decisions first."""
    files = {file.name: file for file in (*model_files().values(), *table_files())}
    return {name: files[name] for schema in SCHEMAS for name in sorted(files) if name.startswith(f"{schema}.")}


def season_sheet(file: SqlFile, frame: pl.DataFrame) -> SeasonSheet:
    """A table of the store as a sheet, its columns described by the comments of the file that makes it."""
    meanings = file.meanings()[1]
    columns = tuple(column_of(name, dtype, meanings.get(name, "")) for name, dtype in frame.schema.items())
    grain = file.text.splitlines()[0].partition(": ")[2].strip()
    rows = tuple(frame.head(MOST_ROWS).rows())
    return SeasonSheet(file.name.partition(".")[2], grain, columns, rows, max(0, frame.height - MOST_ROWS))


def season_sheets(frames: Mapping[str, pl.DataFrame]) -> tuple[SeasonSheet, ...]:
    """Every measure and decision that is at hand, in the order in which they are listed; one without rows too."""
    return tuple(season_sheet(file, frames[name]) for name, file in result_files().items() if name in frames)
