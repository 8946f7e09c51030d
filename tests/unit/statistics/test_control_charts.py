"""The u chart's edges."""

from __future__ import annotations

import numpy as np
import pytest

from pipeline.statistics.control_charts import u_chart


def test_a_rate_on_its_limit_is_inside_and_the_next_one_is_out() -> None:
    """Centre 4 over exposures of 1: limits 4 +- 6; 10 is on the limit, 11 beyond."""
    on = u_chart(np.array([10.0, 1, 1]), np.ones(3))
    assert on.centre == pytest.approx(4)
    assert not on.above.any()
    out = u_chart(np.array([11.0, 1, 0]), np.ones(3))
    assert out.above.tolist() == [True, False, False]


def test_a_lower_limit_is_never_below_nothing_and_a_week_can_lie_below_it() -> None:
    """Centre 16 over exposures of 1: lower limit 4; over .25 it would be 16 - 24."""
    chart = u_chart(np.array([3.0, 29, 16, 4]), np.array([1.0, 1, 1, 0.25]))
    assert chart.centre == pytest.approx(16)
    assert chart.low.tolist() == pytest.approx([4, 4, 4, 0])
    assert chart.below.tolist() == [True, False, False, False]


def test_clusters_widen_the_limits_by_the_root_of_their_factor() -> None:
    plain, wide = (u_chart(np.array([4.0, 4]), np.ones(2), factor) for factor in (1.0, 4.0))
    assert wide.high[0] - 4 == pytest.approx(2 * (plain.high[0] - 4))


def test_no_exposure_is_refused() -> None:
    with pytest.raises(ValueError, match="exposure over 0"):
        u_chart(np.array([1.0]), np.zeros(1))
