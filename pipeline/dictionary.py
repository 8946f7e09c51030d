"""The data dictionary: a field's meaning, kind, bounds and how to write it, in words for notes and for the terminal."""

from __future__ import annotations

from pipeline.vocabulary import KINDS, Field

HOW_TO_WRITE = {
    "code": "write it as it stands on your papers, such as 1042 or W07",
    "name": "write it the same way in every sheet",
    "text": "write it as it is",
    "choice": "write one of the words below",
    "money": "write it as 1250.00 or $1,250.00; (125.00) is a negative amount",
    "feet": "write feet as 120, 120 ft or 120' 6\"",
    "inches": 'write inches as 12, 12" or 1 ft',
    "slope": "write the rise in 12 inches as 6/12, 6:12 or 6",
    "miles": "write miles as 14 or 14 mi",
    "hours": "write hours as 6.5, 6:30, 6h30 or 390 min",
    "quantity": "write a number, with the unit in its own column",
    "number": "write a number such as 0.6",
    "share": "write a share as 0.5 or 50 %",
    "whole": "write a whole number such as 12",
    "season": "write the year in which the season starts, such as 2025",
    "date": "write dates as 2025-11-14, 11/14/2025 or 14-Nov-25",
    "yesno": "write yes or no",
}
"""How a person writes a value, by kind."""


def sheet_title(table: str) -> str:
    """A table's name as a person would write it: `service_calls` is `Service calls`."""
    return table.replace("_", " ").capitalize()


def bounds(field: Field) -> str:
    """The bounds of a field's values with their unit, as `above 0 and at most 2000 ft`; blank where there are none."""
    said = [
        f"{word} {value}"
        for word, value in (("above", field.above), ("at least", field.min), ("at most", field.max))
        if value is not None
    ]
    return " and ".join(said) + (f" {field.unit}" if said and field.unit else "")


def default(field: Field) -> str:
    """What stands for a blank cell; blank where nothing does."""
    return field.default or field.default_text or ""


def _sentence(text: str) -> str:
    return f"{text[0].upper()}{text[1:]}."


def describe(field: Field) -> tuple[str, ...]:
    """What there is to know of a field, a line each: meaning, kind, how to write it, bounds, blank cells, words."""
    lines = [_sentence(field.text), f"Kind: {KINDS[field.kind]}.", _sentence(HOW_TO_WRITE[field.kind])]
    if field.allowed:
        lines.append(f"Words: {', '.join(field.allowed)}.")
    if bounds(field):
        lines.append(f"Range: {bounds(field)}.")
    if field.ref:
        lines.append(f"It stands on the sheet {sheet_title(field.ref)} too.")
    if field.required:
        lines.append("Needed in every row.")
    elif default(field):
        lines.append(f"Where it is left blank: {default(field)}.")
    else:
        lines.append("May be left blank.")
    lines.append(f"Example: {field.example}")
    return tuple(lines)
