"""A document as one HTML file: no script, no outside file, its style and charts inside it."""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import cache
from itertools import groupby
from pathlib import Path
from typing import TYPE_CHECKING, Any

from pipeline import __version__
from pipeline.documents.formats import NOT_KNOWN, TEXT_FORMATS, show
from pipeline.documents.listing import cell_name, full_name, is_figure
from pipeline.documents.model import Block, Chart, Document
from pipeline.documents.results import label_of
from pipeline.documents.wording import NOT_KNOWN_NOTE
from pipeline.render import palette, typeface
from pipeline.render.cells import NOTE_HEADINGS, block_kind, cell_interval, is_wordy, says_unit, shown_cell
from pipeline.render.definitions import definitions_of

if TYPE_CHECKING:
    from jinja2 import Environment

TEMPLATES = Path(__file__).parent / "templates"
MOST_ROWS = 2_000
"""Rows of a table on a page, half a megabyte of them; the store has the others."""
REPORT_WORDS = {
    "owner": "Owner",
    "manager": "Manager",
    "buyer": "Buyer",
    "intake": "Intake",
    "crew-sheet": "Crew sheet",
    "rate-card": "Rate card",
}
"""The reports as links name them."""


@dataclass(frozen=True)
class Beside:
    """A page beside this one: its address from here, its words, and whether it is this one."""

    href: str
    words: str
    here: bool = False


@dataclass(frozen=True)
class _PointShown:
    name: str
    shown: str
    between: str | None


@dataclass(frozen=True)
class _PointRow:
    """A row of a chart's values: its place on the axis, and a point a series, None where a series has none."""

    label: str
    points: tuple[_PointShown | None, ...]


def chart_rows(chart: Chart) -> list[_PointRow]:
    """A chart's values as rows of a table, in the order in which they are drawn."""
    labels: dict[str, str] = {}
    points: dict[tuple[str, str], _PointShown] = {}
    form = chart.axis.format
    for series in chart.series:
        for point in series.points:
            labels.setdefault(point.key, f"{point.group}, {point.label}" if point.group else point.label)
            name = f"{chart.name}.{series.key}.{point.key}"
            points[series.key, point.key] = _PointShown(name, point.shown(form), point.between(form))
    return [
        _PointRow(label, tuple(points.get((series.key, key)) for series in chart.series))
        for key, label in labels.items()
    ]


def _runs(blocks: Iterable[Block]) -> list[tuple[bool, list[Block]]]:
    """Blocks in their order, charts that follow each other together: they stand side by side."""
    return [(kind, list(run)) for kind, run in groupby(blocks, key=lambda block: isinstance(block, Chart))]


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
        points=chart_rows,
        runs=_runs,
        most_rows=MOST_ROWS,
        version=__version__,
        show=show,
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


def html_of(document: Document, beside: Sequence[Beside] = ()) -> str:
    """The document's page as text, with links to the pages beside it. The same document gives the same text."""
    template = environment().get_template("page.html.j2")
    return template.render(document=document, known=definitions_of(document), beside=beside)


def pages_beside(documents: Iterable[Document], here: Document) -> tuple[Beside, ...]:
    """Links from a report to the others of its season and to the index; none where there are no others."""
    links = [
        Beside(f"{one.name}.html", REPORT_WORDS.get(one.name, one.name), here=one.name == here.name)
        for one in documents
    ]
    return (*links, Beside("../index.html", "All seasons")) if len(links) > 1 else ()


def write_html(document: Document, path: Path, beside: Sequence[Beside] = ()) -> None:
    """Write the document's page."""
    path.write_text(html_of(document, beside), encoding="utf-8")


def index_of(rows: Sequence[dict[str, Any]]) -> str:
    """The page over all seasons as text; the latest first.

    A row has `season`, `firm`, `figures` (pairs of words and value as shown) and `files` (of href, words and paper).
    """
    return environment().get_template("index.html.j2").render(rows=rows)
