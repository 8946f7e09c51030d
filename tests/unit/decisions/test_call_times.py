"""Days to a repair, open calls among them."""

from __future__ import annotations

import polars as pl

from pipeline.decisions.call_times import call_times


def times(days: list[int], mended: list[bool], calls: int | None = None) -> dict:
    counts = pl.DataFrame(
        {"season": [2031], "branch": ["all"], "calls": [len(days) if calls is None else calls],
         "open_calls": [mended.count(False)]}
    )  # fmt: skip
    waits = pl.DataFrame(
        {"branch": ["main"] * len(days), "days": days, "is_mended": mended},
        schema={"branch": pl.String, "days": pl.Int32, "is_mended": pl.Boolean},
    )
    return call_times(counts, waits).row(0, named=True)


def test_open_calls_push_the_median_up() -> None:
    """Mended after 0, 2 and 4 days: 2. With one more still open after 3 days 3/4 wait after 0, 1/2 after 2 until the
    one mended at 4: the median lies midway, 3."""
    assert times([0, 2, 4], [True] * 3)["median_days"] == 2
    assert times([0, 2, 3, 4], [True, True, False, True])["median_days"] == 3


def test_where_most_calls_are_open_the_median_is_not_known() -> None:
    row = times([1, 5, 5], [True, False, False])
    assert (row["open_calls"], row["median_days"], row["p90_days"]) == (2, None, None)


def test_no_calls_have_no_days() -> None:
    assert times([], [])["median_days"] is None


def test_a_branch_has_its_own_days_and_all_of_them_theirs() -> None:
    """East mended after 1, 1 and 3 days, West after 9: the middle of all four lies midway between 1 and 3."""
    counts = pl.DataFrame(
        {"season": [2031] * 3, "branch": ["all", "East", "West"], "calls": [4, 3, 1], "open_calls": [0, 0, 0]}
    )
    waits = pl.DataFrame({"branch": ["East", "East", "East", "West"], "days": [1, 1, 3, 9], "is_mended": [True] * 4})
    found = dict(call_times(counts, waits).select("branch", "median_days").iter_rows())
    assert found == {"all": 2, "East": 1, "West": 9}
