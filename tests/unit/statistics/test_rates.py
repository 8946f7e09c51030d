"""Failure rates with limits."""

from __future__ import annotations

import polars as pl
import pytest

from pipeline.statistics.rates import add_failure_limits, chance_of_more, compare_rates, holm


def counts(connections: int | None, nights: int | None, failed: int | None, widening: float = 1.0) -> pl.DataFrame:
    return pl.DataFrame(
        {
            "connections": [connections],
            "connection_nights": [nights],
            "failed_points": [failed],
            "widening": [widening],
        },
        schema=dict.fromkeys(("connections", "connection_nights", "failed_points"), pl.Int64)
        | {"widening": pl.Float64},
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


def test_clusters_of_two_make_the_limits_those_of_half_the_count() -> None:
    """8 in clusters of 2 are 4: Garwood's 1.0899 and 10.2416, doubled, over 2 thousand nights."""
    row = add_failure_limits(counts(40, 2_000, 8, 2.0)).row(0, named=True)
    assert row["per_1000_connection_nights"] == pytest.approx(4.0)
    assert (row["low"], row["high"]) == pytest.approx((1.0899, 10.2416), abs=5e-5)


def test_a_ratio_s_limits_are_those_of_the_binomial_share() -> None:
    """6 against 2 over equal exposures: Clopper and Pearson's limits of 6 in 8 are .3491 and .9681, odds .5364 and
    30.4 (computed by another library's binomial test)."""
    from scipy.stats import binomtest

    found = compare_rates(6, 100, 2, 100)
    share = binomtest(6, 8).proportion_ci(0.95, "exact")
    assert found.ratio == pytest.approx(3)
    assert (found.low, found.high) == pytest.approx((share.low / (1 - share.low), share.high / (1 - share.high)))


def test_a_rate_over_one_without_events_has_no_ratio_and_no_upper_limit() -> None:
    found = compare_rates(3, 100, 0, 100)
    assert (found.ratio, found.high) == (None, None)
    assert found.low > 0
    # P(X >= 3 | 3, 1/2) = 1/8, doubled.
    assert found.chance == pytest.approx(0.25)


def test_nothing_against_nothing_cannot_be_told_apart() -> None:
    found = compare_rates(0, 100, 0, 100)
    assert (found.ratio, found.low, found.high, found.chance) == (None, 0.0, None, 1.0)


def test_clusters_weaken_a_difference() -> None:
    """12 against 4 in clusters of 2 are 6 against 2: P = 2 x 37 / 256."""
    assert compare_rates(12, 100, 4, 100, widening=2.0).chance == pytest.approx(74 / 256)


def test_no_exposure_is_refused() -> None:
    with pytest.raises(ValueError, match="more than 0"):
        compare_rates(1, 0, 1, 10)


def test_holm_multiplies_the_smallest_by_all_and_never_falls() -> None:
    """.01 x 3, .03 x 2, .04 x 1 raised to what came before it: .03, .06, .06."""
    assert holm([0.01, 0.04, 0.03]) == pytest.approx([0.03, 0.06, 0.06])
    assert holm([0.9, 0.8]) == [1.0, 1.0]
    assert holm([]) == []
