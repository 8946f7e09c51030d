"""One-dimensional cutting stock: the cheapest spools that hold given pieces, how to cut them, and a proven bound.

A purchase is the cheapest that no known rule forbids; if the pieces go into it nothing cheaper exists. If they do not,
column generation looks for a rule that forbids it, and so on (Benders 1962).
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace

from pipeline.statistics.cutting_columns import (
    Columns,
    Floats,
    Problem,
    cheapest_share,
    first_columns,
    forbidding_rule,
    rule_of,
)
from pipeline.statistics.cutting_fill import pack
from pipeline.statistics.cutting_plan import CuttingPlan, cheapest_of, filled, plan_of, rounded_plans
from pipeline.statistics.cutting_purchase import NotEnoughStock, Rule, Stock, cheapest_purchase, cost_of

MOST_PURCHASES = 12
"""Purchases that are tried in turn; a stop before the end leaves the bound that was proven so far."""
MORE_ROOM = (0.002, 0.005, 0.01, 0.02, 0.05)
"""Shares of the length by which a purchase is enlarged where the cheapest is neither filled nor forbidden."""


def cut_stock(demand: Mapping[int, int], stocks: Sequence[Stock]) -> CuttingPlan:
    """Cover a demand (pieces wanted by length, whole numbers) from stocks at the least cost found, with a bound.

    The same demand in any order gives the same plan. Raises ValueError where a piece is longer than every spool or a
    length is not above 0, NotEnoughStock where the limits of the stocks cannot hold the pieces.
    """
    wanted = sorted(((length, count) for length, count in demand.items() if count > 0), reverse=True)
    if not wanted:
        return CuttingPlan((), tuple(stocks), (), tuple(0 for _ in stocks), 0, 0)
    problem = Problem(tuple(one for one, _ in wanted), tuple(count for _, count in wanted), tuple(stocks))
    if problem.lengths[-1] <= 0:
        raise ValueError("a piece must be longer than nothing")
    if not stocks or problem.lengths[0] > problem.largest:
        raise ValueError("a piece is longer than every spool")
    rules = [rule_of(problem, problem.lengths)]
    spools = cheapest_purchase(rules, stocks)
    cuts = pack(problem.lengths, problem.counts, [stock.size for stock in stocks], spools, problem.free)
    if cuts is None:
        return _searched(problem, rules)
    plan = plan_of(problem, cuts, spools)
    return replace(plan, bound=min(plan.cost, cost_of(spools, stocks)))


def _searched(problem: Problem, rules: list[Rule]) -> CuttingPlan:
    """The plan where filling spools as full as can be does not meet the bound."""
    columns = first_columns(problem)
    shares, rule = cheapest_share(problem, columns)
    rules += [rule, *_of_long_pieces(problem)]
    best = cheapest_of(rounded_plans(problem, columns, shares))
    bound = 0
    for _ in range(MOST_PURCHASES):
        spools = cheapest_purchase(rules, problem.stocks)
        bound = cost_of(spools, problem.stocks)
        if best is not None and best.cost <= bound:
            break
        forbids, shares = forbidding_rule(problem, columns, spools)
        if forbids is not None:
            rules.append(forbids)
            continue
        cuts = filled(problem, columns, spools, shares)
        # Where parts of its spools would hold the pieces and whole ones were not found to, the bound stays.
        found = _roomier(problem, columns, rules, shares) if cuts is None else [plan_of(problem, cuts, spools)]
        best = cheapest_of([best, *found])
        break
    if best is None:
        raise NotEnoughStock
    return replace(best, bound=min(bound, best.cost))


def _of_long_pieces(problem: Problem) -> Iterator[Rule]:
    """Rules that count the pieces of more than a half and of more than a third of each size."""
    for size in sorted({stock.size for stock in problem.stocks}):
        for part in (2, 3):
            if any(length * part > size for length in problem.lengths):
                yield rule_of(problem, [int(length * part > size) for length in problem.lengths])


def _roomier(problem: Problem, columns: Columns, rules: Sequence[Rule], shares: Floats) -> Iterator[CuttingPlan | None]:
    """Plans on purchases with a little more room than the cheapest, up to the first that holds the pieces."""
    for share in MORE_ROOM:
        more = Rule(tuple(stock.size for stock in problem.stocks), int(rules[0].needs * (1 + share)) + 1)
        try:
            spools = cheapest_purchase([*rules, more], problem.stocks)
        except NotEnoughStock:
            return
        cuts = filled(problem, columns, spools, shares)
        if cuts is not None:
            yield plan_of(problem, cuts, spools)
            return
