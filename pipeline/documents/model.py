"""What a report is, whatever it is printed on: frozen values that a renderer needs nothing beside.

Every number that reaches paper is a `Figure`, a cell of a `Table` or a `Point` of a `Chart`, so that all of
them have a name, a unit, a definition and a source.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field
from datetime import date
from decimal import Decimal
from typing import Literal

from pipeline.documents.formats import show, show_range

Number = Decimal | int | float
Value = Number | str | date | bool | None

INTERVAL_LEVEL = Decimal("0.95")
"""Level of an interval where nothing else is said."""
MOST_FIGURES = 4
"""A first screen holds no more."""


@dataclass(frozen=True)
class Source:
    """Where a figure was read: a table of the store and its row, as `season=2025, branch=all`."""

    table: str
    row: str = ""


@dataclass(frozen=True)
class Figure:
    """A number with its name and all that is needed to check it. `format` is a key of `formats.FORMATS`."""

    name: str
    label: str
    value: Value
    format: str
    unit: str
    definition: str
    source: Source
    low: Number | None = None
    high: Number | None = None
    level: Decimal = INTERVAL_LEVEL

    @property
    def shown(self) -> str:
        """The figure as a person reads it, with its unit."""
        return show(self.value, self.format, with_unit=True, low=self.low, high=self.high)

    @property
    def shown_interval(self) -> str | None:
        """Its interval as a person reads it, or None."""
        return show_range(self.value, self.low, self.high, self.format)


@dataclass(frozen=True)
class Text:
    """A sentence or more: words, and figures among them."""

    parts: tuple[str | Figure, ...]

    def __str__(self) -> str:
        return "".join(part if isinstance(part, str) else part.shown for part in self.parts)

    @property
    def figures(self) -> tuple[Figure, ...]:
        """The figures among the words."""
        return tuple(part for part in self.parts if isinstance(part, Figure))


def say(template: str, *values: str | Figure | Text) -> Text:
    """A Text from a template with a `{}` for each value; a value's own braces are only text."""
    words = template.split("{}")
    if len(words) != len(values) + 1:
        raise ValueError(f"{len(values)} values for {len(words) - 1} places: {template}")
    parts: list[str | Figure] = [words[0]]
    for value, after in zip(values, words[1:], strict=True):
        parts += value.parts if isinstance(value, Text) else (value,)
        parts.append(after)
    return Text(tuple(part for part in parts if part != ""))


def join(*texts: Text | str) -> Text:
    """Sentences one after the other, with a space between; empty ones are left out."""
    parts: list[str | Figure] = []
    for text in texts:
        more = (text,) if isinstance(text, str) else text.parts
        if more and more != ("",):
            parts += [" ", *more] if parts else more
    return Text(tuple(parts))


@dataclass(frozen=True)
class Estimate:
    """A value with its interval, in one cell of a table; `format` where its row is of another kind than its column."""

    value: Number | None
    low: Number | None = None
    high: Number | None = None
    level: Decimal = INTERVAL_LEVEL
    format: str = ""


Cell = Value | Estimate


@dataclass(frozen=True)
class Column:
    """A column of a table. `unit` is printed in the heading; `format` is a key of `formats.FORMATS`."""

    key: str
    heading: str
    unit: str
    format: str
    definition: str
    low: str | None = None
    high: str | None = None


@dataclass(frozen=True)
class Row:
    """A row of a table: its key within the table, a cell a column, and where it was read."""

    key: str
    cells: tuple[Cell, ...]
    source: Source
    strong: bool = False


@dataclass(frozen=True)
class Table:
    """A table; never empty, since a section without rows says why in words instead."""

    name: str
    title: str
    columns: tuple[Column, ...]
    rows: tuple[Row, ...]
    note: Text | None = None

    def __post_init__(self) -> None:
        if not self.rows:
            raise ValueError(f"table {self.name} has no rows: say in a note what is missing")
        for row in self.rows:
            if len(row.cells) != len(self.columns):
                raise ValueError(f"table {self.name}, row {row.key}: {len(row.cells)} cells")

    @property
    def has_gaps(self) -> bool:
        """Whether a cell holds nothing, which is printed as a dash and explained below the table."""
        return any(
            cell is None or (isinstance(cell, Estimate) and cell.value is None)
            for row in self.rows
            if not row.strong
            for cell in row.cells
        )


ChartKind = Literal["waterfall", "columns", "bars", "dots", "pairs", "ranges", "control", "scatter"]
"""How a chart is drawn: steps of a sum; counts by class; lengths; estimates with intervals; two values a
row; a range a row with what is there against it; values in time between limits, `low` and `high` of their points;
estimates across a cloud, its second series the places of the cloud that are named."""
Role = Literal["plain", "part", "total", "good", "bad", "quiet"]
"""What a point means, for its colour."""


@dataclass(frozen=True)
class Point:
    """A value of a chart with the name of its place on the other axis."""

    key: str
    label: str
    value: Number
    low: Number | None = None
    high: Number | None = None
    role: Role = "plain"
    group: str = ""
    note: str = ""
    at: float | None = None
    """Where it lies across a scatter."""

    def shown(self, form: str) -> str:
        """The value as a person reads it."""
        return show(self.value, form, low=self.low, high=self.high)

    def between(self, form: str) -> str | None:
        """Its interval as a person reads it, or None."""
        return show_range(self.value, self.low, self.high, form)


@dataclass(frozen=True)
class Series:
    """Points of one kind."""

    key: str
    label: str
    points: tuple[Point, ...]


@dataclass(frozen=True)
class Axis:
    """An axis: what it measures, in which unit, and how its numbers are printed."""

    label: str
    unit: str
    format: str


@dataclass(frozen=True)
class Chart:
    """A picture of numbers. The title says the finding; `references` are lines to measure against."""

    name: str
    kind: ChartKind
    title: Text
    axis: Axis
    across: str
    series: tuple[Series, ...]
    definition: str
    source: Source
    references: tuple[Figure, ...] = ()
    note: Text | None = None
    cloud: tuple[tuple[float, float], ...] = ()
    """Places across and up that a scatter draws without naming them."""

    def __post_init__(self) -> None:
        if not any(series.points for series in self.series):
            raise ValueError(f"chart {self.name} has no points: say in a note what is missing")

    @property
    def alt(self) -> str:
        """The picture in words, for those who cannot see it: its finding and every value."""
        lines = [f"{self.title}. {self.axis.label}, by {self.across}."]
        for series in self.series:
            shown = [_in_words(point, self.axis.format) for point in series.points]
            lines.append(f"{series.label}: {'; '.join(shown)}.")
        lines += [f"Line at {figure.shown}: {figure.label}." for figure in self.references]
        return " ".join(lines)


def _in_words(point: Point, form: str) -> str:
    between = point.between(form)
    where = f"{point.group}, {point.label}" if point.group else point.label
    return f"{where} {point.shown(form)}" + (f" ({between})" if between else "")


NoteKind = Literal["text", "caution", "missing", "method"]


@dataclass(frozen=True)
class Note:
    """A paragraph: plain, a caution, something missing, or how a thing is computed."""

    kind: NoteKind
    text: Text


Block = Note | Table | Chart
"""What a section is made of."""


@dataclass(frozen=True)
class Section:
    """A part of a document under its own heading."""

    name: str
    title: str
    blocks: tuple[Block, ...]


Layout = Literal["report", "sheet"]
"""How a document is set: a report over as many pages as it needs, or a sheet to hang up, on one page."""


@dataclass(frozen=True)
class Document:
    """A report: the decision first, then the evidence."""

    name: str
    title: str
    season: int
    firm: str | None
    lead: Text
    figures: tuple[Figure, ...]
    sections: tuple[Section, ...] = field(default=())
    layout: Layout = "report"

    def __post_init__(self) -> None:
        if len(self.figures) > MOST_FIGURES:
            raise ValueError(f"{self.name}: {len(self.figures)} figures on the first screen")

    @property
    def blocks(self) -> Iterator[Block]:
        """Every block of every section, in order."""
        for section in self.sections:
            yield from section.blocks
