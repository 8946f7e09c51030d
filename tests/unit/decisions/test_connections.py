"""The price of one more connection."""

from __future__ import annotations

import polars as pl
import pytest
from support.season_frames import connection_goods, failure_costs, failures, service_cost, settings, shuffled

from pipeline.decisions.connections import SCHEMA, Pricing, price_connections
from pipeline.decisions.policy import MIN_JOBS_FOR_FAULT_COST

SERVICE = {"calls": 60, "failed_points": 80, "usd_per_point": 50.0}
NO_JOBS = failure_costs([])
NO_GOODS = connection_goods([])
PLUG = {"kind": "plug", "connections": 100, "failed_points": 4}
SPLICE = {"kind": "splice", "connections": 50, "failed_points": 10}


def priced(
    rows: list[dict], service: pl.DataFrame | None = None, *, costs: pl.DataFrame = NO_JOBS,
    goods: pl.DataFrame = NO_GOODS, **given: str,
) -> Pricing:  # fmt: skip
    service = service_cost(**SERVICE) if service is None else service
    return price_connections(failures(rows), service, costs, goods, settings(**given), loaded_usd_per_hour=30, seed=1)


def test_failures_cost_their_rate_times_the_realized_cost_of_a_fault() -> None:
    """4 of 100 at $50 is $2.00; 10 of 50 is $10.00 and the dearest."""
    frame = priced([PLUG, SPLICE]).table
    assert frame["kind"].to_list() == ["splice", "plug"]
    assert frame["failure_usd"].to_list() == pytest.approx([10.0, 2.0])
    assert frame["place_in_order"].to_list() == [1, 2]
    assert frame.schema == pl.Schema(SCHEMA)


def test_making_one_is_its_minutes_of_loaded_pay_its_pieces_and_its_parts() -> None:
    """6 minutes at $30 an hour are $3.00, two plugs at $.40 and $0.50 of parts: $4.30; with $2.00 of failures $6.30."""
    goods = connection_goods([{"made_for": "plug", "pieces": 2, "unit_usd": 0.4}])
    found = priced([PLUG, SPLICE], goods=goods, joint_minutes__plug="6", joint_parts__plug="0.50")
    plug, splice = (found.table.row(by_predicate=pl.col("kind") == kind, named=True) for kind in ("plug", "splice"))
    assert (plug["parts_usd"], plug["make_usd"], plug["price_usd"]) == pytest.approx((1.3, 4.3, 6.3))
    assert plug["price_high"] == pytest.approx(4.3 + plug["high"])
    assert (splice["parts_usd"], splice["make_usd"], splice["price_usd"], splice["price_low"]) == (None,) * 4
    assert any("joint_minutes" in note for note in found.notes)


def test_the_interval_holds_both_the_rate_s_and_the_cost_s_uncertainty() -> None:
    """By the delta method: 400 failures and 400 calls, relative deviations of 1/20 each, together sqrt(2)/20 = .0707;
    1.96 of them are .1386."""
    many = {"kind": "plug", "connections": 1_000, "failed_points": 400}
    row = priced([many], service_cost(calls=400, failed_points=400, usd_per_point=50.0)).table.row(0, named=True)
    assert row["failure_usd"] == pytest.approx(20.0)
    assert row["low"] == pytest.approx(20 * (1 - 0.1386), rel=0.03)
    assert row["high"] == pytest.approx(20 * (1 + 0.1386), rel=0.03)


def test_the_cost_of_a_fault_spreads_as_the_jobs_do() -> None:
    """400 jobs, half at $20 and half at $80 a point: mean 50, deviation 30, of the mean 1.5, relative .03. With 40,000
    failures the rate's own .005 adds next to nothing: 1.96 x sqrt(.03^2 + .005^2) = .0596."""
    many = {"kind": "plug", "connections": 100_000, "failed_points": 40_000}
    costs = failure_costs([(20, 1), (80, 1)] * 200)
    row = priced([many], service_cost(calls=400, failed_points=400, usd_per_point=50.0), costs=costs).table.row(
        0, named=True
    )
    assert row["high"] / row["failure_usd"] - 1 == pytest.approx(0.0596, rel=0.06)


def test_jobs_that_cost_the_same_a_point_leave_the_rate_s_uncertainty_alone() -> None:
    """$50 a point everywhere: 100 failures, Jeffreys' limits, gamma of 100.5, computed by another library."""
    from scipy.stats import gamma

    kind = {"kind": "plug", "connections": 1_000, "failed_points": 100}
    costs = failure_costs([(50, 1)] * 40)
    row = priced([kind], service_cost(calls=40, failed_points=40, usd_per_point=50.0), costs=costs).table.row(
        0, named=True
    )
    assert row["high"] == pytest.approx(gamma.ppf(0.975, 100.5) / 1_000 * 50, rel=0.02)


@pytest.mark.parametrize(("jobs", "assumed"), [(MIN_JOBS_FOR_FAULT_COST - 1, True), (MIN_JOBS_FOR_FAULT_COST, False)])
def test_with_few_jobs_the_spread_of_the_cost_is_assumed_and_said_so(jobs: int, assumed: bool) -> None:
    notes = priced([PLUG], costs=failure_costs([(50, 1)] * jobs)).notes
    assert any("is assumed" in note for note in notes) == assumed


def test_clusters_widen_the_price_s_interval() -> None:
    alone, wide = (priced([SPLICE | {"widening": w}]).table.row(0, named=True) for w in (1.0, 3.0))
    assert wide["failure_usd"] == alone["failure_usd"]
    assert wide["low"] < alone["low"]
    assert wide["high"] > alone["high"]


def test_a_kind_that_never_failed_still_has_an_upper_limit() -> None:
    row = priced([PLUG | {"failed_points": 0}]).table.row(0, named=True)
    assert row["failure_usd"] == 0
    assert row["high"] > 0.5


@pytest.mark.parametrize(
    ("rows", "service"),
    [
        ([], SERVICE),
        ([PLUG | {"connections": 0}], SERVICE),
        ([PLUG | {"failed_points": None}], SERVICE),
        ([PLUG], {"calls": 0, "failed_points": 0, "usd_per_point": None}),
        ([PLUG], {"calls": 4, "failed_points": 4, "usd_per_point": None}),
    ],
)
def test_without_a_rate_or_a_cost_there_is_a_reason_and_no_price(rows: list[dict], service: dict) -> None:
    found = priced(rows, service_cost(**service))
    assert found.table.is_empty()
    assert len(found.notes) == 1


def test_no_service_calls_handed_in_is_not_a_season_without_faults() -> None:
    found = priced([PLUG], service_cost(**SERVICE).clear())
    assert found.table.is_empty()
    assert "not handed in" in found.notes[0]


def test_the_order_of_the_rows_does_not_matter() -> None:
    frame = failures([PLUG, SPLICE, PLUG | {"kind": "timer"}])
    costs = failure_costs([(30 + n, 1 + n % 2) for n in range(30)])
    both = [
        price_connections(
            rows, service_cost(**SERVICE), jobs, NO_GOODS, settings(), loaded_usd_per_hour=None, seed=1
        ).table
        for rows, jobs in ((frame, costs), (shuffled(frame), shuffled(costs)))
    ]
    assert both[0].equals(both[1])
