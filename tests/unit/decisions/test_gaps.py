"""Ways of crossing a gap between rooflines."""

from __future__ import annotations

import polars as pl
import pytest
from support.season_frames import connection_goods, failure_costs, failures, service_cost, settings

from pipeline.decisions.connections import price_connections
from pipeline.decisions.gaps import SCHEMA, cross_gaps, sockets_in_gap
from pipeline.decisions.policy import GAPS_FT

MINUTES = {"joint_minutes__plug": "6", "joint_minutes__capped_socket": "1", "joint_minutes__taped_socket": "4"}
GOODS = [
    {"made_for": "light_line", "spacing_in": 12.0, "unit_usd": 0.40, "life_seasons": 4.0, "built": 900.0},
    {"made_for": "zip_cord", "unit_usd": 0.20},
    {"made_for": "plug", "pieces": 2, "unit_usd": 0.75, "life_seasons": 2.0},
    {"made_for": "capped_socket", "unit_usd": 0.10},
]
KINDS = [
    {"kind": "plug", "connections": 1_000, "failed_points": 50},
    {"kind": "capped_socket", "connections": 1_000, "failed_points": 10},
    {"kind": "taped_socket", "connections": 1_000, "failed_points": 20},
]


def crossed(
    goods: list[dict] = GOODS, kinds: list[dict] = KINDS, minutes: dict[str, str] = MINUTES, **given: str
) -> tuple[pl.DataFrame, list[str]]:
    said, stock = settings(**minutes, **given), connection_goods(goods)
    service = service_cost(calls=80, failed_points=80, usd_per_point=40.0)
    costs = failure_costs([(40, 1)] * 80)
    pricing = price_connections(failures(kinds), service, costs, stock, said, loaded_usd_per_hour=30, seed=1)
    return cross_gaps(pricing, stock, said, season=2031, loaded_usd_per_hour=30)


def test_each_way_worked_by_hand_for_a_gap_of_10_feet() -> None:
    """10 sockets. Over 4 seasons, $30 an hour, $40 a fault:
    cut: 10 ft of cord at .20 = 2.00, two joints of two plugs at .75 that last 2 of the 4 seasons = 6.00; 2 x 6 minutes
    = 6.00; 2 x 4 x .05 x 40 = 16.00; in all 30.00.
    cap: 10 ft of line at .40 = 4.00, 10 caps = 1.00; 10 minutes = 5.00; 10 x 4 x .01 x 40 = 16.00; in all 26.00.
    seal: line 4.00; 40 minutes = 20.00; 10 x 4 x .02 x 40 = 32.00; in all 56.00."""
    frame, notes = crossed()
    rows = {r["way"]: r for r in frame.filter(pl.col("gap_ft") == 10).to_dicts()}
    parts = ("sockets", "goods_usd", "labor_usd", "failure_usd", "total_usd")
    assert [rows["cut"][p] for p in parts] == pytest.approx([10, 8.0, 6.0, 16.0, 30.0])
    assert [rows["cap"][p] for p in parts] == pytest.approx([10, 5.0, 5.0, 16.0, 26.0])
    assert [rows["seal"][p] for p in parts] == pytest.approx([10, 4.0, 20.0, 32.0, 56.0])
    assert all(r["low"] < r["total_usd"] < r["high"] for r in rows.values())
    assert notes == []
    assert frame.schema == pl.Schema(SCHEMA)


def test_chances_of_being_the_cheapest_add_up_to_one_and_a_wide_gap_is_cut() -> None:
    frame, _ = crossed()
    sums = frame.group_by("gap_ft").agg(pl.col("chance_cheapest").sum())["chance_cheapest"]
    assert sums.to_list() == pytest.approx([1.0] * len(GAPS_FT))
    chances = dict(frame.filter(pl.col("way") == "cut").select("gap_ft", "chance_cheapest").iter_rows())
    assert chances[2] < 0.05
    assert chances[20] > 0.95


@pytest.mark.parametrize(("gap", "spacing", "sockets"), [(2, 12, 2), (2, 15, 1), (20, 9, 26), (5, 12, 5)])
def test_sockets_of_a_gap_are_whole_spacings(gap: float, spacing: float, sockets: int) -> None:
    assert sockets_in_gap(gap, spacing) == sockets


def test_a_way_that_label_or_code_forbids_is_not_compared() -> None:
    frame, _ = crossed(gap_allowed__seal="no", gap_allowed__cut="yes")
    ways = dict(frame.select("way", "allowed").unique().iter_rows())
    assert ways == {"cut": True, "cap": None}


def test_a_way_without_minutes_or_without_its_kind_in_the_records_has_no_price_and_says_why() -> None:
    frame, notes = crossed(kinds=KINDS[:2], minutes={"joint_minutes__plug": "6"})
    assert frame["way"].unique().to_list() == ["cut"]
    assert frame["chance_cheapest"].null_count() == frame.height
    assert any("joint_minutes:capped_socket" in note for note in notes)
    assert any("No taped socket" in note for note in notes)


def test_without_zip_cord_nothing_is_cut() -> None:
    frame, notes = crossed(goods=[GOODS[0], *GOODS[2:]])
    assert "cut" not in frame["way"].to_list()
    assert any("zip cord" in note for note in notes)


def test_without_light_line_there_is_a_reason_and_no_comparison() -> None:
    frame, notes = crossed(goods=GOODS[1:])
    assert frame.is_empty()
    assert "light line" in notes[0]


def test_without_a_price_of_failures_nothing_is_said_twice() -> None:
    frame, notes = crossed(kinds=[])
    assert frame.is_empty()
    assert notes == []
