"""The learning curve against Wright's table, and against the other model that goes by that name."""

from __future__ import annotations

import numpy as np
import pytest

from pipeline.statistics.learning import lot_middles, progress_ratio, unit_hours


def test_the_table_of_an_80_percent_curve() -> None:
    """T. P. Wright 1936, J. Aeronautical Sciences 3: hours of units 1 to 10, and their sum 6.315 (from memory)."""
    table = [1, 0.8, 0.7021, 0.64, 0.5956, 0.5617, 0.5345, 0.512, 0.4929, 0.4765]
    hours = unit_hours(1.0, 0.8, np.arange(1.0, 11))
    assert hours == pytest.approx(table, abs=5e-5)
    assert hours.sum() == pytest.approx(6.315, abs=5e-4)


def test_the_unit_model_is_not_the_cumulative_average_model() -> None:
    """100 h and 80 %: 80, 64, 51.2 and 40.96 h at units 2, 4, 8 and 16. Read as averages over all units so far they
    are the other model, in which two units take 160 h and the second 60; here the second takes 80 and two take 180."""
    hours = unit_hours(100.0, 0.8, np.array([2.0, 4, 8, 16]))
    assert hours == pytest.approx([80, 64, 51.2, 40.96])
    assert unit_hours(100.0, 0.8, np.array([1.0, 2])).sum() == pytest.approx(180)


def test_the_progress_ratio_is_what_a_doubling_leaves() -> None:
    """log2 .8 = -.3219281."""
    assert progress_ratio(-0.3219281) == pytest.approx(0.8)
    assert progress_ratio(0.0) == 1.0


def test_a_lot_s_middle_is_half_of_it_after_all_before() -> None:
    """Lots of 100, 60 and 40: 50, 100 + 30, 160 + 20."""
    assert lot_middles(np.array([100.0, 60, 40])) == pytest.approx([50, 130, 180])
