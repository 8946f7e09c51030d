"""Cutting stock: what every plan must keep, whatever is asked of it."""

from __future__ import annotations

from collections import Counter
from itertools import product

import pytest
from hypothesis import given, settings
from hypothesis import strategies as some

from pipeline.statistics.cutting_fill import fill, longest_fill, pack, unplaced
from pipeline.statistics.cutting_plan import CuttingPlan
from pipeline.statistics.cutting_purchase import NotEnoughStock, Rule, Stock, cheapest_purchase, purchase_for
from pipeline.statistics.cutting_stock import cut_stock

SIZES = some.lists(
    some.builds(
        Stock, size=some.integers(20, 60), price=some.integers(1, 90), least=some.sampled_from([0, 0, 0, 2, 5])
    ),
    min_size=1,
    max_size=4,
)
PIECES = some.lists(some.integers(1, 20), min_size=1, max_size=25)
FEW = settings(max_examples=40, deadline=None, derandomize=True)


def pieces_of(plan: CuttingPlan) -> Counter[int]:
    cut: Counter[int] = Counter()
    for one in plan.cuts:
        for length, number in zip(plan.lengths, one.pieces, strict=True):
            cut[length] += number * one.times
    return +cut


@FEW
@given(PIECES, SIZES)
def test_a_plan_cuts_each_piece_once_within_its_spools_and_its_waste_adds_up(
    pieces: list[int], stocks: list[Stock]
) -> None:
    plan = cut_stock(Counter(pieces), stocks)
    assert pieces_of(plan) == Counter(pieces)
    opened = Counter(dict.fromkeys(range(len(stocks)), 0))
    for cut in plan.cuts:
        assert plan.used(cut) <= stocks[cut.stock].size
        opened[cut.stock] += cut.times
    for place, stock in enumerate(stocks):
        assert opened[place] <= plan.bought[place]
        assert plan.bought[place] == 0 or plan.bought[place] >= stock.least
    assert sum(length * number for length, number in plan.remnants.items()) == plan.bought_length - sum(pieces)
    assert plan.cost == sum(number * stock.price for number, stock in zip(plan.bought, stocks, strict=True))
    assert plan.bound <= plan.cost


@FEW
@given(PIECES, SIZES, some.randoms(use_true_random=False))
def test_the_order_in_which_pieces_are_named_does_not_matter(pieces: list[int], stocks: list[Stock], rng) -> None:
    shuffled = list(pieces)
    rng.shuffle(shuffled)
    assert cut_stock(Counter(shuffled), stocks) == cut_stock(Counter(pieces), stocks)


def cheapest_by_trying(pieces: list[int], stocks: list[Stock]) -> int:
    """The least cost of any partition of the pieces into spools, by trying all."""
    best = [10**9]

    def put(at: int, rooms: list[list[int]], cost: int) -> None:
        if cost >= best[0]:
            return
        if at == len(pieces):
            best[0] = cost
            return
        for room in rooms:
            if room[0] >= pieces[at]:
                room[0] -= pieces[at]
                put(at + 1, rooms, cost)
                room[0] += pieces[at]
        for stock in stocks:
            if stock.size >= pieces[at]:
                put(at + 1, [*rooms, [stock.size - pieces[at]]], cost + stock.price)

    put(0, [], 0)
    return best[0]


@settings(max_examples=40, deadline=None, derandomize=True)
@given(
    some.lists(some.integers(3, 20), min_size=1, max_size=6),
    some.lists(some.builds(Stock, size=some.integers(20, 40), price=some.integers(1, 90)), min_size=1, max_size=2),
)
def test_no_way_of_cutting_is_cheaper_than_the_bound_and_a_proven_plan_is_the_cheapest(
    pieces: list[int], stocks: list[Stock]
) -> None:
    plan = cut_stock(Counter(pieces), stocks)
    cheapest = cheapest_by_trying(sorted(pieces, reverse=True), stocks)
    assert plan.bound <= cheapest <= plan.cost
    assert not plan.is_proven or plan.cost == cheapest


def test_the_best_filling_is_exact() -> None:
    """All 4 x 3 x 3 fillings of 3 of 7, 2 of 5 and 2 of 3, tried for every capacity up to 40."""
    best = fill([7, 5, 3], [3, 2, 2], [9, 6, 4], 40)
    for room in range(41):
        tried = [
            (9 * a + 6 * b + 4 * c)
            for a, b, c in product(range(4), range(3), range(3))
            if 7 * a + 5 * b + 3 * c <= room
        ]
        counts = best.counts(room)
        assert best.value[room] == max(tried)
        assert counts @ [9, 6, 4] == max(tried)
        assert counts @ [7, 5, 3] <= room


def test_of_fillings_that_leave_as_little_the_one_of_longer_pieces_is_taken() -> None:
    """10 is 6 + 4 or 5 x 2: the two longer pieces go first."""
    assert longest_fill([6, 4, 2], [1, 1, 5], 10).counts(10).tolist() == [1, 1, 0]


def test_a_least_number_is_bought_whole_or_not_at_all() -> None:
    """90 of room: two of 50 at 10 are 20; five of 50 at 3 are 15, though three are never opened."""
    rule = [Rule((50, 50), 90)]
    assert cheapest_purchase(rule, [Stock(50, 10), Stock(50, 5, least=5)]) == (2, 0)
    assert cheapest_purchase(rule, [Stock(50, 10), Stock(50, 3, least=5)]) == (0, 5)


def test_what_is_left_from_before_is_cut_first_and_costs_nothing() -> None:
    """Remnants of 30 and 25 for nothing; 30, 20 and 10: 30 and 20 go on them, a spool at 9 takes the 10."""
    plan = cut_stock({30: 1, 20: 1, 10: 1}, [Stock(30, 0, most=1), Stock(25, 0, most=1), Stock(60, 9)])
    assert (plan.cost, plan.is_proven, plan.bought) == (9, True, (1, 1, 1))


def test_limits_that_hold_too_little_are_an_error() -> None:
    with pytest.raises(NotEnoughStock):
        cut_stock({30: 3}, [Stock(40, 5, most=2)])


@pytest.mark.parametrize("demand", [{41: 1}, {0: 1}, {-3: 2}])
def test_a_piece_that_no_spool_holds_or_that_has_no_length_is_an_error(demand: dict[int, int]) -> None:
    with pytest.raises(ValueError, match="piece"):
        cut_stock(demand, [Stock(40, 5)])


def test_nothing_wanted_is_nothing_bought() -> None:
    plan = cut_stock({}, [Stock(40, 5)])
    assert (plan.cost, plan.bound, plan.cuts, plan.gap) == (0, 0, (), 0.0)


def test_fillings_go_on_the_cheapest_spools_that_hold_them() -> None:
    """Two fillings of 90 and one of 40: spools of 100 at 10, of 50 at 6."""
    assert purchase_for([90, 40, 90], [Stock(50, 6), Stock(100, 10)]) == (1, 2)
    with pytest.raises(NotEnoughStock):
        purchase_for([101], [Stock(100, 10)])


def test_pieces_fit_where_the_longest_go_first() -> None:
    assert unplaced([60, 40, 50, 50], [100, 100]) == 0
    assert unplaced([60, 60, 60], [100, 100]) == 60
    assert pack([60, 50, 40], [1, 2, 1], [100], [2]) is not None
    assert pack([60], [3], [100], [2]) is None


def test_the_gap_is_a_share_of_what_the_plan_costs() -> None:
    """A plan of 110 where none can cost less than 99 is at most 11 / 110 = 10 % too dear; at its bound it is proven."""
    assert CuttingPlan((), (), (), (), cost=110, bound=99).gap == pytest.approx(0.1)
    assert CuttingPlan((), (), (), (), cost=99, bound=99).gap == 0
