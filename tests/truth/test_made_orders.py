"""Orders of made histories, by a process that is not the one that is fitted, against the seasons that may follow."""

from __future__ import annotations

from functools import cache
from typing import Any

from support.order_trials import summary, trials

HISTORIES, FUTURES = 10, 100


@cache
def came() -> dict[str, Any]:
    """Orders that the least cost alone decides, without a floor."""
    return summary([trials(seed, FUTURES, floor="0") for seed in range(HISTORIES)])


def test_the_chance_that_was_promised_is_what_happens() -> None:
    """Within three Monte Carlo errors over histories; 1,000 of them are in tests/bench/ordering.json."""
    assert abs(came()["happens"] - came()["promised"]) <= 3 * came()["happens_less_promised_error"]
    assert abs(came()["inside_80"] - 0.8) <= 3 * came()["inside_80_error"]


def test_no_common_shift_of_the_orders_would_have_cost_3_percent_less() -> None:
    assert came()["over_best_shift"] <= 0.03


def test_an_order_that_knows_how_such_firms_come_about_is_hardly_cheaper() -> None:
    """It knows all that two seasons can tell of the number of new jobs: what the advised order costs beyond it is what
    a better forecast could save."""
    saved = (1 + came()["over_best"]) / (1 + came()["over_best_told"]["how_firms_come_about"]) - 1
    assert saved <= 0.01


def test_rules_of_thumb_cost_more() -> None:
    assert came()["rules_over_advised"]["1.0"] > 0
    assert came()["rules_over_advised"]["1.1"] > 0
