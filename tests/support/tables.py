"""Seasons written as small text tables, for specifications: tables in, a question, the expected table out.

    season = Season(
        jobs=\"\"\"
            | job_no | crew  | feet |
            | 1      | Maple | 120  |
        \"\"\",
        hours=\"\"\"
            | job_no | worker_no | task    | hours |
            | 1      | W1        | install | 6     |
        \"\"\",
    )
    assert_table(season.measure("measures.crew_hours"), \"\"\"
            | crew  | feet | hours_per_100_ft |
            | Maple | 120  | 5                |
    \"\"\")

A table that is not given is a sheet that was not handed in; a table with headings alone is an empty sheet.
A blank cell is a blank cell. Columns that a row must have and that a test does not care about are filled from DEFAULTS.
"""

from __future__ import annotations

from collections.abc import Sequence
from contextlib import ExitStack
from datetime import date
from decimal import ROUND_HALF_UP, Decimal
from fractions import Fraction
from functools import cache
from typing import Any

import polars as pl

from pipeline.settings import Settings
from pipeline.validation.corrections import SCHEMA as CORRECTIONS
from pipeline.vocabulary import DECIMAL_KINDS, DECIMAL_PLACES, WHOLE_KINDS, Field, tables
from pipeline.warehouse import Run, Store, build_models, load_season, make_tables, open_store, transaction
from pipeline.warehouse.models import build_order, make_model

_CLOSE = 1e-9
"""Ratios are float64: the expected value and the computed one agree to this share."""

DEFAULTS: dict[str, dict[str, str]] = {
    "jobs": {"branch": "main", "crew": "Maple", "work": "new", "terms": "leased", "stories": "1", "invoiced": "0",
             "install_date": "2025-11-10"},
    "runs": {"surface": "gutter", "spacing_in": "12", "line_item": "LL12", "bulb_item": "B9"},
    "connections": {"kind": "plug"},
    "hours": {"work_date": "2025-11-10", "crew": "Maple", "worker_no": "W1", "task": "install"},
    "workers": {"engaged": "employee"},
    "pay": {"from_date": "2025-11-10", "to_date": "2025-11-10"},
    "items": {"kind": "sundry", "unit": "each", "pack_size": "1", "pack_price": "1", "life_seasons": "4"},
    "materials": {"moved": "issued"},
    "service_calls": {"call_date": "2025-12-01", "cause": "plug", "points": "1"},
    "trips": {"trip_date": "2025-11-10", "crew": "Maple"},
    "receipts": {"received": "2025-11-10", "kind": "balance"},
    "equipment": {"use_date": "2025-11-10", "kind": "lift"},
    "overheads": {"what": "rent", "behaves": "fixed"},
    "purchases": {"bought_date": "2025-08-18"},
    "offers": {"min_packs": "1"},
    "stock": {"condition": "usable"},
    "quotes": {"quote_date": "2025-09-22", "revision": "0"},
}  # fmt: skip


def _cells(line: str) -> list[str]:
    return [cell.strip() for cell in line.strip().removeprefix("|").removesuffix("|").split("|")]


def text_table(text: str) -> list[dict[str, str]]:
    """The rows of a text table: cells between bars, the headings first."""
    lines = [_cells(line) for line in text.strip().splitlines() if line.strip()]
    return [dict(zip(lines[0], row, strict=True)) for row in lines[1:]]


def headings(text: str) -> list[str]:
    """The headings of a text table."""
    return _cells(text.strip().splitlines()[0])


def number(text: str) -> Fraction:
    """A number as a test writes it: `1,250.50` or `1/3`."""
    return Fraction(text.replace(",", "").replace(" ", ""))


def _value(field: Field, text: str) -> Any:
    if text == "":
        return None
    if field.kind in DECIMAL_KINDS:
        exact = number(text)
        step = Decimal(1).scaleb(-DECIMAL_PLACES)
        return (Decimal(exact.numerator) / Decimal(exact.denominator)).quantize(step, ROUND_HALF_UP)
    if field.kind in WHOLE_KINDS:
        return int(text)
    if field.kind == "date":
        return date.fromisoformat(text)
    return text == "yes" if field.kind == "yesno" else text


def _polars_type(field: Field) -> Any:
    if field.kind in DECIMAL_KINDS:
        return pl.Decimal(26, DECIMAL_PLACES)
    if field.kind in WHOLE_KINDS:
        return pl.Int32
    return {"date": pl.Date, "yesno": pl.Boolean}.get(field.kind, pl.String)


def _fill_job(row: dict[str, Any], season: int) -> None:
    """What validation fills in: a property is its customer's, lit nights run to takedown, else to 5 January."""
    row["customer_no"] = row["customer_no"] or f"C{row['job_no']}"
    row["property_no"] = row["property_no"] or row["customer_no"]
    if row["lit_nights"] is None:
        end = row["takedown_date"] or date(season + 1, 1, 5)
        row["lit_nights"] = max(0, (end - row["install_date"]).days)


class Season:
    """A season of records given as text tables, by the name of the table."""

    def __init__(
        self,
        *,
        season: int = 2025,
        settings: dict[str, str] | None = None,
        refused: dict[str, str] | None = None,
        **given: str,
    ) -> None:
        self.season = season
        self.settings = Settings.from_pairs((settings or {}).items())
        self._branch_of: dict[str, str] = {}
        self.records: dict[str, pl.DataFrame] = {}
        for name in sorted(given, key=lambda name: name != "jobs"):
            self.records[name] = self._frame(name, given[name])
        self.refused = {name: self._frame(name, text, refused=True) for name, text in (refused or {}).items()}

    def _frame(self, name: str, text: str, *, refused: bool = False) -> pl.DataFrame:
        table = tables()[name]
        kinds: dict[str, Any] = {"season": pl.Int32, "branch": pl.String}
        kinds |= {field: _polars_type(about) for field, about in table.fields.items() if field != "branch"}
        kinds |= {"source_file": pl.String, "source_sheet": pl.String, "source_row": pl.Int32}
        kinds |= {"place": pl.String, "why": pl.String} if refused else {}
        unknown = set(headings(text)) - set(kinds)
        assert not unknown, f"{name} has no columns {unknown}"
        rows = [self._row(name, kinds, cells, place) for place, cells in enumerate(text_table(text), start=2)]
        return pl.DataFrame(rows, schema=kinds)

    def _row(self, name: str, kinds: dict[str, Any], cells: dict[str, str], place: int) -> dict[str, Any]:
        written = DEFAULTS.get(name, {}) | cells
        fields = tables()[name].fields
        row: dict[str, Any] = {
            column: _value(fields[column], written.get(column, ""))
            if column in fields
            else written.get(column, "") or None
            for column in kinds
        }
        row |= {"season": self.season, "source_file": "made.xlsx", "source_sheet": name, "source_row": place}
        if name == "jobs":
            _fill_job(row, self.season)
            self._branch_of.setdefault(row["job_no"], row["branch"])
        elif row["branch"] is None and row.get("job_no"):
            row["branch"] = self._branch_of.get(row["job_no"])
        if name == "runs":
            sockets = row["feet"] * 12 / row["spacing_in"]
            row["sockets"] = int(sockets) if row["sockets"] is None else row["sockets"]
        return row

    @property
    def branches(self) -> tuple[str, ...]:
        """The branches of the jobs."""
        return tuple(sorted(set(self.records["jobs"]["branch"])))

    def measure(self, name: str) -> pl.DataFrame:
        """A table of the store after this season alone was loaded."""
        return measure(name, self).filter(pl.col("season") == self.season)


def _nothing(columns: Sequence[str], whole: Sequence[str] = ()) -> pl.DataFrame:
    return pl.DataFrame(schema={name: pl.Int64 if name in whole else pl.String for name in columns})


def load(store: Store, season: Season, run: Run | None = None) -> None:
    """Load a season given as text tables into a store."""
    counts = ("rows_read", "accepted", "rejected", "held", "set_aside")
    load_season(
        store,
        season=season.season,
        branches=season.branches,
        records=season.records,
        refused=season.refused,
        findings=_nothing(
            ("source_file", "source_sheet", "source_row", "column_name", "value", "rule", "severity", "message",
             "remedy"), ("source_row",)
        ),
        intake=_nothing(
            ("source_file", "source_sheet", "record_table", *counts, "headings", "left_out", "note"), counts
        ),
        corrections=pl.DataFrame(schema=CORRECTIONS),
        files=(),
        settings=season.settings.rows(),
        run=run or Run(run_id=f"{season.season}-made", started="2026-03-01T00:00:00+00:00", version="0", folder="made"),
    )  # fmt: skip


_OPEN = ExitStack()


@cache
def _store() -> Store:
    """One store in memory for all specifications; what each loads is rolled back."""
    store = _OPEN.enter_context(open_store(":memory:"))
    make_tables(store)
    return store


class _Done(Exception):
    pass


def measure(name: str, *seasons: Season) -> pl.DataFrame:
    """A table of the store, every season, after these seasons were loaded."""
    return measures([name], *seasons)[0]


def measures(names: Sequence[str], *seasons: Season) -> list[pl.DataFrame]:
    """Several tables of the store, every season, after these seasons were loaded."""
    store = _store()
    try:
        with transaction(store):
            for season in seasons:
                load(store, season)
            build_models(store, names)
            frames = [store.read(name) for name in names]
            raise _Done
    except _Done:
        return frames


def measure_after(change: str, changed: str, name: str, season: Season) -> pl.DataFrame:
    """A table of the store after the model `changed` was changed by hand, and all that comes after it built again."""
    store = _store()
    try:
        with transaction(store):
            load(store, season)
            build_models(store, [name])
            store.con.execute(change)
            files = build_order(store, [name])
            later = [file.name for file in files].index(changed) + 1
            for file in files[later:]:
                make_model(store, file)
            frame = store.read(name)
            raise _Done
    except _Done:
        return frame


def _shown(value: Any) -> str:
    if value is None:
        return ""
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, Decimal):
        return format(value.normalize(), "f")
    return repr(value) if isinstance(value, float) else str(value)


def _same(found: str, expected: str) -> bool:
    if found == expected:
        return True
    try:
        left, right = number(found), number(expected)
    except ValueError:
        return False
    return left == right or ("." in found and abs(float(left - right)) <= _CLOSE * max(1.0, abs(float(right))))


def _matches(found: list[str], expected: list[str]) -> bool:
    return all(_same(one, other) for one, other in zip(found, expected, strict=True))


def as_text(columns: Sequence[str], rows: Sequence[Sequence[str]]) -> str:
    """Rows as a text table, to be read in a failed test."""
    widths = [max(len(cell) for cell in column) for column in zip(columns, *rows, strict=True)]
    lines = [" | ".join(cell.ljust(width) for cell, width in zip(row, widths, strict=True)) for row in (columns, *rows)]
    return "\n".join(f"| {line} |" for line in lines)


def assert_table(frame: pl.DataFrame, expected: str) -> None:
    """The frame has the expected rows, in any order; only the columns named in `expected` are compared."""
    columns = headings(expected)
    missing = [name for name in columns if name not in frame.columns]
    assert not missing, f"no columns {missing}; there are {frame.columns}"
    found = sorted([_shown(value) for value in row] for row in frame.select(columns).rows())
    wanted = [list(row.values()) for row in text_table(expected)]
    left = list(found)
    for row in wanted:
        match = next((candidate for candidate in left if _matches(candidate, row)), None)
        assert match is not None, f"no row {row} in\n{as_text(columns, found)}"
        left.remove(match)
    assert not left, f"rows that were not expected:\n{as_text(columns, left)}"
