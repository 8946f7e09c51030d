"""Records as plain rows of fractions, and cents by largest remainder: what the second costing stands on."""

from __future__ import annotations

from collections.abc import Hashable, Mapping
from decimal import Decimal
from fractions import Fraction
from typing import Any, TypeVar

from support.tables import Season

ZERO = Fraction(0)
DUST = 10**9
"""Remainders that agree to a billionth of a dollar tie: hours are kept to 12 decimals, so that two shares that are
equal in thirds of an hour are not quite equal in the records."""

Row = dict[str, Any]
Job = tuple[str, str]
"""Branch and number."""
Key = TypeVar("Key", bound=Hashable)


def rows(season: Season, name: str, *, refused: bool = False) -> list[Row]:
    """The rows of a table, exact numbers as fractions; none where the table was not handed in."""
    frames = season.refused if refused else season.records
    frame = frames.get(name)
    if frame is None:
        return []
    return [{key: Fraction(v) if isinstance(v, Decimal) else v for key, v in row.items()} for row in frame.to_dicts()]


def handed_in(season: Season, name: str) -> bool:
    """Whether a sheet of the table was handed in, were all its rows refused."""
    return name in season.records or name in season.refused


def setting(season: Season, key: str) -> Fraction | None:
    """A setting's number, exact; None where it was not given and has no default."""
    value = season.settings.number(key)
    return None if value is None else Fraction(value)


def job_of(row: Row) -> Job:
    """The job that a row belongs to."""
    return row["branch"], row["job_no"]


def half_away(cents: Fraction) -> int:
    """A number of cents rounded, half away from zero."""
    return int(abs(cents) + Fraction(1, 2)) * (1 if cents >= 0 else -1)


def clean(usd: Fraction) -> Fraction:
    """Dollars without the dust of division."""
    return Fraction(round(usd * DUST), DUST)


def in_cents(usd: Fraction) -> Decimal:
    """Dollars rounded to cents."""
    return Decimal(half_away(clean(usd) * 100)) / 100


def largest_remainder(column: Mapping[Key, Fraction], total: Decimal | None = None) -> dict[Key, Decimal]:
    """Dollars in cents that add up to a total, else to their rounded sum: the largest remainders get what is over."""
    dusted = {key: clean(usd) for key, usd in column.items()}
    floors = {key: usd * 100 // 1 for key, usd in dusted.items()}
    whole = half_away(sum(column.values(), ZERO) * 100) if total is None else int(total * 100)
    over = whole - sum(floors.values())
    order = sorted(column, key=lambda key: (floors[key] - dusted[key] * 100, key))
    return {key: Decimal(floors[key] + (place < over)) / 100 for place, key in enumerate(order)}
