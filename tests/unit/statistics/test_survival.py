"""Waits of which some are not over."""

from __future__ import annotations

import numpy as np
import pytest
from scipy import stats

from pipeline.statistics.survival import quantile_of_waits, waiting_shares

ALL = np.array([True] * 4)


def test_without_open_waits_it_is_the_plain_share_and_the_plain_median() -> None:
    waits = waiting_shares(np.array([0.0, 2, 4, 9]), ALL)
    assert waits.share.tolist() == pytest.approx([0.75, 0.5, 0.25, 0])
    assert quantile_of_waits(waits, 0.5).value == 3
    assert quantile_of_waits(waits, 0.9).value == 9


def test_an_open_wait_counts_as_waiting_and_then_no_more() -> None:
    """1, 2 (open), 3: 2/3 still wait after 1; of the one left at 3 none."""
    waits = waiting_shares(np.array([1.0, 2, 3]), np.array([True, False, True]))
    assert waits.share.tolist() == pytest.approx([2 / 3, 0])
    assert quantile_of_waits(waits, 0.5).value == 3


def test_what_the_records_do_not_reach_is_not_known() -> None:
    waits = waiting_shares(np.array([1.0, 5, 5]), np.array([True, False, False]))
    found = quantile_of_waits(waits, 0.5)
    assert (found.value, found.high) == (None, None)


def test_no_waits_and_open_waits_alone_give_nothing() -> None:
    for times in (np.array([]), np.array([3.0, 4])):
        found = quantile_of_waits(waiting_shares(times, np.zeros(len(times), bool)), 0.5)
        assert (found.value, found.low, found.high) == (None, None, None)


def test_a_negative_wait_is_refused() -> None:
    with pytest.raises(ValueError, match="0 or more"):
        waiting_shares(np.array([-1.0]), np.array([True]))


@pytest.mark.filterwarnings("ignore:The confidence interval is undefined")
def test_shares_and_limits_are_those_of_another_library_on_random_waits() -> None:
    rng = np.random.default_rng(3)
    for _ in range(20):
        times, ended = rng.integers(0, 12, 40).astype(float), rng.random(40) < 0.7
        waits = waiting_shares(times, ended)
        other = stats.ecdf(stats.CensoredData(uncensored=times[ended], right=times[~ended])).sf
        limits = other.confidence_interval(method="log-log")
        for at, share, low, high in zip(waits.times, waits.share, waits.low, waits.high, strict=True):
            assert share == pytest.approx(float(other.evaluate(at)))
            if share > 0:
                assert low == pytest.approx(float(limits.low.evaluate(at)))
                assert high == pytest.approx(float(limits.high.evaluate(at)))
