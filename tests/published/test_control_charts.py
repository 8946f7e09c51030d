"""Control charts of published examples."""

from __future__ import annotations

import numpy as np
import pytest

from pipeline.statistics.control_charts import u_chart


def test_defects_on_wafers_of_which_28_is_on_the_limit() -> None:
    """NIST/SEMATECH e-Handbook 6.3.3.1, c chart: centre 16, limits 4 and 28; the 28 is inside, the 31 alone is out."""
    counts = np.array([16, 14, 28, 16, 12, 20, 10, 12, 10, 17, 19, 17, 14, 16, 15, 13, 14, 16, 11, 20, 11, 19, 16, 31,
                       13], float)  # fmt: skip
    chart = u_chart(counts, np.ones(25))
    assert chart.centre == 16
    assert (chart.low[0], chart.high[0]) == (4, 28)
    assert counts[chart.above].tolist() == [31]
    assert not chart.below.any()


def test_samples_of_five() -> None:
    """Montgomery: 20 samples of 5 units, centre 1.93, limits 3.79 and .07."""
    counts = np.array([10, 12, 8, 14, 10, 16, 11, 7, 10, 15, 9, 5, 7, 11, 12, 6, 8, 10, 7, 5], float)
    chart = u_chart(counts, np.full(20, 5.0))
    assert (chart.centre, chart.high[0], chart.low[0]) == pytest.approx((1.93, 3.79, 0.07), abs=0.005)
    assert not (chart.above | chart.below).any()


def test_samples_of_varying_size() -> None:
    """Montgomery: 153 defects in 107.5 units, centre 1.4233; the first limit 2.555."""
    counts = np.array([14, 12, 20, 11, 7, 10, 21, 16, 19, 23], float)
    units = np.array([10, 8, 13, 10, 9.5, 10, 12, 10.5, 12, 12.5])
    chart = u_chart(counts, units)
    assert chart.centre == pytest.approx(1.4233, abs=5.1e-5)
    assert chart.high[0] == pytest.approx(2.555, abs=5.1e-4)
