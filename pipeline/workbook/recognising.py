"""Recognise a table by its headings, never by the file's or the sheet's name."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache, lru_cache

from pipeline.vocabulary import Table, tables
from pipeline.workbook.headings import column_letter, heading_keys, heading_unit, is_personal
from pipeline.workbook.readings import Column, LeftOut

Row = Sequence[str | None]

LEAST_FIELDS = 2
"""Fewest headings by which a row can be taken for those of a table."""
CERTAIN_FIELDS = 5
"""So many known headings in one row need no further evidence; with fewer, half of the row's must be known."""
NEAR_MISS_FIELDS = 3
"""So many known headings make a table that lacks one required column worth naming."""
EXACT, SYNONYM = 3, 2
"""Weight of a heading that is a field's own name, and of another word for it."""


@dataclass(frozen=True)
class Match:
    """How a row of headings fits a table: (column, field) pairs, and the required fields that are not there."""

    table: Table
    columns: tuple[tuple[int, str], ...]
    score: int
    missing: tuple[str, ...]


@dataclass(frozen=True)
class Verdict:
    """The table of a row of headings; `problem` is a sentence with a remedy where it is not certain."""

    match: Match
    problem: str | None = None


@cache
def _vocabulary() -> dict[str, dict[str, dict[str, int]]]:
    """For each table its headings, run together, and the fields that each may mean with its weight."""
    out: dict[str, dict[str, dict[str, int]]] = {}
    for table in tables().values():
        known: dict[str, dict[str, int]] = {}
        for field in table.fields.values():
            for also in field.also:
                known.setdefault(heading_keys(also)[0], {})[field.name] = SYNONYM
        for field in table.fields.values():
            whole, *short = heading_keys(field.heading)
            known.setdefault(whole, {})[field.name] = EXACT
            for key in short:
                known.setdefault(key, {}).setdefault(field.name, SYNONYM)
        out[table.name] = known
    return out


@cache
def _all_headings() -> frozenset[str]:
    return frozenset(key for known in _vocabulary().values() for key in known)


@lru_cache(maxsize=200_000)
def is_known(text: str) -> bool:
    """Whether a text is a heading of any table."""
    return any(key in _all_headings() for key in heading_keys(text))


def _meanings(known: dict[str, dict[str, int]], text: str) -> dict[str, int]:
    return next((known[key] for key in heading_keys(text) if key in known), {})


def _assign(options: dict[int, dict[str, int]]) -> dict[str, int]:
    """Each field its column, each column used once: own names first, then as many others as can be placed."""
    taken: dict[str, int] = {}
    for column, meanings in options.items():
        for name, weight in meanings.items():
            if weight == EXACT:
                taken.setdefault(name, column)
    fixed = set(taken)

    def place(column: int, tried: set[str]) -> bool:
        for name in options[column]:
            if name in tried or name in fixed:
                continue
            tried.add(name)
            if name not in taken or place(taken[name], tried):
                taken[name] = column
                return True
        return False

    for column in options:
        if column not in taken.values():
            place(column, set())
    return taken


def match_table(table: Table, headings: dict[int, str]) -> Match:
    """How headings, by their column, fit one table."""
    known = _vocabulary()[table.name]
    options = {column: found for column, text in headings.items() if (found := _meanings(known, text))}
    taken = _assign(options)
    missing = tuple(name for name in table.required if name not in taken)
    score = sum(options[column][name] for name, column in taken.items())
    return Match(table, tuple(sorted((column, name) for name, column in taken.items())), score, missing)


def _own_heading(match: Match, other: Match) -> str:
    """A heading that tells one table from another."""
    names = [field.heading for name, field in match.table.fields.items() if name not in other.table.fields]
    return names[0] if names else next(iter(match.table.fields.values())).heading


def _tie(match: Match, other: Match) -> str:
    return (
        f"its headings fit {match.table.name} and {other.table.name} alike; rename one of them, to "
        f"'{_own_heading(match, other)}' for {match.table.name} or to '{_own_heading(other, match)}' for "
        f"{other.table.name}."
    )


def _lacking(near: Match, whole: Match | None) -> str:
    field = near.table.fields[near.missing[0]]
    text = f"it looks like {near.table.name} but has no column for {field.text}; name that column '{field.heading}'"
    if whole is None:
        return text + "."
    return f"{text}, or, if it is {whole.table.name}, remove the columns that {whole.table.name} does not have."


def _enough(match: Match, counted: int) -> bool:
    """Whether enough of a row's headings are known; one required column alone, and another, prove little."""
    found = len(match.columns)
    if found >= CERTAIN_FIELDS:
        return True
    return found >= LEAST_FIELDS and (2 * found > counted or (2 * found == counted and len(match.table.required) > 1))


def closest(row: Row) -> str | None:
    """For a row that holds no table's headings whole: the table that it comes nearest to, and what it lacks."""
    cells = {column: text for column, text in enumerate(row) if text and heading_keys(text)}
    counted = sum(not is_personal(text) for text in cells.values())
    matches = [match for match in (match_table(table, cells) for table in tables().values()) if _enough(match, counted)]
    match = max(matches, key=lambda match: (len(match.columns), -len(match.missing)), default=None)
    if match is None or 2 * len(match.missing) > len(match.table.required):
        return None
    lacks = ", ".join(f"'{match.table.fields[name].heading}'" for name in match.missing)
    return f"nearest to {match.table.name}, but without columns for {lacks}"


@lru_cache(maxsize=10_000)
def _judge(headings: tuple[tuple[int, str], ...]) -> Verdict | None:
    cells = {column: text for column, text in headings if not is_personal(text)}
    counted = len(cells)
    if len(headings) - counted == 1:
        # One `Name` may be a setting's; beside an address or a phone it is a person's.
        cells = dict(headings)
    matches = [match_table(table, cells) for table in tables().values()]
    likely = [match for match in sorted(matches, key=lambda match: -match.score) if _enough(match, counted)]
    whole = [match for match in likely if not match.missing]
    near = next((m for m in likely if len(m.missing) == 1 and len(m.columns) >= NEAR_MISS_FIELDS), None)
    best = whole[0] if whole else None
    if near and (best is None or len(near.columns) > len(best.columns)):
        return Verdict(near, _lacking(near, best))
    if best is None:
        return None
    rival = whole[1] if len(whole) > 1 and whole[1].score == best.score else None
    return Verdict(best, _tie(best, rival) if rival else None)


def recognise(row: Row) -> Verdict | None:
    """The table whose headings a row holds; None where the row holds no table's."""
    headings = tuple((column, text) for column, text in enumerate(row) if text and heading_keys(text))
    return _judge(headings) if len(headings) >= LEAST_FIELDS else None


def columns_of(
    row: Row, match: Match, units: Row = (), filled: Sequence[int] = ()
) -> tuple[tuple[Column, ...], tuple[LeftOut, ...]]:
    """The columns read, and those left out with the reason.

    `units` is the row of units under the headings, `filled` the columns that hold any cell.
    """
    known = _vocabulary()[match.table.name]
    fields = dict(match.columns)
    by_field = {name: row[column] for column, name in match.columns}
    read, left = [], []
    for index, text in enumerate(row):
        letter = column_letter(index)
        if not text:
            if index in filled:
                left.append(LeftOut("", letter, "no heading"))
            continue
        if index in fields:
            below = units[index] if index < len(units) else None
            unit = heading_unit(text, is_whole=heading_keys(text)[0] in known) or (
                below.casefold().strip("[]() .") if below else None
            )
            read.append(Column(fields[index], text, letter, unit))
            continue
        meanings = [name for name in _meanings(known, text) if name in by_field]
        if is_personal(text):
            why = "personal data"
        elif meanings:
            why = f"'{by_field[meanings[0]]}' was taken for {meanings[0]}"
        else:
            why = "not a heading of this table"
        left.append(LeftOut(text, letter, why))
    return tuple(read), tuple(left)
