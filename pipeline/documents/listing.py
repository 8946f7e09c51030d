"""Every figure that a document prints, under its full name."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from pipeline.documents.formats import TEXT_FORMATS
from pipeline.documents.model import Cell, Chart, Column, Document, Estimate, Figure, Note, Row, Table


def figures_of(document: Document) -> dict[str, Figure]:
    """Every printed figure by its full name, as `owner.segment_cost.work.new.cost_usd_per_ft`.

    Raises ValueError where one name stands for two different values.
    """
    out: dict[str, Figure] = {}
    for figure in _named(document):
        known = out.setdefault(figure.name, figure)
        if known.value != figure.value:
            raise ValueError(f"{figure.name} is printed with two values: {known.value} and {figure.value}")
    return out


def _named(document: Document) -> Iterator[Figure]:
    def named(figure: Figure) -> Figure:
        return replace(figure, name=full_name(document, figure.name))

    yield from map(named, document.lead.figures)
    yield from map(named, document.figures)
    for block in document.blocks:
        if isinstance(block, Note):
            yield from map(named, block.text.figures)
        elif isinstance(block, Table):
            yield from map(named, block.note.figures if block.note else ())
            yield from map(named, _of_table(block))
        else:
            yield from map(named, (*block.title.figures, *block.references, *_of_chart(block)))


def full_name(document: Document, name: str) -> str:
    """A figure's name with its document's before it."""
    return f"{document.name}.{name}"


def is_figure(cell: Cell, column: Column) -> bool:
    """Whether a cell is a figure: known, and neither words nor a place."""
    value = cell.value if isinstance(cell, Estimate) else cell
    return value is not None and not isinstance(value, str | bool) and column.format not in TEXT_FORMATS


def cell_name(table: Table, row: Row, column: Column) -> str:
    """The name of a cell's figure within its document."""
    return f"{table.name}.{row.key}.{column.key}"


def _of_table(table: Table) -> Iterator[Figure]:
    for row in table.rows:
        for cell, column in zip(row.cells, table.columns, strict=True):
            if not is_figure(cell, column):
                continue
            value = cell if isinstance(cell, Estimate) else Estimate(cell)  # type: ignore[arg-type]
            yield Figure(
                cell_name(table, row, column),
                column.heading,
                value.value,
                value.format or column.format,
                column.unit,
                column.definition,
                row.source,
                value.low,
                value.high,
                value.level,
            )


def _of_chart(chart: Chart) -> Iterator[Figure]:
    for series in chart.series:
        for point in series.points:
            yield Figure(
                f"{chart.name}.{series.key}.{point.key}",
                point.label,
                point.value,
                chart.axis.format,
                chart.axis.unit,
                chart.definition,
                chart.source,
                point.low,
                point.high,
            )
