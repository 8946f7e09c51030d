"""Feeds and circuits against their limits: on a limit is inside, and what is not known is not nothing."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

import polars as pl
import pytest

from pipeline.decisions.feeds import FeedLimits, limits_in_force, load_circuits, load_feeds, reach_of_feeds
from pipeline.settings import Settings

BY_DEFAULT = limits_in_force(Settings())


def feeds(*loads: dict[str, Any]) -> pl.DataFrame:
    """Rows of facts.feeds: 100 ft, 100 sockets, 60 W at 120 V on 18 AWG, but for what is said."""
    plain = {"season": 2025, "branch": "main", "job_no": "1", "crew": "Maple", "circuit": None, "runs": 1,
             "feet": Decimal(100), "sockets": 100, "watts": Decimal(60), "volts": Decimal(120),
             "has_mixed_volts": False, "gauge": 18}  # fmt: skip
    rows = [plain | {"feed": "ABCDEF"[place]} | load for place, load in enumerate(loads)]
    kinds = {"watts": pl.Decimal(38, 12), "volts": pl.Decimal(26, 12), "feet": pl.Decimal(38, 12), "gauge": pl.Int32}
    return pl.DataFrame(rows, schema_overrides=kinds)


def test_the_defaults_are_250_ft_and_200_sockets_and_no_watts() -> None:
    expected = FeedLimits(Decimal(250), Decimal(200), None, Decimal(15), Decimal(120), Decimal(18))
    assert expected == limits_in_force(Settings())


@pytest.mark.parametrize(
    ("load", "over", "first"),
    [
        ({"feet": Decimal(250)}, False, "feet"),
        ({"feet": Decimal("250.01")}, True, "feet"),
        ({"sockets": 200}, False, "sockets"),
        ({"sockets": 201}, True, "sockets"),
        ({"watts": Decimal(200)}, False, "watts"),
        ({"watts": Decimal("200.5")}, True, "watts"),
        ({"feet": Decimal(260), "sockets": 210}, True, "sockets"),
    ],
)
def test_on_a_limit_is_inside_and_the_limit_used_most_comes_first(load: dict[str, Any], over: bool, first: str) -> None:
    """260 / 250 = 1.04 is less than 210 / 200 = 1.05."""
    limits = limits_in_force(Settings.from_pairs([("feed_watts", "200")]))
    row = load_feeds(feeds(load), limits).row(0, named=True)
    assert (row["is_over"], row["first_limit"]) == (over, first)


def test_watts_that_are_not_known_leave_the_other_limits_and_no_amps() -> None:
    row = load_feeds(feeds({"watts": None, "sockets": 201}), BY_DEFAULT).row(0, named=True)
    assert row["is_over"] is True
    assert (row["amps"], row["drop_volts"], row["drop_share"], row["end_drop_volts"]) == (None, None, None, None)


def test_wire_and_voltage_come_from_the_settings_where_the_items_do_not_say() -> None:
    rows = load_feeds(
        feeds({"volts": None, "gauge": None}, {"volts": None, "has_mixed_volts": True}), BY_DEFAULT
    ).to_dicts()
    # 60 W / 120 V = .5 A; .5 x 7.95 / 1,000 x 100 = .3975 V lost of 120.
    assert rows[0]["amps"] == pytest.approx(0.5)
    assert rows[0]["drop_volts"] == pytest.approx(0.3975)
    assert rows[0]["drop_share"] == pytest.approx(0.3975 / 120)
    assert (rows[1]["volts"], rows[1]["amps"]) == (None, None)


def test_the_whole_load_at_the_far_end_loses_twice_as_much_as_one_that_is_spread() -> None:
    """Within the 1 % by which K / CM misses the table's resistance."""
    row = load_feeds(feeds({}), BY_DEFAULT).row(0, named=True)
    assert row["end_drop_volts"] == pytest.approx(2 * row["drop_volts"], rel=0.01)


def circuits(*watts: str | None) -> pl.DataFrame:
    rows = [{"season": 2025, "branch": "main", "job_no": "1", "circuit": str(n), "feeds": 1, "runs": 1,
             "watts": None if w is None else Decimal(w)} for n, w in enumerate(watts)]  # fmt: skip
    return pl.DataFrame(rows, schema_overrides={"watts": pl.Decimal(38, 12)})


def test_a_circuit_holds_80_percent_of_its_breaker() -> None:
    """15 A x 120 V x .8 = 1,440 W, which is inside."""
    rows = load_circuits(circuits("1440", "1440.01", None), BY_DEFAULT).to_dicts()
    assert [r["is_over"] for r in rows] == [False, True, None]
    assert rows[0]["watts_limit"] == 1440
    assert [r["amps"] for r in rows] == [12, pytest.approx(12.00008333), None]


def runs(spacing: int, watts_each: str | None) -> pl.DataFrame:
    sockets = 100 * 12 // spacing
    watts = None if watts_each is None else sockets * Decimal(watts_each)
    return pl.DataFrame(
        [{"season": 2025, "spacing_in": Decimal(spacing), "feet": Decimal(100), "sockets": sockets, "watts": watts,
          "volts": Decimal(120), "gauge": 18}],
        schema_overrides={"watts": pl.Decimal(38, 12)},
    )  # fmt: skip


@pytest.mark.parametrize(
    ("spacing", "watts", "limits", "first", "reach"),
    [
        (12, "0.6", {}, "sockets", 200.0),
        (15, "0.6", {}, "feet", 250.0),
        (9, "0.6", {}, "sockets", 150.0),
        (12, "7", {"feed_watts": "700"}, "watts", 100.0),
        (12, None, {"feed_watts": "700"}, "sockets", 200.0),
        (12, "0.6", {"feed_sockets": "0"}, "feet", 250.0),
    ],
)
def test_a_feed_goes_as_far_as_the_limit_that_comes_first(
    spacing: int, watts: str | None, limits: dict[str, str], first: str, reach: float
) -> None:
    """200 sockets at 9 in are 150 ft, at 12 in 200 ft, at 15 in 250 ft; 100 lamps of 7 W are 700 W."""
    row = reach_of_feeds(runs(spacing, watts), limits_in_force(Settings.from_pairs(limits.items()))).row(0, named=True)
    assert (row["first_limit"], row["reach_ft"]) == (first, pytest.approx(reach))


def test_the_voltage_lost_at_the_reach_is_that_of_lamps_evenly_spread() -> None:
    """200 lamps of .6 W: 1 A; 1 x 7.95 / 1,000 x 200 = 1.59 V of 120. 3 % are 3.6 V, lost where .005 x 7.95 / 1,000 x
    feet x feet come to them: at 300.9 ft."""
    row = reach_of_feeds(runs(12, "0.6"), BY_DEFAULT).row(0, named=True)
    assert row["drop_share"] == pytest.approx(1.59 / 120)
    assert row["drop_ft"] == pytest.approx(300.9, abs=0.05)
    row = reach_of_feeds(runs(12, None), BY_DEFAULT).row(0, named=True)
    assert (row["drop_share"], row["drop_ft"]) == (None, None)
