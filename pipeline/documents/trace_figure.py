"""A printed figure and where it came from: its definition, the table and rows that it was read from, and the way on."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass, replace
from decimal import Decimal
from typing import Any

from pipeline.documents.trace import CENT, Traced, sum_of

Record = dict[str, Any]

MOST_ROWS = 40
"""Rows of a measure that are listed; the store has the others."""
KEY_KINDS = (str, bool)
_KEY = re.compile(r"(?:^|, )([a-z_]+)=")


@dataclass(frozen=True)
class Place:
    """A table of the store: its name, the file that makes or describes it, what a row and its columns are."""

    table: str
    file: str
    about: str
    columns: dict[str, str]


def keys_of(row: str) -> dict[str, str]:
    """The keys of a figure's source: `season=2025, offer=offer, 1000 a pack` is season and offer."""
    found = list(_KEY.finditer(row))
    ends = [*(one.start() for one in found[1:]), len(row)]
    return {one[1]: row[one.end() : end] for one, end in zip(found, ends, strict=False)}


def way_on(table: str, row: Record) -> tuple[str, ...] | None:
    """What to ask `perfoot trace` for the records behind a row of a measure; None where nothing goes further."""
    season = row.get("season") or 0
    if table == "decisions.price_table" and row.get("segment") == "all":
        return "price", str(season - 1), f"{row['chance'] * 100:.0f}"
    if table == "measures.segment_cost" and row.get("branch") == "all":
        return "cost", str(season), f"{row['view']}:{row['segment']}"
    if row.get("job_no"):
        return "job", str(season - 1 if table == "decisions.price_again" else season), row["job_no"]
    if table in ("measures.item_use", "decisions.order_lines", "decisions.offcut", "facts.closing_stock"):
        return "item", str(season - 1 if table == "decisions.order_lines" else season), row["item_no"]
    if table in ("measures.crew_hours", "decisions.crew_comparison", "measures.crew_hours_mix") and row.get("crew"):
        return "crew", str(season), row["crew"]
    return None


def _as_number(value: object) -> Decimal | None:
    if isinstance(value, bool) or not isinstance(value, int | float | Decimal):
        return None
    number = Decimal(str(value))
    return number if number.is_finite() else None


def _line(place: Place, what: str, value: object, unit: str, rule: str) -> Record:
    return {
        "part": place.table, "what": what, "quantity": _as_number(value), "unit": unit, "rate_usd": None,
        "amount_usd": None, "rule": rule, "source_file": None, "source_sheet": None, "source_row": None,
    }  # fmt: skip


def _row_lines(figure: Record, place: Place, row: Record) -> list[Record]:
    """A row as a line a column: its name, its value, and what it means."""
    lines = []
    for key, value in row.items():
        if value is None:
            continue
        # A season's year is a name, not a quantity.
        number = None if key.endswith("season") else _as_number(value)
        shown = key if number is not None else f"{key}: {value}"
        own = "; this is the figure" if _same(figure, value) and figure["name"].endswith(key) else ""
        lines.append(_line(place, shown, number, "", f"{place.columns.get(key, key)}{own}"))
    return lines


def _parsed(value: object) -> object:
    """A value of figures.json: an exact number stands there as text."""
    if not isinstance(value, str):
        return value
    try:
        return Decimal(value)
    except ArithmeticError:
        return value


def _same(figure: Record, value: object) -> bool:
    number, own = _as_number(value), _as_number(_parsed(figure.get("value")))
    return number is not None and own is not None and abs(own - number) <= abs(number) * Decimal("1e-9")


def _listed(figure: Record, place: Place, rows: Sequence[Record]) -> list[Record]:
    """Rows of a table as a line each, by what they are of, with the column of the figure's name where they have it."""
    column = next((key for key in rows[0] if figure["name"].rsplit(".", 1)[-1] == key), None)
    lines = []
    for row in rows[:MOST_ROWS]:
        what = ", ".join(
            str(value) for key, value in row.items() if isinstance(value, KEY_KINDS) and key != "branch_set"
        )
        rule = place.columns.get(column, column) if column else "one of the rows that the figure is computed from"
        lines.append(_line(place, what or place.table, row[column] if column else None, "", rule))
    return lines


def _facts(figure: Record, place: Place) -> tuple[tuple[str, str], ...]:
    unit = f" {figure['unit']}" if figure.get("unit") else ""
    facts = [("value", f"{figure['value']}{unit}")]
    low, high = figure.get("low"), figure.get("high")
    if low is not None or high is not None:
        level = f", {Decimal(str(figure.get('level', '0.95'))) * 100:f} %"
        ends = f"{'without limit' if low is None else low} to {'without limit' if high is None else high}"
        facts.append(("interval", f"{ends}{level.replace('.00', '')}"))
    where = f"{place.table}, {figure['source'].get('row') or 'all rows of the season'}"
    facts += [
        ("definition", figure["definition"]),
        ("read from", where),
        ("made in", place.file),
        ("a row is", place.about),
    ]
    return tuple(facts)


def figure_traced(figure: Record, place: Place, rows: Sequence[Record], behind: Traced | None) -> Traced:
    """A figure of figures.json with the rows that it was read from.

    `rows` are those of its source in the store, `behind` the records of its one row, where a trace leads to them. Where
    those add up to the figure they are its lines; else the row's own columns are, and a note says how to go on.
    """
    base = Traced(
        name=figure["name"], title=f"{figure['name']}: {figure['label']}", value=Decimal(0),
        unit=figure.get("unit", ""), lines=(), measure="quantity", facts=_facts(figure, place), adds_up=False,
    )  # fmt: skip
    own, per_foot = _that_add_up(figure, rows[0], behind) if behind is not None else ((), None)
    if behind is not None and own:
        said = [f"The lines are those of: perfoot trace {behind.name}", *behind.notes]
        if per_foot:
            said.insert(0, f"Over {per_foot:,.2f} ft the sum of the lines is the figure.")
        return replace(
            base, value=sum_of(own, behind.measure), unit=behind.unit, lines=own, measure=behind.measure,
            notes=tuple(said), adds_up=True,
        )  # fmt: skip
    notes = [f"The records behind this row: perfoot trace {behind.name}"] if behind is not None else []
    lines = _row_lines(figure, place, rows[0]) if len(rows) == 1 else _listed(figure, place, rows)
    if len(rows) > MOST_ROWS:
        notes.append(f"{len(rows) - MOST_ROWS:,} more rows of {place.table} are in the store.")
    return replace(base, lines=tuple(lines), notes=tuple(notes))


def _that_add_up(figure: Record, row: Record, behind: Traced) -> tuple[tuple[Record, ...], Decimal | None]:
    """The lines whose sum is the figure, to the cent: all of them, or those of one part; none where neither is.

    With them the feet over which they are the figure, where it is a cost of a foot.
    """
    wanted, feet = _as_number(_parsed(figure["value"])), None
    if wanted is None:
        return (), None
    if figure.get("unit") == "usd/ft":
        feet = _as_number(row.get("feet"))
        wanted *= feet or 0
    parts = {line["part"] for line in behind.lines}
    named = {part for part in parts if part and figure["name"].rsplit(".", 1)[-1] in (part, f"{part}_usd")}
    for chosen in ([named] if named else []) + [parts]:
        own = tuple(line for line in behind.lines if line["part"] in chosen)
        if own and wanted and abs(sum_of(own, behind.measure) - wanted) < CENT:
            return own, feet
    return (), None
