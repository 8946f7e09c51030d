"""Waits of which some are not over, against a published example."""

from __future__ import annotations

import numpy as np
import pytest

from pipeline.statistics.survival import quantile_of_waits, waiting_shares

# Freireich et al. 1963: weeks in remission of 21 patients on 6-mercaptopurine; those marked were still in remission.
WEEKS = "6 6 6 6+ 7 9+ 10 10+ 11+ 13 16 17+ 19+ 20+ 22 23 25+ 32+ 32+ 34+ 35+"


def test_remissions_under_6_mercaptopurine() -> None:
    """Shares and Greenwood's errors as the textbooks print them (Cox and Oakes 1984; Klein and Moeschberger 2003), and
    the log-log limits that statistical packages print (mem.); median 23."""
    marks = WEEKS.split()
    waits = waiting_shares(
        np.array([float(mark.rstrip("+")) for mark in marks]), np.array([not mark.endswith("+") for mark in marks])
    )
    assert waits.times.tolist() == [6, 7, 10, 13, 16, 22, 23]
    assert waits.at_risk.tolist() == [21, 17, 15, 12, 11, 7, 6]
    assert waits.share == pytest.approx([0.857, 0.807, 0.753, 0.690, 0.627, 0.538, 0.448], abs=5.1e-4)
    assert waits.error == pytest.approx([0.0764, 0.0869, 0.0963, 0.1068, 0.1141, 0.1282, 0.1346], abs=5.1e-5)
    assert waits.low == pytest.approx([0.6197, 0.5631, 0.5032, 0.4316, 0.3675, 0.2678, 0.1881], abs=5.1e-5)
    assert waits.high == pytest.approx([0.9516, 0.9228, 0.8894, 0.8491, 0.8049, 0.7468, 0.6801], abs=5.1e-5)
    median = quantile_of_waits(waits, 0.5)
    assert (median.value, median.low, median.high) == (23, 13, None)
