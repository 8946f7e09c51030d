"""Cutting stock against published instances, and small ones whose proof is shown."""

from __future__ import annotations

from collections import Counter

import pytest

from pipeline.statistics.cutting_columns import Problem, cheapest_share, first_columns
from pipeline.statistics.cutting_purchase import Stock
from pipeline.statistics.cutting_stock import cut_stock

PAPER = dict(
    zip(
        [1380, 1520, 1560, 1710, 1820, 1880, 1930, 2000, 2050, 2100, 2140, 2150, 2200],
        [22, 25, 12, 14, 18, 18, 20, 10, 12, 14, 16, 18, 20],
        strict=True,
    )
)
RAW = {20: 48, 45: 35, 50: 24, 55: 10, 75: 8}
CHVATAL = {45: 97, 36: 610, 31: 395, 14: 211}
TWENTY_FIVE = [
    10, 14, 17, 19, 19, 24, 29, 32, 33, 36, 38, 40, 50, 54, 55, 63, 66, 71, 77, 77, 79, 83, 92, 95, 99,
]  # fmt: skip


def test_rolls_of_paper_take_seventy_three() -> None:
    """Wikipedia, Cutting stock problem: rolls of 5600 mm, 73 of them, waste .401 %."""
    plan = cut_stock(PAPER, [Stock(5600, 1)])
    assert (plan.cost, plan.is_proven) == (73, True)
    waste = 1 - sum(length * count for length, count in PAPER.items()) / plan.bought_length
    assert waste == pytest.approx(0.00401, abs=5e-6)


def test_raw_rolls_of_110_inches_take_forty_seven() -> None:
    """Fourer, Gay and Kernighan, AMPL, section 15.5: the relaxation takes 46.25 rolls, whole ones 47."""
    problem = Problem(tuple(sorted(RAW, reverse=True)), tuple(RAW[k] for k in sorted(RAW, reverse=True)),
                      (Stock(110, 1),))  # fmt: skip
    shares, _ = cheapest_share(problem, first_columns(problem))
    assert shares.sum() == pytest.approx(46.25)
    plan = cut_stock(RAW, [Stock(110, 1)])
    assert (plan.cost, plan.is_proven) == (47, True)


def test_chvatal_takes_453_where_parts_of_rolls_take_452_and_a_quarter() -> None:
    """Chvatal, Linear Programming (1983), chapter 13."""
    problem = Problem(tuple(CHVATAL), tuple(CHVATAL.values()), (Stock(100, 1),))
    shares, _ = cheapest_share(problem, first_columns(problem))
    assert shares.sum() == pytest.approx(452.25)
    plan = cut_stock(CHVATAL, [Stock(100, 1)])
    assert (plan.cost, plan.is_proven) == (453, True)


def test_several_stock_sizes_of_gilmore_and_gomory_cost_170() -> None:
    """Gilmore and Gomory 1961: stocks of 5, 6 and 9 at 6, 7 and 10; 20 of 2, 10 of 3 and 20 of 4."""
    plan = cut_stock({2: 20, 3: 10, 4: 20}, [Stock(5, 6), Stock(6, 7), Stock(9, 10)])
    assert (plan.cost, plan.is_proven) == (170, True)


def test_bins_of_100_120_and_150_that_cost_their_size_take_1280() -> None:
    """A well-known example of variable-sized bins. The pieces are 1,272 long and sizes are multiples of ten: 1,280."""
    assert sum(TWENTY_FIVE) == 1272
    plan = cut_stock(Counter(TWENTY_FIVE), [Stock(size, size) for size in (100, 120, 150)])
    assert (plan.cost, plan.is_proven) == (1280, True)


def test_a_relaxation_of_less_than_two_rolls_that_takes_three() -> None:
    """Rolls of 132; 2 of 44, 3 of 33 and 6 of 12 (Fieldhouse 1990, mem.): 259 / 132 = 1.96 rolls in parts.

    Two rolls hold 264, so one of them would have to hold 130 or more. With c pieces of 12 at most 6, a of 44 at most
    2 and b of 33 at most 3, the sums nearest below 132 are 44 + 7 x 12 (too many 12s), 66 + 60 = 126 and
    44 + 33 + 48 = 125: none reaches 130, and 2 x 126 < 259.
    """
    plan = cut_stock({44: 2, 33: 3, 12: 6}, [Stock(132, 1)])
    assert (plan.cost, plan.bound) == (3, 3)


def test_three_hundred_in_pieces_that_do_not_fill_a_hundred_take_four() -> None:
    """Martello and Toth, Knapsack Problems (1990), chapter 8 (mem.): 70, 60, 50, 3 x 33, 11, 7, 3 into bins of 100.

    They add up to 300, but beside 70 only 11 + 7 + 3 = 21 fit, which leaves 9: three full bins cannot be.
    """
    plan = cut_stock(Counter([70, 60, 50, 33, 33, 33, 11, 7, 3]), [Stock(100, 1)])
    assert (plan.cost, plan.bound) == (4, 4)
