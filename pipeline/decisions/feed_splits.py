"""Where to split feeds that carry too much, what that costs, and whether loaded houses have more faults."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Any

import polars as pl

from pipeline.decisions.feeds import FeedLimits
from pipeline.statistics.rates import compare_rates

Record = dict[str, Any]
_ROUNDING = 1e-9
"""Share of a limit by which sums of floats may pass it without passing it."""

SPLIT_SCHEMA: dict[str, Any] = {
    "season": pl.Int32, "branch": pl.String, "job_no": pl.String, "feed": pl.String, "place": pl.Int32,
    "why": pl.String, "feet": pl.Decimal(38, 12), "sockets": pl.Int64, "watts": pl.Decimal(38, 12),
    "used_share": pl.Float64, "feeds_needed": pl.Int32, "at_ft": pl.Float64, "after_run": pl.String,
    "make_usd": pl.Float64, "failure_usd": pl.Float64, "extra_usd": pl.Float64,
}  # fmt: skip
FAULT_SCHEMA: dict[str, Any] = {
    "season": pl.Int32, "loaded_jobs": pl.Int64, "loaded_points": pl.Int64, "loaded_nights": pl.Int64,
    "other_jobs": pl.Int64, "other_points": pl.Int64, "other_nights": pl.Int64, "ratio": pl.Float64,
    "low": pl.Float64, "high": pl.Float64, "widening": pl.Float64,
}  # fmt: skip


@dataclass(frozen=True)
class Stretch:
    """A run on a feed: its number, its feet, and for each limit the share of it that a foot of the run uses."""

    run_no: str
    feet: float
    use: tuple[float, ...]


@dataclass(frozen=True)
class Place:
    """Where to split: feet along the feed, and the run that ends there, if one does."""

    at_ft: float
    after_run: str | None


def natural(run_no: str) -> tuple[tuple[int, int, str], ...]:
    """A key that puts run 2 before run 10."""
    return tuple((0, int(p), "") if p.isdigit() else (1, 0, p) for p in re.findall(r"[0-9]+|[^0-9]+", run_no))


def _ends(stretches: Sequence[Stretch]) -> Iterator[float]:
    """How far from the start the feeds end where each is filled to its first limit; the whole length last."""
    left = [1.0] * len(stretches[0].use)
    at = 0.0
    for stretch in stretches:
        remaining = stretch.feet
        while True:
            far = min((room / use for room, use in zip(left, stretch.use, strict=True) if use > 0), default=remaining)
            step = min(remaining, far)
            if remaining - step <= remaining * _ROUNDING:
                break
            at, remaining = at + step, remaining - step
            yield at
            left = [1.0] * len(left)
        at += remaining
        left = [max(0.0, room - use * remaining) for room, use in zip(left, stretch.use, strict=True)]
    yield at


def split_places(stretches: Sequence[Stretch]) -> list[Place]:
    """The fewest places that leave every piece within every limit; none where the feed is within them.

    Filling each piece from the plug gives the last place that the k-th split may have, filling from the far end the
    first. Between the two the place is the end of a run, the nearest to even pieces, else as even as can be.
    """
    latest = list(_ends(stretches))
    whole, pieces = latest[-1], len(latest)
    backwards = [whole - at for at in _ends(stretches[::-1])][:-1][::-1]
    joints = []
    reached = 0.0
    for stretch in stretches[:-1]:
        reached += stretch.feet
        joints.append((reached, stretch.run_no))
    places: list[Place] = []
    start = 0.0
    for number in range(1, pieces):
        first = max(backwards[number - 1], start + _ROUNDING)
        last = next(iter(_ends(_rest(stretches, start))), whole) + start
        even = min(max(start + (whole - start) / (pieces - number + 1), first), last)
        here = [(abs(at - even), at, run) for at, run in joints if first <= at + _ROUNDING and at <= last + _ROUNDING]
        _, at, run = min(here, default=(0.0, even, None))
        places.append(Place(at, run))
        start = at
    return places


def _rest(stretches: Sequence[Stretch], start: float) -> list[Stretch]:
    """What lies beyond a place of the feed."""
    out = []
    for stretch in stretches:
        if start < stretch.feet:
            out.append(Stretch(stretch.run_no, stretch.feet - start, stretch.use))
        start = max(0.0, start - stretch.feet)
    return out


def _stretches(runs: list[Record], limits: FeedLimits) -> list[Stretch]:
    known = [name for name in ("feet", "sockets", "watts")
             if limits.of(name) is not None and all(r[name] is not None for r in runs)]  # fmt: skip
    return [
        Stretch(
            run["run_no"],
            float(run["feet"]),
            tuple(float(run[name]) / float(limits.of(name) or 1) / float(run["feet"]) for name in known),
        )
        for run in sorted(runs, key=lambda r: natural(r["run_no"]))
    ]


def feeds_to_split(
    loads: pl.DataFrame, runs: pl.DataFrame, limits: FeedLimits, plug: Record | None
) -> tuple[pl.DataFrame, list[str]]:
    """Rows of decisions.feeds_to_split, the most loaded feed first, and notes.

    `loads` is measures.feed_loads and `runs` facts.feed_runs of one season; `plug` the plug's row of
    decisions.connection_price, None where there is none: a feed more costs one plug more, and the cord that reaches it,
    which is not counted.
    """
    by_feed: dict[tuple[str, str, str], list[Record]] = {}
    for run in runs.filter(pl.col("feed").is_not_null()).to_dicts():
        by_feed.setdefault((run["branch"], run["job_no"], run["feed"]), []).append(run)
    make = plug["make_usd"] if plug else None
    fails = plug["failure_usd"] if plug else None
    extra = make + fails if make is not None and fails is not None else None
    over = loads.filter(pl.col("is_over")).sort(
        ["used_share", "branch", "job_no", "feed"], descending=[True, False, False, False]
    )
    rows: list[Record] = []
    for feed in over.to_dicts():
        places = split_places(_stretches(by_feed[feed["branch"], feed["job_no"], feed["feed"]], limits))
        shared = {name: feed[name] for name in ("season", "branch", "job_no", "feed", "feet", "sockets", "watts",
                                                "used_share")}  # fmt: skip
        rows += [
            shared | {"place": number, "why": feed["first_limit"], "feeds_needed": len(places) + 1,
                      "at_ft": place.at_ft, "after_run": place.after_run, "make_usd": make, "failure_usd": fails,
                      "extra_usd": extra}
            for number, place in enumerate(places, start=1)
        ]  # fmt: skip
    notes = []
    if rows and extra is None:
        notes.append(
            "What a feed more costs is not known: it takes the minutes of a plug (setting joint_minutes:plug) and "
            "the cost of its failures."
        )
    return pl.DataFrame([{name: row[name] for name in SPLIT_SCHEMA} for row in rows], schema=SPLIT_SCHEMA), notes


def compare_loaded(
    loads: pl.DataFrame, exposure: pl.DataFrame, *, season: int, widening: float
) -> tuple[pl.DataFrame, list[str]]:
    """The row of decisions.feed_faults, or none with a note that says why.

    `loads` is measures.feed_loads, `exposure` facts.connection_exposure of one season. Houses that name no feed are on
    neither side.
    """
    empty = pl.DataFrame(schema=FAULT_SCHEMA)
    houses = loads.group_by("branch", "job_no").agg(pl.col("is_over").any())
    points = exposure.group_by("branch", "job_no").agg(
        pl.col("connection_nights").sum(),
        points=pl.when(pl.col("failed_points").null_count() == 0).then(pl.col("failed_points").sum()),
    )
    both = houses.join(points, on=["branch", "job_no"], how="inner")
    loaded, others = both.filter(pl.col("is_over")), both.filter(~pl.col("is_over"))
    if both.is_empty() or both["points"].null_count():
        return empty, ["Faults of loaded feeds cannot be told: that takes feeds, connections and service calls."]
    if not loaded["connection_nights"].sum() or not others["connection_nights"].sum():
        side = "No house has" if loaded.is_empty() else "Every house has"
        return empty, [f"{side} a feed over a limit, so there is nothing to hold faults against."]
    row: Record = {"season": season, "widening": widening}
    for side, frame in (("loaded", loaded), ("other", others)):
        row |= {f"{side}_jobs": frame.height, f"{side}_points": int(frame["points"].sum()),
                f"{side}_nights": int(frame["connection_nights"].sum())}  # fmt: skip
    found = compare_rates(row["loaded_points"], row["loaded_nights"], row["other_points"], row["other_nights"],
                          widening=widening)  # fmt: skip
    row |= {"ratio": found.ratio, "low": found.low, "high": found.high}
    return pl.DataFrame([row], schema=FAULT_SCHEMA), []
