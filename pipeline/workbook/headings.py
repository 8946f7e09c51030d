"""Recognise a table by its headings, never by the file's or the sheet's name."""

from __future__ import annotations

import re
from dataclasses import dataclass
from functools import cache

from pipeline.vocabulary import Table, tables
from pipeline.workbook.readings import Column, LeftOut

Row = list[str | None]

LEAST_FIELDS = 2
"""Fewest fields by which a row can be taken for headings."""
EXACT, SYNONYM = 3, 2
"""Weight of a heading that is a field's own name, and of another word for it."""

_UNIT = re.compile(r"[\[(]([^\])]*)[\])]")
_NOT_WORD = re.compile(r"[^a-z0-9#/]+")
_PERSONAL = frozenset(
    {
        *("name", "customer name", "client name", "customers name", "first name", "last name", "contact name"),
        *("worker name", "employee name", "contact", "address", "street", "street address", "property address"),
        *("site address", "city", "town", "zip", "zip code", "phone", "phone no", "telephone", "tel", "mobile"),
        *("cell", "email", "e mail", "mail"),
    }
)


def normalise_heading(text: str) -> str:
    """A heading without case, punctuation and a unit in brackets; `Job No.`, `job #` and `Job number` are one."""
    words = _NOT_WORD.sub(" ", _UNIT.sub(" ", text.casefold())).replace("#", " no ").split()
    words = ["no" if word in ("number", "nr", "num") else word for word in words]
    return " ".join(words)


def heading_unit(text: str) -> str | None:
    """The unit in a heading's brackets: `Hours [min]` has `min`."""
    found = _UNIT.search(text)
    return found.group(1).strip().casefold() or None if found else None


def column_letter(index: int) -> str:
    """A column's letter: 0 is A, 26 is AA."""
    letters = ""
    index += 1
    while index:
        index, rest = divmod(index - 1, 26)
        letters = chr(65 + rest) + letters
    return letters


@cache
def _names(table: str) -> dict[str, tuple[str, int]]:
    """Normal headings of a table: the field and the weight of each."""
    out: dict[str, tuple[str, int]] = {}
    fields = tables()[table].fields.values()
    for field in fields:
        for also in field.also:
            out.setdefault(normalise_heading(also), (field.name, SYNONYM))
    for field in fields:
        out[normalise_heading(field.name.replace("_", " "))] = (field.name, EXACT)
        # `spacing_in` is written as "spacing", or as "spacing in".
        out.setdefault(normalise_heading(re.sub(r"_(in|no)$", "", field.name).replace("_", " ")), (field.name, SYNONYM))
    return out


@dataclass(frozen=True)
class Match:
    """How a row of headings fits a table."""

    table: Table
    columns: tuple[tuple[int, str], ...]
    score: float
    missing: tuple[str, ...]


def _match(table: Table, names: dict[int, str]) -> Match:
    known = _names(table.name)
    taken: dict[str, tuple[int, int]] = {}
    for index, name in names.items():
        hit = known.get(name)
        if hit and (hit[0] not in taken or hit[1] > taken[hit[0]][0]):
            taken[hit[0]] = (hit[1], index)
    missing = tuple(name for name in table.required if name not in taken)
    unknown = len(names) - len(taken)
    score = sum(weight for weight, _ in taken.values()) - unknown - 4 * len(missing)
    return Match(table, tuple(sorted((index, field) for field, (_, index) in taken.items())), score, missing)


def _heading_names(row: Row) -> dict[int, str]:
    names = {}
    for index, cell in enumerate(row):
        if cell and not cell.replace(".", "").replace(",", "").isdigit():
            name = normalise_heading(cell)
            if name and name not in _PERSONAL:
                names[index] = name
    return names


def recognise(row: Row) -> tuple[Match | None, Match | None]:
    """The table whose headings a row holds, and the one that comes next.

    None where no table has all its required fields there; a table of which one is missing comes second only.
    """
    names = _heading_names(row)
    if len(names) < LEAST_FIELDS:
        return None, None
    matches = sorted((_match(table, names) for table in tables().values()), key=lambda m: -m.score)
    whole = [match for match in matches if not match.missing and len(match.columns) >= LEAST_FIELDS]
    if not whole:
        return None, next((m for m in matches if len(m.columns) >= LEAST_FIELDS + 1 and len(m.missing) == 1), None)
    return whole[0], whole[1] if len(whole) > 1 else None


def columns_of(row: Row, match: Match) -> tuple[tuple[Column, ...], tuple[LeftOut, ...]]:
    """The columns read and those left out, with the reason."""
    fields = dict(match.columns)
    read, left = [], []
    for index, cell in enumerate(row):
        if not cell:
            continue
        if index in fields:
            read.append(Column(fields[index], cell, column_letter(index), heading_unit(cell)))
        else:
            personal = normalise_heading(cell) in _PERSONAL
            left.append(LeftOut(cell, column_letter(index), "personal data" if personal else "not a heading we know"))
    return tuple(read), tuple(left)
