"""Resistance of copper wire, and the voltage that a line of lamps loses along it."""

from __future__ import annotations

import math

STRANDED_OHMS_PER_1000_FT = {18: 7.95, 16: 4.99, 14: 3.14, 12: 1.98}
"""Uncoated stranded copper at 75 C (167 F), by gauge: NEC chapter 9, table 8."""
COPPER_K = 12.9
"""Ohms of a foot of copper wire of one circular mil: the constant of the trade's drop formula 2 K I L / CM."""


def circular_mils(gauge: int) -> float:
    """Area of a wire in circular mils: the square of its diameter in thousandths of an inch.

    The American wire gauge sets the diameter at .005 x 92^((36 - gauge) / 39) inches (ASTM B258).
    """
    return float((0.005 * 92 ** ((36 - gauge) / 39) * 1000) ** 2)


def ohms_per_1000_ft(gauge: int) -> float:
    """Resistance of one conductor, ohms per 1,000 ft: table 8 where it has the gauge, else K over circular mils."""
    known = STRANDED_OHMS_PER_1000_FT.get(gauge)
    return COPPER_K * 1000 / circular_mils(gauge) if known is None else known


def spread_drop_volts(amps: float, feet: float, gauge: int) -> float:
    """Volts lost between the plug and the far end of a line whose lamps are evenly spread.

    The current falls evenly from `amps` at the plug to nothing at the end, so that the sum of current x resistance over
    both conductors, the integral of 2 r I (1 - x / L) over x, is r I L: that of the whole load at half the distance.
    N single lamps lose (1 + 1 / N) times that.
    """
    return amps * ohms_per_1000_ft(gauge) / 1000 * feet


def end_drop_volts(amps: float, feet: float, gauge: int) -> float:
    """Volts lost were the whole load at the far end: 2 K I L / CM."""
    return 2 * COPPER_K * amps * feet / circular_mils(gauge)


def longest_spread_feet(amps_per_ft: float, volts: float, share: float, gauge: int) -> float:
    """Feet of evenly spread lamps at which the far end has lost a share of the voltage; endless for no current."""
    per_square_ft = amps_per_ft * ohms_per_1000_ft(gauge) / 1000
    return math.sqrt(share * volts / per_square_ft) if per_square_ft > 0 else math.inf
