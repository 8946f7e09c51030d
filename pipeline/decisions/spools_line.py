"""Light line as it is cut: lengths in sockets."""

from __future__ import annotations

import math
from collections.abc import Iterable
from typing import Any

from pipeline.decisions.policy import LEAST_REMNANT_FT
from pipeline.statistics.cutting_plan import CuttingPlan
from pipeline.units import INCHES_IN_A_FOOT

WITHOUT_SPACING_IN = 1.0
"""A line without a spacing is cut to the inch."""
_NEARLY = 1e-6
"""Sockets by which a length may miss a whole number and still be it."""
CENTS = 100
"""Prices are cut in whole cents."""


def spacing_of(spacing_in: Any) -> float:
    """Inches from socket to socket, one inch where a line has none."""
    return float(spacing_in) if spacing_in else WITHOUT_SPACING_IN


def to_sockets(feet: float, spacing_in: float) -> int:
    """Sockets of a piece: it is cut behind a socket, so a length between two is rounded up."""
    return max(1, math.ceil(feet * INCHES_IN_A_FOOT / spacing_in - _NEARLY))


def on_spool(feet: float, spacing_in: float) -> int:
    """Whole sockets on a spool."""
    return math.floor(feet * INCHES_IN_A_FOOT / spacing_in + _NEARLY)


def to_feet(sockets: float, spacing_in: float) -> float:
    """Feet of a number of sockets."""
    return sockets * spacing_in / INCHES_IN_A_FOOT


def split_long(lengths: Iterable[int], longest: int) -> list[int]:
    """Lengths with each one longer than a spool as whole spools and a rest, which are joined on the house."""
    out: list[int] = []
    for length in lengths:
        whole, rest = divmod(length, longest)
        out += [longest] * whole + ([rest] if rest else [])
    return out


def kept_and_lost(plan: CuttingPlan, spacing_in: float) -> tuple[int, int]:
    """Sockets left over on lengths that are kept as stock, and on shorter ones (LEAST_REMNANT_FT)."""
    least = to_sockets(LEAST_REMNANT_FT, spacing_in)
    kept = sum(length * number for length, number in plan.remnants.items() if length >= least)
    lost = sum(length * number for length, number in plan.remnants.items() if length < least)
    return kept, lost
