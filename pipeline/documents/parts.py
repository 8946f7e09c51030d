"""The six parts of a job's cost, in the order in which they are always named, and ratios of them."""

from __future__ import annotations

from collections.abc import Iterable
from decimal import Decimal
from statistics import median
from typing import Any

PARTS: tuple[tuple[str, str], ...] = (
    ("labor", "labor"),
    ("materials", "materials"),
    ("travel", "travel"),
    ("equipment", "equipment"),
    ("service", "service"),
    ("overhead", "overhead"),
)
"""Key and word of each part; its column in the store is `<key>_usd`."""


def exact(value: Decimal | float) -> Decimal:
    """A number as a Decimal, a float by its shortest text."""
    return value if isinstance(value, Decimal) else Decimal(str(value))


def share_of(part: Decimal | float | None, whole: Decimal | float | None) -> Decimal | None:
    """A part over its whole; None where either is not known or the whole is nothing."""
    if part is None or not whole:
        return None
    return exact(part) / exact(whole)


def per_foot(amount: Decimal | float | None, feet: Decimal | float | None) -> Decimal | None:
    """An amount over feet; None where either is not known or there are no feet."""
    return share_of(amount, feet)


def more_than(value: Decimal | float | None, base: Decimal | float | None) -> Decimal | None:
    """By which share a value is more than its base; None where that cannot be said."""
    ratio = share_of(value, base)
    return None if ratio is None else ratio - 1


def total(values: Iterable[Any]) -> Any | None:
    """The sum of the known values; None where none is known."""
    known = [value for value in values if value is not None]
    return sum(known[1:], known[0]) if known else None


def median_per_foot(jobs: list[dict[str, Any]]) -> dict[str, Decimal]:
    """The median job's dollars per foot of each part, and of the price charged."""
    columns = {key: f"{key}_usd" for key, _ in PARTS} | {"charged": "invoiced_usd"}
    out = {}
    for key, name in columns.items():
        known = [value for job in jobs if (value := per_foot(job[name], job["feet"])) is not None]
        if known:
            out[key] = median(known)
    return out
