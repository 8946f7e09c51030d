"""A document as a PDF that a screen reader can read (PDF/UA-1), set by typst.

The template is fixed; all that a document says goes to it as data, so that no text is ever read as markup.
"""

from __future__ import annotations

import json
import re
from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING, Any, Literal

from pipeline import __version__
from pipeline.documents.formats import NOT_KNOWN, TEXT_FORMATS
from pipeline.documents.model import Chart, Document, Note, Row, Table, Text
from pipeline.documents.results import label_of
from pipeline.documents.wording import NOT_KNOWN_NOTE
from pipeline.render import palette, typeface
from pipeline.render.cells import NOTE_HEADINGS, cell_interval, says_unit, shown_cell
from pipeline.render.charts import draw
from pipeline.render.definitions import Definition, definitions_of
from pipeline.render.lettering import apart

if TYPE_CHECKING:
    from concurrent.futures import Future, ThreadPoolExecutor

    import typst

TEMPLATE = Path(__file__).parent / "templates" / "report.typ"
STANDARD: Literal["ua-1"] = "ua-1"
MOST_ROWS = 400
"""Rows of a table that are set on paper, 12 pages of them; the page on the screen has the others."""
LONGEST_WORD = 18
"""Letters after which a word may be broken: a name of 300 letters must not run out of its cell."""
_LONG = re.compile(rf"\S{{{LONGEST_WORD}}}(?=\S)")
_BREAK = "\N{ZERO WIDTH SPACE}"
_NOT_PRINTED = re.compile(r"[\x00-\x08\x0b\x0c\x0e-\x1f\x7f-\x9f\u2028\u2029]")
SEEN = "\N{REPLACEMENT CHARACTER}"
"""Stands for a control sign, which has no place on paper."""

Data = dict[str, Any]


def printable(text: str) -> str:
    """Text as it is set: long words may go on in the next line, a control sign is seen as one, and a letter that the
    typeface lacks is named by its number, as [U+6F22]: a box would tell nothing."""
    text = _NOT_PRINTED.sub(SEEN, text)
    known = typeface.letters()
    if not all(ord(letter) in known or letter in "\n\t" for letter in text):
        text = "".join(c if ord(c) in known or c in "\n\t" else f"[U+{ord(c):04X}]" for c in text)
    return _LONG.sub(lambda found: found[0] + _BREAK, text)


def _spans(text: Text, known: dict[str, Definition]) -> list[str | Data]:
    spans: list[str | Data] = []
    for part in text.parts:
        if isinstance(part, str):
            spans.append(printable(part))
        else:
            spans.append({"figure": part.shown, "definition": _anchor(part.definition, known)})
    return spans


def _anchor(definition: str, known: dict[str, Definition]) -> str | None:
    return known[definition].anchor if definition in known else None


def _chart(chart: Chart, known: dict[str, Definition]) -> Data:
    drawing, words = apart(draw(chart).replace(palette.PAPER, "#ffffff"))
    return {
        "is": "chart",
        "title": _spans(chart.title, known),
        "alt": _NOT_PRINTED.sub(SEEN, chart.alt),
        "svg": drawing,
        "words": [word | {"text": printable(word["text"])} for word in words],
        "note": _spans(chart.note, known) if chart.note else None,
        "definition": _anchor(chart.definition, known),
    }


def _row(row: Row, table: Table) -> Data:
    cells = []
    for cell, column in zip(row.cells, table.columns, strict=True):
        shown = "" if cell is None and row.strong else printable(shown_cell(cell, column))
        cells.append({"text": shown, "between": cell_interval(cell, column)})
    return {"strong": row.strong, "cells": cells}


def _table(table: Table, known: dict[str, Definition]) -> Data:
    left_out = len(table.rows) - MOST_ROWS
    return {
        "is": "table",
        "title": printable(table.title),
        "columns": [
            {
                "heading": printable(column.heading),
                "unit": column.unit if says_unit(column) else "",
                "kind": column.format if column.format in TEXT_FORMATS else "number",
                "definition": _anchor(column.definition, known),
            }
            for column in table.columns
        ],
        "rows": [_row(row, table) for row in table.rows[:MOST_ROWS]],
        "note": _spans(table.note, known) if table.note else None,
        "gaps": f"{NOT_KNOWN} {NOT_KNOWN_NOTE}" if table.has_gaps else None,
        "cut": f"{left_out:,} more rows are on the page of the same name (.html)." if left_out > 0 else None,
    }


def _block(block: Note | Table | Chart, known: dict[str, Definition]) -> Data:
    if isinstance(block, Note):
        tag = NOTE_HEADINGS[block.kind]
        return {"is": "note", "kind": block.kind, "tag": tag, "text": _spans(block.text, known)}
    return _chart(block, known) if isinstance(block, Chart) else _table(block, known)


def data_of(document: Document) -> Data:
    """All that the template prints of a document, as values for JSON."""
    # What hangs on a wall has no pages to turn to.
    known = definitions_of(document) if document.layout == "report" else {}
    return {
        "name": document.name,
        "layout": document.layout,
        "title": document.title,
        "firm": printable(document.firm or ""),
        "season": f"season {label_of(document.season)}",
        "version": f"perfoot {__version__}",
        "family": [typeface.FAMILY, *typeface.FALLBACKS],
        "colours": palette.LIGHT,
        "chart_width": palette.CHART_WIDTH_IN,
        "lead": _spans(document.lead, known),
        "figures": [
            {
                "label": printable(figure.label),
                "shown": figure.shown,
                "between": figure.shown_interval,
                "definition": _anchor(figure.definition, known),
            }
            for figure in document.figures
        ],
        "sections": [
            {
                "name": section.name,
                "title": section.title,
                "blocks": [_block(block, known) for block in section.blocks],
            }
            for section in document.sections
        ],
        "definitions": [
            {"anchor": one.anchor, "term": printable(one.term), "unit": one.unit, "text": printable(one.text)}
            for one in known.values()
        ],
    }


@cache
def _compiler() -> typst.Compiler:
    """Typst with the typeface alone, and nothing of the system."""
    import typst

    fonts = typst.Fonts(include_system_fonts=False, include_embedded_fonts=False, font_paths=list(typeface.folders()))
    return typst.Compiler(font_paths=fonts, ignore_system_fonts=True)


def _set(data: str) -> bytes:
    made = _compiler().compile(
        TEMPLATE.read_bytes(), format="pdf", sys_inputs={"data": data}, pdf_standards=STANDARD, timestamp=0
    )
    assert isinstance(made, bytes)
    return made


def _as_json(document: Document) -> str:
    return json.dumps(data_of(document), ensure_ascii=False)


def pdf_of(document: Document) -> bytes:
    """The document as a PDF. The same document gives the same bytes: no date is written into it."""
    return _set(_as_json(document))


def start_pdf(document: Document, press: ThreadPoolExecutor) -> Future[bytes]:
    """The document's PDF to come, set by a thread of `press`, which has one, beside what Python does meanwhile: typst
    holds no lock of Python's. The charts are drawn here and now, since matplotlib is not made for threads."""
    return press.submit(_set, _as_json(document))
