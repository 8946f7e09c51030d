"""A document as one HTML file: no script, no outside file, its style and charts inside it."""

from __future__ import annotations

import re
from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING

from pipeline.documents.formats import NOT_KNOWN, TEXT_FORMATS
from pipeline.documents.listing import cell_name, full_name, is_figure
from pipeline.documents.model import Document
from pipeline.documents.results import label_of
from pipeline.documents.wording import NOT_KNOWN_NOTE
from pipeline.render import palette, typeface
from pipeline.render.cells import NOTE_HEADINGS, block_kind, cell_interval, is_wordy, says_unit, shown_cell

if TYPE_CHECKING:
    from jinja2 import Environment

TEMPLATES = Path(__file__).parent / "templates"


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
        css=Markup(_style()),
        svg=lambda chart: Markup(_for_page(draw(chart))),
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


def _for_page(svg: str) -> str:
    """A chart inside a page: its size and colours are the page's, which has two sets of them."""
    head = r'<svg viewBox="\1" aria-hidden="true" focusable="false">'
    svg = re.sub(r'<svg [^>]*?viewBox="([^"]+)"[^>]*>', head, svg, count=1)
    for name, colour in palette.LIGHT.items():
        svg = svg.replace(colour, f"var(--{name})")
    return svg


def _colours(colours: dict[str, str]) -> str:
    return " ".join(f"--{name}: {colour};" for name, colour in colours.items())


@cache
def _style() -> str:
    """The style sheet with the typeface and both sets of colours in it."""
    sheet = (TEMPLATES / "page.css").read_text(encoding="utf-8")
    sheet = sheet.replace("/* light */", _colours(palette.LIGHT)).replace("/* dark */", _colours(palette.DARK))
    return f"{typeface.font_faces()}\n{sheet}"


def html_of(document: Document) -> str:
    """The document's page as text. The same document gives the same text."""
    return environment().get_template("page.html.j2").render(document=document)


def write_html(document: Document, path: Path) -> None:
    """Write the document's page."""
    path.write_text(html_of(document), encoding="utf-8")
