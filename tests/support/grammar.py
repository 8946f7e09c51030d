"""What is wrong with a sentence, as far as letters tell: number and noun, gaps, and what a program leaves behind."""

from __future__ import annotations

import re

from pipeline.documents.model import Chart, Document, Note, Table

RULES: dict[str, str] = {
    "one of many": r"(?<![\d.,$/\u2212-])\b1 (?!is\b|was\b|has\b|does\b|less\b|its\b|this\b|cross|across)[a-z]{2,}s\b"
    r"(?! (?:than|of 20))",
    "many of one": r"\b(?:[02-9]|\d{2,}) (?:job|row|crew|feed|line|item|quote|property|pair|month|season|day|week|pack|"
    r"spool|call|failed point|kind|change|property)\b(?!s)(?!-)",
    "are with one": r"\b1 [a-z]+ (?:are|were|have|lie)\b",
    "is with many": r"(?<!of )\b(?:[02-9]|\d{2,}) [a-z]+s (?:is|was|has|lies)\b",
    "a gap": r"  | [.,;:](?:\s|$)|\( | \)|\(\)",
    "two stops": r"\.\.|,,|;;|\.,|:\.",
    "a program's word": r"\bNone\b(?! of\b)|\bnan\b|\binf\b|\bTrue\b|\bFalse\b|\{|\}|[0-9]e[+-]?[0-9]{2}",
    "long digits": r"\d\.\d{6,}",
}


def faults(text: str) -> list[str]:
    """The rules that a text breaks, each with what breaks it."""
    plain = text.replace("\N{NO-BREAK SPACE}", " ").replace("[U+", "")
    found = [f"{rule}: {hit[0]!r}" for rule, pattern in RULES.items() for hit in re.finditer(pattern, plain)]
    if plain.count("(") != plain.count(")"):
        found.append("brackets that do not match")
    return found


def paragraphs(document: Document) -> list[str]:
    """All that a document says in sentences or parts of them: lead, notes, titles of pictures, footnotes."""
    said = [str(document.lead)]
    for block in document.blocks:
        if isinstance(block, Note):
            said.append(str(block.text))
        else:
            said += [str(block.title)]
            said += [str(block.note)] if isinstance(block, Chart | Table) and block.note else []
    return said
