"""Failure rates with limits."""

from __future__ import annotations

import polars as pl
import pytest

from pipeline.statistics.rates import add_failure_limits, chance_of_more


def counts(connections: int | None, nights: int | None, failed: int | None) -> pl.DataFrame:
    return pl.DataFrame(
        {"connections": [connections], "connection_nights": [nights], "failed_points": [failed]},
        schema=dict.fromkeys(("connections", "connection_nights", "failed_points"), pl.Int64),
    )


def test_rate_and_exact_limits_by_connection_and_night() -> None:
    """4 failed of 40 connections in 2,000 nights: .1 each, 2 per 1,000 nights, Garwood's 1.0899 and 10.2416 halved."""
    row = add_failure_limits(counts(40, 2_000, 4)).row(0, named=True)
    assert row["per_connection"] == pytest.approx(0.1)
    assert row["per_1000_connection_nights"] == pytest.approx(2.0)
    assert (row["low"], row["high"]) == pytest.approx((0.54495, 5.1208), abs=5e-5)


def test_no_failure_is_a_rate_of_nothing_with_an_upper_limit() -> None:
    """Garwood's upper limit of 0 is 3.6889, over 2 thousand nights."""
    row = add_failure_limits(counts(40, 2_000, 0)).row(0, named=True)
    assert (row["per_connection"], row["low"]) == (0, 0)
    assert row["high"] == pytest.approx(3.6889 / 2, abs=5e-5)


@pytest.mark.parametrize("row", [(40, 2_000, None), (0, 0, 3), (None, None, 3)])
def test_what_is_not_known_is_null_and_not_nothing(row: tuple[int | None, int | None, int | None]) -> None:
    limited = add_failure_limits(counts(*row)).row(0, named=True)
    assert (limited["per_1000_connection_nights"], limited["low"], limited["high"]) == (None, None, None)


def test_the_chance_of_more_is_a_binomial_tail() -> None:
    # 6 of 8 with equal exposure: (28 + 8 + 1) / 2^8; of none there is no more than could be.
    assert chance_of_more(6, 100, 2, 100) == pytest.approx(37 / 256)
    assert chance_of_more(0, 100, 5, 100) == 1.0
