"""What changed since the season before, and which of it is more than chance would make."""

from __future__ import annotations

from datetime import date, timedelta
from typing import Any

import numpy as np
import polars as pl
import pytest

from pipeline.decisions.policy import MIN_DAYS_FOR_PACE
from pipeline.decisions.season_changes import SeasonRecords, season_changes
from pipeline.statistics.changes import share_difference_limits
from pipeline.statistics.rates import compare_rates

SHARES = ("gutter", "shingle", "ridge", "masonry", "trim", "ground", "other")
NOTHING = SeasonRecords(
    pl.DataFrame(schema={"season": pl.Int32}),
    pl.DataFrame(
        schema={"season": pl.Int32, "branch": pl.String, "failed_points": pl.Int64, "connection_nights": pl.Int64}
    ),
    pl.DataFrame(schema={"season": pl.Int32, "is_over": pl.Boolean}),
    pl.DataFrame(schema={"season": pl.Int32, "returned": pl.Boolean}),
)


def jobs(
    season: int, pace: float, rng: np.random.Generator, *, days: int = 20, feet: float = 150.0
) -> list[dict[str, Any]]:
    """Two crews of one branch, a job a day each; a job takes `pace` hours a foot less a tenth for each doubling."""
    rows: list[dict[str, Any]] = []
    for day in range(days):
        for crew, skill in (("Elm", 0.9), ("Oak", 1.1)):
            size = feet * float(rng.uniform(0.5, 1.5))
            hours = pace * skill * size * (size / 150) ** -0.15 * float(np.exp(rng.normal(0, 0.1)))
            rows.append(
                {
                    "season": season, "branch": "main", "job_no": f"{crew}{day}", "crew": crew, "work": "new",
                    "stories": 1, "slope": None, "workers": 3, "feet": size, "prep_hours": 0.0, "install_hours": hours,
                    "install_date": date(season, 11, 1) + timedelta(days=day), **{f"share_{s}": None for s in SHARES},
                }
            )  # fmt: skip
    return rows


def with_jobs(*seasons: list[dict[str, Any]]) -> SeasonRecords:
    frame = pl.DataFrame([row for season in seasons for row in season], infer_schema_length=None)
    return SeasonRecords(frame, NOTHING.failures, NOTHING.feeds, NOTHING.properties)


def rows_of(records: SeasonRecords) -> dict[tuple[str, str], dict[str, Any]]:
    return {(r["measure"], r["what"]): r for r in season_changes(records, 2025).to_dicts()}


def test_with_one_season_there_is_nothing_to_hold_it_against() -> None:
    only = with_jobs(jobs(2025, 0.05, np.random.default_rng(1)))
    assert season_changes(only, 2025).is_empty()


def test_pace_is_hours_over_feet_of_each_season() -> None:
    before, now = jobs(2024, 0.05, np.random.default_rng(1)), jobs(2025, 0.05, np.random.default_rng(2))
    row = rows_of(with_jobs(before, now))["pace", "as_they_came"]
    for key, season in (("before", before), ("now", now)):
        hours, feet = (sum(r[name] for r in season) for name in ("install_hours", "feet"))
        assert row[f"{key}_part"] == pytest.approx(hours)
        assert row[key] == pytest.approx(hours / feet * 100)
    assert row["change"] == pytest.approx(row["now"] / row["before"])
    assert row["low"] < row["change"] < row["high"]


def test_fewer_hours_on_larger_houses_is_seen_through_the_houses() -> None:
    """The same crews take .85 of the hours on a house; houses twice the size make the raw change larger still."""
    rng = np.random.default_rng(3)
    found = rows_of(with_jobs(jobs(2024, 0.05, rng), jobs(2025, 0.05 * 0.85, rng, feet=300.0)))
    fair, raw = found["pace", "equal_houses"], found["pace", "as_they_came"]
    assert fair["low"] < 0.85 < fair["high"]
    assert fair["more_than_chance"]
    assert raw["change"] < fair["low"]
    assert fair["before"] == pytest.approx(fair["now"] / fair["change"])


def test_seasons_alike_are_called_different_in_one_of_twenty_at_most() -> None:
    """120 pairs of seasons without a difference: .05 and three errors of .02 are 13 of them."""
    rng = np.random.default_rng(4)
    called = 0
    for _ in range(120):
        found = rows_of(with_jobs(jobs(2024, 0.05, rng, days=12), jobs(2025, 0.05, rng, days=12)))
        called += any(row["more_than_chance"] for row in found.values())
    assert called <= 13


@pytest.mark.parametrize(("days", "has_limits"), [(MIN_DAYS_FOR_PACE, True), (MIN_DAYS_FOR_PACE - 1, False)])
def test_a_change_of_pace_has_limits_from_enough_days(days: int, *, has_limits: bool) -> None:
    rng = np.random.default_rng(6)
    found = rows_of(with_jobs(jobs(2024, 0.05, rng), jobs(2025, 0.05, rng, days=days)))
    assert (found["pace", "as_they_came"]["low"] is not None) == has_limits


def test_crews_of_one_season_alone_say_nothing_of_equal_houses() -> None:
    rng = np.random.default_rng(7)
    others = [row | {"crew": f"New {row['crew']}"} for row in jobs(2025, 0.05, rng)]
    found = rows_of(with_jobs(jobs(2024, 0.05, rng), others))
    assert ("pace", "as_they_came") in found
    assert ("pace", "equal_houses") not in found


def failures(season: int, kinds: dict[str, tuple[int, int]]) -> list[dict[str, Any]]:
    whole = tuple(sum(column) for column in zip(*kinds.values(), strict=True))
    return [
        {"season": season, "branch": "all", "kind": kind, "failed_points": points, "connection_nights": nights,
         "widening": 1.25 if season == 2024 else 1.0}
        for kind, (points, nights) in (kinds | {"all": whole}).items()
    ]  # fmt: skip


def others(
    *, rates: list[dict[str, Any]] | None = None, feeds: tuple[int, int, int, int] | None = None,
    returned: tuple[int, int, int, int] | None = None,
) -> SeasonRecords:  # fmt: skip
    """Records without hours; `feeds` over and all, now and before; `returned` came and all, now and before."""

    def flags(column: str, counts: tuple[int, int, int, int] | None, seasons: tuple[int, int]) -> pl.DataFrame:
        a, b, c, d = counts or (0, 0, 0, 0)
        data = [(seasons[0], n < a) for n in range(b)] + [(seasons[1], n < c) for n in range(d)]
        return pl.DataFrame(data, schema={"season": pl.Int32, column: pl.Boolean}, orient="row")

    rng = np.random.default_rng(8)
    hours = pl.DataFrame(jobs(2024, 0.05, rng, days=1), infer_schema_length=None)
    return SeasonRecords(
        hours, pl.DataFrame(rates) if rates else NOTHING.failures, flags("is_over", feeds, (2025, 2024)),
        flags("returned", returned, (2024, 2023)),
    )  # fmt: skip


def test_failures_are_compared_by_kind_and_the_kinds_alone_are_told_apart_from_their_rates() -> None:
    """Before: plugs 10 in 10,000 nights, taps 30 in 10,000. Now twice the taps at the same rates: 10 and 60. The kinds
    alone make 70 of 30,000 nights, 2.33, after 2.00: all of the change."""
    before = failures(2024, {"plug": (10, 10_000), "inline_tap": (30, 10_000)})
    now = failures(2025, {"plug": (10, 10_000), "inline_tap": (60, 20_000)})
    found = rows_of(others(rates=before + now))
    assert found["faults", "all"]["before"] == pytest.approx(2.0)
    assert found["faults", "all"]["now"] == pytest.approx(70 / 30)
    assert found["faults", "kinds_alone"]["now"] == pytest.approx(70 / 30)
    tap = found["faults", "inline_tap"]
    assert tap["change"] == pytest.approx(1)
    own = compare_rates(60, 20_000, 30, 10_000, widening=1.25)
    assert (tap["low"], tap["high"]) == pytest.approx((own.low, own.high))
    assert not any(row["more_than_chance"] for row in found.values())
    assert tap["comparisons"] == 3


def test_a_rate_after_none_is_no_ratio_but_may_be_more_than_chance() -> None:
    found = rows_of(others(rates=failures(2024, {"plug": (0, 10_000)}) + failures(2025, {"plug": (12, 10_000)})))
    row = found["faults", "plug"]
    assert row["change"] is None
    assert row["high"] is None
    assert row["low"] > 1
    assert row["more_than_chance"]


def test_shares_are_compared_by_their_difference() -> None:
    found = rows_of(others(feeds=(30, 100, 10, 100), returned=(80, 100, 70, 100)))
    feeds, back = found["feeds", "over_a_limit"], found["returning", "properties"]
    assert feeds["change"] == pytest.approx(0.2)
    assert (feeds["low"], feeds["high"]) == pytest.approx(share_difference_limits(30, 100, 10, 100))
    assert feeds["more_than_chance"]
    assert back["change"] == pytest.approx(0.1)
    assert not back["more_than_chance"]


def test_a_first_pair_of_seasons_has_a_share_of_returning_and_no_change() -> None:
    back = rows_of(others(returned=(8, 10, 0, 0)))["returning", "properties"]
    assert back["now"] == pytest.approx(0.8)
    assert back["before"] is None
    assert back["change"] is None
    assert back["more_than_chance"] is None
