"""What the words of a report mean: every definition that its figures carry, once, to be linked to."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from pipeline.documents.build import with_capital
from pipeline.documents.model import Chart, Document, Note, Table


@dataclass(frozen=True)
class Definition:
    """A definition: the anchor that a figure links to, the words that it explains, their unit, and the text."""

    anchor: str
    term: str
    unit: str
    text: str


def _said(document: Document) -> Iterator[tuple[str, str, str]]:
    """Words, unit and definition of all that a document prints, in its order."""
    texts = [document.lead]
    for block in document.blocks:
        if isinstance(block, Note):
            texts.append(block.text)
            continue
        texts += [block.title] if isinstance(block, Chart) else []
        texts += [block.note] if block.note else []
    shown = [*document.figures, *(figure for text in texts for figure in text.figures)]
    for figure in shown:
        yield figure.label, figure.unit, figure.definition
    for block in document.blocks:
        if isinstance(block, Table):
            for column in block.columns:
                yield column.heading, column.unit, column.definition
        elif isinstance(block, Chart):
            yield block.axis.label, block.axis.unit, block.definition
            for figure in block.references:
                yield figure.label, figure.unit, figure.definition


def definitions_of(document: Document) -> dict[str, Definition]:
    """The document's definitions by their text, in the order of the words that they explain.

    A definition that says no more than its words (`Crew`: crew) is left out: it is nothing to go and look up.
    """
    terms: dict[str, list[str]] = {}
    units: dict[str, str] = {}
    for term, unit, text in _said(document):
        if not text or text.casefold() == term.casefold():
            continue
        known = terms.setdefault(text, [])
        if with_capital(term) not in known:
            known.append(with_capital(term))
        units.setdefault(text, unit)
    ordered = sorted(terms, key=lambda text: (terms[text][0].casefold(), text))
    return {
        text: Definition(f"def-{number}", ", ".join(terms[text]), units[text], text)
        for number, text in enumerate(ordered, start=1)
    }
