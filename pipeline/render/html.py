"""A document as one HTML file: no script, no outside file, its style and charts inside it."""

from __future__ import annotations

from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING

from pipeline.documents.formats import NOT_KNOWN, TEXT_FORMATS, show
from pipeline.documents.listing import cell_name, full_name, is_figure
from pipeline.documents.model import Cell, Chart, Column, Document, Estimate, Note, Table, shown_range
from pipeline.documents.results import label_of
from pipeline.documents.wording import NOT_KNOWN_NOTE

if TYPE_CHECKING:
    from jinja2 import Environment

TEMPLATES = Path(__file__).parent / "templates"
NOTE_HEADINGS = {"text": "", "caution": "Caution", "missing": "Missing", "method": ""}


def shown_cell(cell: Cell, column: Column) -> str:
    """A cell's value as text."""
    return show(cell.value if isinstance(cell, Estimate) else cell, column.format)


def cell_interval(cell: Cell, column: Column) -> str | None:
    """A cell's interval as text, or None."""
    return shown_range(cell.low, cell.high, column.format) if isinstance(cell, Estimate) else None


def says_unit(column: Column) -> bool:
    """Whether a heading needs its unit beside it: `Jobs` is in jobs already."""
    return bool(column.unit) and column.unit.casefold() != column.heading.casefold()


def is_wordy(table: Table) -> bool:
    """Whether a table holds sentences, so that a narrow screen shows each row as a card."""
    return any(column.format == "prose" for column in table.columns)


def block_kind(block: Note | Table | Chart) -> str:
    """Which part of the template draws a block."""
    return type(block).__name__.lower()


@cache
def environment() -> Environment:
    """The templates, with every value escaped unless it is the renderer's own markup."""
    import jinja2
    from markupsafe import Markup

    from pipeline.render.charts import draw

    env = jinja2.Environment(
        loader=jinja2.FileSystemLoader(TEMPLATES),
        autoescape=True,
        undefined=jinja2.StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )
    env.globals.update(
        css=Markup((TEMPLATES / "page.css").read_text(encoding="utf-8")),
        svg=lambda chart: Markup(draw(chart)),
        shown_cell=shown_cell,
        cell_interval=cell_interval,
        is_figure=is_figure,
        is_words=lambda column: column.format in TEXT_FORMATS,
        cell_name=cell_name,
        full_name=full_name,
        block_kind=block_kind,
        is_wordy=is_wordy,
        says_unit=says_unit,
        label_of=label_of,
        note_headings=NOTE_HEADINGS,
        not_known=NOT_KNOWN,
        not_known_note=NOT_KNOWN_NOTE,
    )
    return env


def html_of(document: Document) -> str:
    """The document's page as text. The same document gives the same text."""
    return environment().get_template("page.html.j2").render(document=document)


def write_html(document: Document, path: Path) -> None:
    """Write the document's page."""
    path.write_text(html_of(document), encoding="utf-8")
