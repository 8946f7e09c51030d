"""Recognise a table by its headings, never by the file's or the sheet's name."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache

from pipeline.vocabulary import Table, tables
from pipeline.workbook.headings import column_letter, heading_keys, heading_unit, is_personal
from pipeline.workbook.known import EXACT, OWN, KnownHeadings, known_headings
from pipeline.workbook.readings import Column, LeftOut

Row = Sequence[str | None]

LEAST_FIELDS = 2
"""Fewest headings by which a row can be taken for those of a table."""
CERTAIN_FIELDS = 5
"""So many known headings in one row need no further evidence; with fewer, half of the row's must be known."""
NEAR_MISS_FIELDS = 3
"""So many known headings make a table that lacks one required column worth naming."""
OTHERS_NAMED = 2
"""Tables besides the one recognised that are named as what a sheet might have been."""


@dataclass(frozen=True)
class Match:
    """How a row of headings fits a table: (column, field) pairs, and the required fields that are not there."""

    table: Table
    columns: tuple[tuple[int, str], ...]
    score: int
    missing: tuple[str, ...]


@dataclass(frozen=True)
class Verdict:
    """The table of a row of headings; `problem` is a sentence with a remedy where it is not certain.

    `others` are the tables that the headings fit less well.
    """

    match: Match
    problem: str | None = None
    others: tuple[Match, ...] = ()


def _assign(options: dict[int, dict[str, int]]) -> dict[str, int]:
    """Each field its column, each column used once: own names first, then as many others as can be placed."""
    taken: dict[str, int] = {}
    for named in (OWN, EXACT):
        for column, meanings in options.items():
            for name, weight in meanings.items():
                if weight == named and column not in taken.values():
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


def match_table(table: Table, headings: dict[int, str], known: KnownHeadings) -> Match:
    """How headings, by their column, fit one table."""
    options = {column: found for column, text in headings.items() if (found := known.meanings(table.name, text))}
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


def closest(row: Row, known: KnownHeadings) -> str | None:
    """For a row that holds no table's headings whole: the table that it comes nearest to, and what it lacks."""
    cells = {column: text for column, text in enumerate(row) if text and heading_keys(text)}
    counted = sum(not is_personal(text) for text in cells.values())
    every = (match_table(table, cells, known) for table in tables().values())
    matches = [match for match in every if _enough(match, counted)]
    match = max(matches, key=lambda match: (len(match.columns), -len(match.missing)), default=None)
    if match is None or 2 * len(match.missing) > len(match.table.required):
        return None
    return f"nearest to {match.table.name}, but without columns for {_lacks(match)}"


def _lacks(match: Match) -> str:
    return ", ".join(f"'{match.table.fields[name].heading}'" for name in match.missing)


@lru_cache(maxsize=10_000)
def _judge(headings: tuple[tuple[int, str], ...], known: KnownHeadings) -> Verdict | None:
    # A word that the firm itself has named is no personal data, whatever it sounds like.
    cells = {c: text for c, text in headings if not is_personal(text) or known.is_own(text)}
    counted = len(cells)
    if len(headings) - counted == 1:
        # One `Name` may be a setting's; beside an address or a phone it is a person's.
        cells = dict(headings)
    named = known.tables_of(cells.values())
    matches = [match_table(table, cells, known) for name, table in tables().items() if name in named]
    likely = [match for match in sorted(matches, key=lambda match: -match.score) if _enough(match, counted)]
    whole = [match for match in likely if not match.missing]
    near = next((m for m in likely if len(m.missing) == 1 and len(m.columns) >= NEAR_MISS_FIELDS), None)
    best = whole[0] if whole else None
    if near and (best is None or len(near.columns) > len(best.columns)):
        return Verdict(near, _lacking(near, best))
    if best is None:
        return None
    rival = whole[1] if len(whole) > 1 and whole[1].score == best.score else None
    others = tuple(m for m in likely if m is not best and len(m.missing) <= 1)[:OTHERS_NAMED]
    return Verdict(best, _tie(best, rival) if rival else None, others)


def recognise(row: Row, known: KnownHeadings | None = None) -> Verdict | None:
    """The table whose headings a row holds; None where the row holds no table's."""
    headings = tuple((column, text) for column, text in enumerate(row) if text and heading_keys(text))
    return _judge(headings, known or known_headings()) if len(headings) >= LEAST_FIELDS else None


def _by(match: Match, row: Row) -> str:
    return f"{match.table.name} by " + ", ".join(f"'{row[place]}'" for place, _ in match.columns)


def explain(verdict: Verdict, row: Row) -> str:
    """Which table headings were taken for, by which of them, and what else they might have been."""
    others = [
        _by(other, row) + (f", which has no {_lacks(other)}" if other.missing else ", which are fewer")
        for other in verdict.others
    ]
    else_it = f"; else it might have been {'; or '.join(others)}" if others else ""
    return f"taken for {_by(verdict.match, row)}{else_it}"


def columns_of(
    row: Row, match: Match, known: KnownHeadings | None = None, units: Row = (), filled: Sequence[int] = ()
) -> tuple[tuple[Column, ...], tuple[LeftOut, ...]]:
    """The columns read, and those left out with the reason.

    `units` is the row of units under the headings, `filled` the columns that hold any cell.
    """
    known, table = known or known_headings(), match.table.name
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
            unit = heading_unit(text, is_whole=known.is_whole(table, text)) or (
                below.casefold().strip("[]() .") if below else None
            )
            read.append(Column(fields[index], text, letter, unit))
            continue
        meanings = [name for name in known.meanings(table, text) if name in by_field]
        if is_personal(text):
            why = "personal data"
        elif meanings:
            why = f"'{by_field[meanings[0]]}' was taken for {meanings[0]}"
        else:
            why = "not a heading of this table"
        left.append(LeftOut(text, letter, why))
    return tuple(read), tuple(left)
