"""The price of one more connection."""

from __future__ import annotations

import polars as pl
import pytest
from support.season_frames import failures, service_cost, settings, shuffled

from pipeline.decisions.connections import SCHEMA, not_told_from, price_connections

SERVICE = {"calls": 60, "failed_points": 80, "usd_per_point": 50.0}


def priced(rows: list[dict], service: pl.DataFrame | None = None, **given: str) -> tuple[pl.DataFrame, list[str]]:
    service = service_cost(**SERVICE) if service is None else service
    return price_connections(failures(rows), service, settings(**given), loaded_usd_per_hour=30.0, seed=1)


PLUG = {"kind": "plug", "connections": 100, "failed_points": 4}
SPLICE = {"kind": "splice", "connections": 50, "failed_points": 10}


def test_failures_cost_their_rate_times_the_realized_cost_of_a_fault() -> None:
    """4 of 100 at $50 is $2.00; 10 of 50 is $10.00 and the dearest."""
    frame, _ = priced([PLUG, SPLICE])
    assert frame["kind"].to_list() == ["splice", "plug"]
    assert frame["failure_usd"].to_list() == pytest.approx([10.0, 2.0])
    assert frame["place_in_order"].to_list() == [1, 2]
    assert frame.schema == pl.Schema(SCHEMA)


def test_making_one_is_its_minutes_of_loaded_pay_and_its_parts() -> None:
    """6 minutes at $30 an hour are $3.00, and $0.50 of parts."""
    frame, notes = priced([PLUG, SPLICE], joint_minutes__plug="6", joint_parts__plug="0.50")
    made = dict(frame.select("kind", "make_usd").iter_rows())
    assert made == {"plug": pytest.approx(3.5), "splice": None}
    assert any("joint_minutes" in note for note in notes)


def test_the_interval_holds_both_the_rate_s_and_the_cost_s_uncertainty() -> None:
    """400 failures and 400 calls: relative deviations of 1/20 each, together sqrt(2)/20 = .0707; 1.96 of them .1386."""
    many = {"kind": "plug", "connections": 1_000, "failed_points": 400}
    row = priced([many], service_cost(calls=400, failed_points=400, usd_per_point=50.0))[0].row(0, named=True)
    assert row["failure_usd"] == pytest.approx(20.0)
    assert row["low"] == pytest.approx(20 * (1 - 0.1386), rel=0.03)
    assert row["high"] == pytest.approx(20 * (1 + 0.1386), rel=0.03)


def test_a_kind_that_never_failed_still_has_an_upper_limit() -> None:
    row = priced([PLUG | {"failed_points": 0}])[0].row(0, named=True)
    assert row["failure_usd"] == 0
    assert row["high"] > 0.5


def test_points_of_unknown_kind_are_said() -> None:
    _, notes = priced([PLUG | {"unknown_kind_points": 3}, SPLICE | {"unknown_kind_points": 3}])
    assert any("3 of 17 failed points name no kind" in note for note in notes)


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
    frame, notes = priced(rows, service_cost(**service))
    assert frame.is_empty()
    assert len(notes) == 1


def test_no_service_calls_handed_in_is_not_a_season_without_faults() -> None:
    frame, notes = priced([PLUG], service_cost(**SERVICE).clear())
    assert frame.is_empty()
    assert "not handed in" in notes[0]


def test_the_order_of_the_rows_does_not_matter() -> None:
    frame = failures([PLUG, SPLICE, PLUG | {"kind": "timer"}])
    both = [
        price_connections(rows, service_cost(**SERVICE), settings(), loaded_usd_per_hour=None, seed=1)[0]
        for rows in (frame, shuffled(frame))
    ]
    assert both[0].equals(both[1])


def test_a_kind_is_called_worst_only_where_no_other_could_be_by_chance() -> None:
    # 60 against 30 over about the same nights: one-sided p .0004, times 3 pairs .0013, under .025; 60 against 45:
    # P(X >= 60 | 105, 1/2) = .086 alone.
    assert not_told_from([("plug", 60, 50_000.0), ("splice", 30, 50_000.0), ("timer", 0, 50_000.0)]) == []
    assert not_told_from([("plug", 60, 50_000.0), ("splice", 45, 50_000.0)]) == ["splice"]
    assert not_told_from([("plug", 1, 1_000.0), ("splice", 0, 5_000.0)]) == ["splice"]
    assert not_told_from([]) == []
