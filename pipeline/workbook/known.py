"""The words by which headings are known: the fields' own names, the other words for them, and the firm's own."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from functools import cache, cached_property, lru_cache
from string import digits

from pipeline.vocabulary import tables
from pipeline.workbook.headings import heading_keys

OWN, EXACT, SYNONYM = 4, 3, 2
"""Weight of a heading that the firm itself has named, of a field's own name, and of another word for it."""


@dataclass(frozen=True)
class OwnHeading:
    """A heading that a firm writes for a field of a table."""

    table: str
    field: str
    text: str


@dataclass(frozen=True, eq=False)
class KnownHeadings:
    """For each table its headings, run together, and the fields that each may mean with its weight."""

    by_table: dict[str, dict[str, dict[str, int]]]
    every: frozenset[str]
    own: frozenset[str] = frozenset()

    @cached_property
    def foreign_digits(self) -> str:
        """A pattern of the digits that no heading has; a zero byte, which no text has, stands for none."""
        foreign = (digit for digit in digits if not any(digit in key for key in self.every))
        return f"[{''.join(foreign)}\\x00]"

    def is_known(self, text: str) -> bool:
        """Whether a text is a heading of any table."""
        return _is_known(self, text)

    def is_own(self, text: str) -> bool:
        """Whether a text is a heading that the firm itself has named."""
        return bool(self.own) and any(key in self.own for key in heading_keys(text))

    def meanings(self, table: str, text: str) -> dict[str, int]:
        """The fields of a table that a heading may mean, with the weight of each."""
        return _meanings(self, text).get(table, {})

    def tables_of(self, texts: Iterable[str]) -> set[str]:
        """The tables of which some of these texts are headings."""
        return {table for text in texts for table in _meanings(self, text)}

    def is_whole(self, table: str, text: str) -> bool:
        """Whether a heading is known to its last word, so that none of them is a unit."""
        return heading_keys(text)[0] in self.by_table[table]


@lru_cache(maxsize=200_000)
def _is_known(known: KnownHeadings, text: str) -> bool:
    return any(key in known.every for key in heading_keys(text))


@lru_cache(maxsize=200_000)
def _meanings(known: KnownHeadings, text: str) -> dict[str, dict[str, int]]:
    keys = [key for key in heading_keys(text) if key in known.every]
    found = {
        table: next((words[key] for key in keys if key in words), None)
        for table, words in (known.by_table.items() if keys else ())
    }
    return {table: meant for table, meant in found.items() if meant is not None}


def _of_table(name: str) -> dict[str, dict[str, int]]:
    known: dict[str, dict[str, int]] = {}
    fields = tables()[name].fields.values()
    for field in fields:
        for also in field.also:
            known.setdefault(heading_keys(also)[0], {})[field.name] = SYNONYM
    for field in fields:
        whole, *short = heading_keys(field.heading)
        known.setdefault(whole, {})[field.name] = EXACT
        for key in short:
            known.setdefault(key, {}).setdefault(field.name, SYNONYM)
    return known


@cache
def _known(own: frozenset[OwnHeading]) -> KnownHeadings:
    by_table = {name: _of_table(name) for name in tables()}
    for word in own:
        # What the firm says of a word is all that it means there.
        by_table[word.table][heading_keys(word.text)[0]] = {word.field: OWN}
    every = frozenset(key for known in by_table.values() for key in known)
    return KnownHeadings(by_table, every, frozenset(heading_keys(word.text)[0] for word in own))


def known_headings(own: Iterable[OwnHeading] = ()) -> KnownHeadings:
    """The known headings, with the firm's own added."""
    return _known(frozenset(own))
