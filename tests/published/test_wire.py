"""Wire against the electrical code's table and the trade's formula; evenly spread lamps against summed ladders."""

from __future__ import annotations

import numpy as np
import pytest

from pipeline.decisions.policy import CONTINUOUS_SHARE
from pipeline.statistics.wire import (
    circular_mils,
    end_drop_volts,
    longest_spread_feet,
    ohms_per_1000_ft,
    spread_drop_volts,
)

# NEC chapter 9, table 8: uncoated stranded copper at 75 C, ohms per 1,000 ft; its areas in
# circular mils are from memory.
TABLE_8 = {18: (7.95, 1_620), 16: (4.99, 2_580), 14: (3.14, 4_110), 12: (1.98, 6_530)}


@pytest.mark.parametrize(("gauge", "ohms", "area"), [(gauge, *row) for gauge, row in TABLE_8.items()])
def test_a_wire_is_that_of_the_table(gauge: int, ohms: float, area: float) -> None:
    assert ohms_per_1000_ft(gauge) == ohms
    assert circular_mils(gauge) == pytest.approx(area, rel=0.005)
    # The trade's K of 12.9 over the area is the table's resistance within 1 %, which is what holds gauges beyond it.
    assert 12.9 * 1_000 / circular_mils(gauge) == pytest.approx(ohms, rel=0.01)


def test_the_diameter_of_the_american_wire_gauge_is_its_definition() -> None:
    """36 AWG is .005 in and 0000 (written -3) .46 in: diameters of 5 and 460 thousandths."""
    assert circular_mils(36) == pytest.approx(25)
    assert circular_mils(-3) == pytest.approx(460**2)


def test_a_gauge_beyond_the_table_has_the_resistance_of_its_area() -> None:
    """22 AWG: .005 x 92^(14 / 39) = .02535 in, 642.5 circular mils, 12.9 x 1,000 / 642.5 = 20.08."""
    assert ohms_per_1000_ft(22) == pytest.approx(20.08, rel=0.001)


def test_the_drop_formula_s_worked_example() -> None:
    """2 K I L / CM with 20 A over 100 ft of 12 AWG: 7.9 V."""
    assert end_drop_volts(20, 100, 12) == pytest.approx(7.9, abs=0.05)


def test_80_percent_of_a_15_a_breaker_is_1440_w() -> None:
    """NEC 210.20(A): 12 A, at 120 V 1,440 W."""
    amps = 15 * CONTINUOUS_SHARE
    assert amps == pytest.approx(12)
    assert amps * 120 == pytest.approx(1_440)


def ladder(lamps: int, amps_each: float, feet: float, ohms_per_ft: float) -> float:
    """Volts lost at the far lamp: each piece of both conductors carries the current of the lamps beyond it."""
    piece = feet / lamps * ohms_per_ft
    return sum(2 * piece * amps_each * (lamps - before) for before in range(lamps))


@pytest.mark.parametrize(("lamps", "feet"), [(1, 1.0), (10, 10.0), (200, 200.0), (384, 290.0)])
def test_evenly_spread_lamps_lose_half_of_the_load_at_the_end_and_one_lamp_s_share_more(
    lamps: int, feet: float
) -> None:
    """Pieces carry N, N - 1 ... 1 lamps: N (N + 1) / 2 in all, so (1 + 1 / N) / 2 of N pieces that carry all N."""
    each = 0.6 / 120
    summed = ladder(lamps, each, feet, 7.95 / 1_000)
    formula = spread_drop_volts(lamps * each, feet, 18)
    assert summed == pytest.approx(formula * (1 + 1 / lamps), rel=1e-12)


def test_lamps_that_dim_as_the_voltage_falls_lose_no_more_than_the_formula_says() -> None:
    """200 lamps as resistors of 120 V, 0.6 W (24,000 ohms) every foot of 18 AWG: the node equations solved."""
    lamps, piece, lamp = 200, 2 * 7.95 / 1_000, 120**2 / 0.6
    g = np.diag(np.full(lamps, 2 / piece + 1 / lamp))
    g[-1, -1] = 1 / piece + 1 / lamp
    g -= np.diag(np.full(lamps - 1, 1 / piece), 1) + np.diag(np.full(lamps - 1, 1 / piece), -1)
    fed = np.zeros(lamps)
    fed[0] = 120 / piece
    lost = 120 - np.linalg.solve(g, fed)[-1]
    formula = spread_drop_volts(lamps * 0.6 / 120, lamps, 18)
    assert lost < formula * (1 + 1 / lamps)
    assert lost == pytest.approx(formula, rel=0.02)


def test_the_longest_line_loses_just_the_share_that_was_asked_for() -> None:
    feet = longest_spread_feet(0.6 / 120, 120, 0.03, 18)
    assert spread_drop_volts(feet * 0.6 / 120, feet, 18) == pytest.approx(3.6)
    assert longest_spread_feet(0, 120, 0.03, 18) == float("inf")
