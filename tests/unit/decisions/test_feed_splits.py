"""Where to split a feed, what it costs, and whether houses with loaded feeds have more faults."""

from __future__ import annotations

from decimal import Decimal
from functools import cache
from itertools import pairwise

import polars as pl
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from pipeline.decisions.feed_splits import Stretch, compare_loaded, feeds_to_split, natural, split_places
from pipeline.decisions.feeds import limits_in_force
from pipeline.settings import Settings


def stretch(number: int, feet: float, *per_limit: float) -> Stretch:
    """A run of which so many feet fill each limit."""
    return Stretch(str(number), feet, tuple(1 / most for most in per_limit))


def test_a_feed_within_its_limits_is_not_split() -> None:
    assert split_places([stretch(1, 150, 200), stretch(2, 50, 200)]) == []


def test_a_feed_is_split_at_the_end_of_a_run_where_both_sides_fit() -> None:
    """240 ft at 200 ft a feed: the place lies between 40 and 200 ft; of 90 and 180, 90 is nearer to the middle."""
    (place,) = split_places([stretch(1, 90, 200), stretch(2, 90, 200), stretch(3, 60, 200)])
    assert (place.at_ft, place.after_run) == (90, "1")


def test_a_feed_of_one_run_is_split_in_its_middle() -> None:
    (place,) = split_places([stretch(1, 240, 200)])
    assert (place.at_ft, place.after_run) == (120, None)


def test_a_joint_that_leaves_too_much_behind_is_no_place_to_split() -> None:
    """After run 1, at 30 ft, 310 ft would be left for one feed of 200."""
    (place,) = split_places([stretch(1, 30, 200), stretch(2, 310, 200)])
    assert (place.at_ft, place.after_run) == (170, None)


def test_three_feeds_take_two_places() -> None:
    """450 ft at 200 ft: the first between 50 and 200 ft, near 150; the second near the middle of what is left."""
    places = split_places([stretch(n, 75, 200) for n in range(1, 7)])
    assert [(p.at_ft, p.after_run) for p in places] == [(150, "2"), (300, "4")]


@cache
def fewest(uses: tuple[tuple[int, ...], ...], limits: tuple[int, ...]) -> int:
    """Fewest pieces of consecutive feet whose loads stay within every limit, by trying each place of the last cut."""
    if not uses:
        return 0
    best = len(uses)
    for start in range(len(uses)):
        if all(sum(foot[k] for foot in uses[start:]) <= most for k, most in enumerate(limits)):
            best = min(best, fewest(uses[:start], limits) + 1)
    return best


@settings(max_examples=60, deadline=None)
@given(st.lists(st.tuples(st.integers(1, 12), st.sampled_from([1, 2, 4])), min_size=1, max_size=4))
def test_every_piece_is_within_every_limit_and_there_is_no_piece_too_many(runs: list[tuple[int, int]]) -> None:
    """Each foot uses 1 of 8 feet, and 1, 2 or 4 of 16 sockets: limits are reached at whole feet, so that cuts at whole
    feet are as good as any, and every way of cutting there is tried."""
    stretches = [Stretch(str(n), feet, (1 / 8, sockets / 16)) for n, (feet, sockets) in enumerate(runs)]
    feet = [(1, sockets) for length, sockets in runs for _ in range(length)]
    places = split_places(stretches)
    assert len(places) + 1 <= fewest(tuple(feet), (8, 16))
    ends = [0.0, *(place.at_ft for place in places), float(len(feet))]
    for start, end in pairwise(ends):
        assert end > start
        for k, most in enumerate((8, 16)):
            inside = sum(max(0.0, min(end, n + 1) - max(start, n)) * foot[k] for n, foot in enumerate(feet))
            assert inside <= most + 1e-6


def test_run_2_comes_before_run_10() -> None:
    assert sorted(["10", "2", "A10", "A2", "1"], key=natural) == ["1", "2", "10", "A2", "A10"]


def loads(*feeds: tuple[str, str, int, bool]) -> pl.DataFrame:
    """Rows of measures.feed_loads as far as they are used: job, feed, sockets, over."""
    return pl.DataFrame(
        [{"season": 2025, "branch": "main", "job_no": job, "feed": feed, "feet": Decimal(sockets), "sockets": sockets,
          "watts": None, "first_limit": "sockets", "used_share": sockets / 200, "is_over": over}
         for job, feed, sockets, over in feeds],
        schema_overrides={"watts": pl.Decimal(38, 12), "feet": pl.Decimal(38, 12)},
    )  # fmt: skip


RUNS = pl.DataFrame(
    [{"branch": "main", "job_no": "1", "run_no": run, "feed": feed, "feet": Decimal(feet), "sockets": feet,
      "watts": None} for run, feed, feet in (("10", "A", 110), ("9", "A", 120), ("1", "B", 60), ("2", None, 40))],
    schema_overrides={"watts": pl.Decimal(38, 12)},
)  # fmt: skip


def test_a_feed_more_costs_one_plug_and_its_failures() -> None:
    plug = {"make_usd": 1.6, "failure_usd": 2.5}
    rows, notes = feeds_to_split(
        loads(("1", "A", 230, True), ("1", "B", 60, False)), RUNS, limits_in_force(Settings()), plug
    )
    (row,) = rows.to_dicts()
    assert (row["feed"], row["at_ft"], row["after_run"], row["feeds_needed"]) == ("A", 120, "9", 2)
    assert (row["why"], row["extra_usd"]) == ("sockets", pytest.approx(4.1))
    assert notes == []


@pytest.mark.parametrize("plug", [None, {"make_usd": None, "failure_usd": 2.5}])
def test_where_a_plug_has_no_price_a_feed_more_has_none_either(plug: dict[str, float | None] | None) -> None:
    rows, notes = feeds_to_split(loads(("1", "A", 230, True)), RUNS, limits_in_force(Settings()), plug)
    assert rows["extra_usd"].to_list() == [None]
    assert "What a feed more costs is not known" in notes[0]


def exposure(*jobs: tuple[str, int, int | None]) -> pl.DataFrame:
    """Rows of facts.connection_exposure as far as they are used: job, connection-nights, failed points."""
    return pl.DataFrame(
        [{"branch": "main", "job_no": job, "connection_nights": nights, "failed_points": points}
         for job, nights, points in jobs],
        schema={"branch": pl.String, "job_no": pl.String, "connection_nights": pl.Int64, "failed_points": pl.Int64},
    )  # fmt: skip


BOTH = loads(("1", "A", 230, True), ("1", "B", 20, False), ("2", "A", 100, False), ("3", "A", 90, False))


def test_houses_with_a_loaded_feed_are_held_against_the_rest() -> None:
    """6 in 1,000 against 10 in 4,000 connection-nights: 2.4. A house counts once, whatever the number of its feeds."""
    rows, notes = compare_loaded(
        BOTH, exposure(("1", 600, 2), ("1", 400, 4), ("2", 3_000, 10), ("3", 1_000, 0), ("9", 500, 90)),
        season=2025, widening=1.0,
    )  # fmt: skip
    (row,) = rows.to_dicts()
    assert [row[k] for k in ("loaded_jobs", "loaded_points", "loaded_nights")] == [1, 6, 1_000]
    assert [row[k] for k in ("other_jobs", "other_points", "other_nights")] == [2, 10, 4_000]
    assert row["ratio"] == pytest.approx(2.4)
    # The exact limits, by scipy's binomial: 6 of 16 at the share 1 / 5 under equal rates.
    from scipy.stats import binomtest

    share = binomtest(6, 16).proportion_ci(0.95, "exact")
    assert row["low"] == pytest.approx(4 * share.low / (1 - share.low))
    assert row["high"] == pytest.approx(4 * share.high / (1 - share.high))
    assert notes == []


@pytest.mark.parametrize(
    ("feeds", "points", "said"),
    [
        (BOTH, exposure(("1", 600, None), ("2", 100, None)), "takes feeds, connections and service calls"),
        (BOTH, exposure(), "takes feeds, connections and service calls"),
        (BOTH.filter(~pl.col("is_over")), exposure(("1", 9, 1), ("2", 9, 1)), "No house has a feed over a limit"),
        (BOTH.filter(pl.col("is_over")), exposure(("1", 9, 1), ("2", 9, 1)), "Every house has a feed over a limit"),
    ],
)
def test_where_there_is_nothing_to_compare_no_ratio_is_given(
    feeds: pl.DataFrame, points: pl.DataFrame, said: str
) -> None:
    rows, notes = compare_loaded(feeds, points, season=2025, widening=1.0)
    assert rows.is_empty()
    assert said in notes[0]
