"""Orders of made histories, by a process that is not the one that is fitted, against the seasons that may follow."""

from __future__ import annotations

from functools import cache

from support.order_trials import Trial, summary, trials

HISTORIES, FUTURES = 8, 60


@cache
def found() -> list[list[Trial]]:
    return [trials(seed, FUTURES) for seed in range(HISTORIES)]


def test_the_chance_that_was_promised_is_what_happens() -> None:
    """Within three Monte Carlo errors over histories; 1,000 of them are in tests/bench/ordering.json."""
    came = summary(found())
    assert abs(came["happens"] - came["promised"]) <= 3 * came["happens_less_promised_error"]
    assert abs(came["inside_80"] - 0.8) <= 3 * came["inside_80_error"]


def test_no_common_shift_of_the_orders_would_have_cost_3_percent_less() -> None:
    assert summary(found())["over_best_shift"] <= 0.03


def test_the_advised_orders_cost_less_than_both_rules_of_thumb() -> None:
    came = summary(found())
    assert came["last_year_plus_10_over_advised"] > 0
    assert came["last_year_over_advised"] > 0
