"""What the records could have told: a part of cost that no sheet speaks of is not known, and never a zero."""

from __future__ import annotations

from typing import Any

from pipeline.documents.parts import PARTS
from pipeline.documents.results import Results

Record = dict[str, Any]

EVIDENCE: dict[str, tuple[str, ...]] = {
    "labor": ("hours",),
    "materials": ("materials", "purchases"),
    "travel": ("trips", "jobs"),
    "equipment": ("equipment",),
    "service": ("service_calls",),
    "overhead": ("overheads",),
}
"""The sheets that speak of each part. One of them, even empty, makes a zero a zero."""


def unknown_parts(results: Results, season: Record) -> tuple[str, ...]:
    """The parts of a season's cost that are nothing because nothing was handed in about them."""
    level = results.row("measures.season_level")
    if level is None:
        return tuple(part for part, _ in PARTS if season[f"{part}_usd"] is None)
    return tuple(
        part
        for part, _ in PARTS
        if not season[f"{part}_usd"] and not any(level.get(f"has_{sheet}") for sheet in EVIDENCE[part])
    )


def as_known(results: Results, season: Record) -> Record:
    """A season's cost with the parts that are not known left out."""
    return season | {f"{part}_usd": None for part in unknown_parts(results, season)}
