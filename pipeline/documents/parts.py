"""The six parts of a job's cost, in the order in which they are always named, and ratios of them."""

from __future__ import annotations

from collections.abc import Iterable
from decimal import Decimal
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


PEER_TRAITS: tuple[tuple[str, ...], ...] = (("work", "terms", "stories"), ("work", "terms"), ())
"""What jobs must have in common to be held against each other: as much as leaves enough of them."""
PEERS_NEEDED = 8
"""Jobs from which an expectation is made; fewer would be the chance of a few houses."""


def expected_per_foot(job: dict[str, Any], jobs: list[dict[str, Any]]) -> dict[str, Decimal]:
    """What the firm's other jobs like this one came to: dollars a foot of each part, and of the price charged.

    Sums over sums of the jobs with the same work, terms and stories, of fewer traits where those are too few.
    """
    own = (job["branch"], job["job_no"])
    others = [other for other in jobs if (other["branch"], other["job_no"]) != own and other["feet"]]
    peers: list[dict[str, Any]] = []
    for traits in PEER_TRAITS:
        peers = [other for other in others if all(other[trait] == job[trait] for trait in traits)]
        if len(peers) >= PEERS_NEEDED:
            break
    columns = {key: f"{key}_usd" for key, _ in PARTS} | {"charged": "invoiced_usd"}
    out = {}
    for key, name in columns.items():
        known = [other for other in peers if other[name] is not None]
        ratio = share_of(total(other[name] for other in known), total(other["feet"] for other in known))
        if ratio is not None:
            out[key] = ratio
    return out
