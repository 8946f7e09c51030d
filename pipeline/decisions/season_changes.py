"""What changed since the season before, and which of it is more than chance would make."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

import numpy as np
import polars as pl

from pipeline.decisions.crews_design import design, usable_jobs
from pipeline.decisions.crews_fit import comparable, numbered
from pipeline.decisions.policy import MIN_DAYS_FOR_PACE, WILD_BOUND, WRONG_CHANGE_CHANCE
from pipeline.statistics.changes import Sums, ratio_limits, share_difference_limits
from pipeline.statistics.intervals import CONFIDENCE, Limits
from pipeline.statistics.rates import NIGHTS, compare_rates
from pipeline.statistics.robust import tame

Record = dict[str, Any]
LimitsAt = Callable[[float], tuple[float | None, float | None]]
"""Limits of a change at a confidence."""

SCHEMA = {
    "season": pl.Int32, "base_season": pl.Int32, "measure": pl.String, "what": pl.String, "unit": pl.String,
    "before_part": pl.Float64, "before_whole": pl.Float64, "before": pl.Float64, "now_part": pl.Float64,
    "now_whole": pl.Float64, "now": pl.Float64, "change_is": pl.String, "change": pl.Float64, "low": pl.Float64,
    "high": pl.Float64, "more_than_chance": pl.Boolean, "comparisons": pl.Int32,
}  # fmt: skip


@dataclass(frozen=True)
class SeasonRecords:
    """Every season's rows of facts.job_hours, measures.connection_failures, measures.feed_loads and
    facts.property_seasons."""

    job_hours: pl.DataFrame
    failures: pl.DataFrame
    feeds: pl.DataFrame
    properties: pl.DataFrame


@dataclass(frozen=True)
class _Change:
    """A change with the way to its limits; without one nothing is tested."""

    row: Record
    limits: LimitsAt | None = None
    none: float = 1.0
    """The change that is none: a ratio of 1, a difference of 0."""


def season_changes(records: SeasonRecords, season: int) -> pl.DataFrame:
    """Rows of decisions.season_changes: `season` against the last one before it, in frames of every season.

    No rows where no season before is there. Limits are 95 % each by itself; a change is more than chance where the
    limits that hold for all comparisons of the season at once (Bonferroni) leave out that there is none.
    """
    before = records.job_hours.filter(pl.col("season") < season)["season"].max()
    if before is None:
        return pl.DataFrame(schema=SCHEMA)
    base = int(before)  # type: ignore[arg-type]
    found = [
        *_pace(records.job_hours, season, base),
        *_faults(records.failures, season, base),
        *_feeds(records.feeds, season, base),
        *_returns(records.properties, base),
    ]
    tested = sum(change.limits is not None for change in found)
    sure = 1 - WRONG_CHANGE_CHANCE / max(tested, 1)
    rows = [_row(change, sure) | {"comparisons": tested} for change in found]
    return pl.DataFrame([{"season": season, "base_season": base} | row for row in rows], schema=SCHEMA, orient="row")


def _row(change: _Change, sure: float) -> Record:
    if change.limits is None:
        return change.row
    low, high = change.limits(CONFIDENCE)
    all_low, all_high = change.limits(sure)
    apart = (all_low is not None and all_low > change.none) or (all_high is not None and all_high < change.none)
    return change.row | {"low": low, "high": high, "more_than_chance": apart}


def _ratio(
    measure: str, what: str, unit: str, now: tuple[float, float], before: tuple[float, float], per: float
) -> Record:
    """A row of two ratios and of how many times the one before the one now is; each a part and its whole."""
    rate_now, rate_before = (part / whole * per if whole else None for part, whole in (now, before))
    change = rate_now / rate_before if rate_now is not None and rate_before else None
    return {
        "measure": measure, "what": what, "unit": unit, "before_part": before[0], "before_whole": before[1],
        "before": rate_before, "now_part": now[0], "now_whole": now[1], "now": rate_now, "change_is": "ratio",
        "change": change,
    }  # fmt: skip


def _sums(jobs: pl.DataFrame) -> Sums:
    days = jobs["install_date"].rank("dense").to_numpy().astype(np.int64) - 1
    return Sums(jobs["hours"].to_numpy(), jobs["feet"].to_numpy(), days)


def _pace(job_hours: pl.DataFrame, season: int, base: int) -> list[_Change]:
    """Hours for 100 ft, houses as they came, and on equal houses with the same crews."""
    usable = usable_jobs(job_hours.filter(pl.col("season").is_in([season, base])))
    now, before = (_sums(usable.filter(pl.col("season") == year)) for year in (season, base))
    if not len(now.parts) or not len(before.parts):
        return []
    parts = [(float(one.parts.sum()), float(one.wholes.sum())) for one in (now, before)]
    raw = _ratio("pace", "as_they_came", "h/100 ft", parts[0], parts[1], 100)
    if min(now.freedom, before.freedom) + 1 < MIN_DAYS_FOR_PACE:
        return [_Change(raw)]
    changes = [_Change(raw, lambda confidence: ratio_limits(now, before, confidence))]
    fair = _fair(usable, season)
    if fair is not None:
        ratio, limits = fair
        row = raw | {"what": "equal_houses", "before": raw["now"] / ratio, "before_part": None, "before_whole": None}
        changes.append(_Change(row | {"change": ratio}, limits))
    return changes


def _fair(jobs: pl.DataFrame, season: int) -> tuple[float, LimitsAt] | None:
    """How many times the hours before the same crews took on equal houses; None where no crew tells.

    The season's term of the model of hours within crews over both seasons. Jobs of a day share its weather, so limits
    count days.
    """
    from scipy.stats import t as student

    from pipeline.statistics.mixed_groups import fit_errors_by_cluster

    crews = comparable(jobs).select("branch", "crew").unique(maintain_order=True)
    if crews.is_empty():
        return None
    fitted, groups = numbered(jobs, crews)
    found = design(fitted, groups)
    place = next((n for n, term in enumerate(found.terms) if term.key == f"season_{season}"), None)
    if place is None:
        return None
    fit = tame(np.log(fitted["hours"].to_numpy()), found.matrix, groups, WILD_BOUND).fit
    days = fitted["install_date"].rank("dense").to_numpy().astype(np.int64) - 1
    value = float(fit.coefficients[place])
    by_day = fit_errors_by_cluster(fit, found.matrix, groups, days)
    error, freedom = float(by_day.errors[place]), float(by_day.freedom[place])
    if not np.isfinite(error):
        return None

    def limits(confidence: float) -> Limits:
        reach = float(student.ppf((1 + confidence) / 2, freedom)) * error
        return float(np.exp(value - reach)), float(np.exp(value + reach))

    return float(np.exp(value)), limits


def _faults(failures: pl.DataFrame, season: int, base: int) -> list[_Change]:
    """Failures per 1,000 connection-nights of each kind and of all, and what its kinds alone would have changed."""
    known = failures.filter(
        (pl.col("branch") == "all") & pl.col("failed_points").is_not_null() & (pl.col("connection_nights") > 0)
    )
    kinds = {
        year: {row["kind"]: row for row in known.filter(pl.col("season") == year).to_dicts()} for year in (season, base)
    }
    now, before = kinds[season], kinds[base]
    changes = [_fault_change(kind, now[kind], before[kind]) for kind in sorted(now.keys() & before.keys())]
    own = now.keys() - {"all"}
    if "all" in before and own and own <= before.keys():
        expected = sum(
            now[k]["connection_nights"] * before[k]["failed_points"] / before[k]["connection_nights"] for k in own
        )
        parts = [(float(row["failed_points"]), float(row["connection_nights"])) for row in (now["all"], before["all"])]
        row = _ratio("faults", "kinds_alone", "per 1,000 connection-nights", (expected, parts[0][1]), parts[1], NIGHTS)
        changes.append(_Change(row))
    return changes


def _fault_change(kind: str, now: Record, before: Record) -> _Change:
    parts = [(float(row["failed_points"]), float(row["connection_nights"])) for row in (now, before)]
    widening = max(1.0, now["widening"] or 1.0, before["widening"] or 1.0)

    def limits(confidence: float) -> tuple[float | None, float | None]:
        found = compare_rates(*parts[0], *parts[1], widening=widening, confidence=confidence)
        return found.low, found.high

    return _Change(_ratio("faults", kind, "per 1,000 connection-nights", parts[0], parts[1], NIGHTS), limits)


def _shares(measure: str, what: str, unit: str, now: tuple[int, int], before: tuple[int, int]) -> _Change:
    """A change between two shares, as their difference."""
    row = _ratio(measure, what, unit, now, before, 1)
    if not now[1] or not before[1]:
        return _Change(row | {"change_is": "difference", "change": None})
    row |= {"change_is": "difference", "change": now[0] / now[1] - before[0] / before[1]}
    return _Change(row, lambda confidence: share_difference_limits(*now, *before, confidence), none=0.0)


def _feeds(feeds: pl.DataFrame, season: int, base: int) -> list[_Change]:
    known = feeds.filter(pl.col("is_over").is_not_null())
    counts = [
        (int(rows["is_over"].sum()), rows.height)
        for rows in (known.filter(pl.col("season") == year) for year in (season, base))
    ]
    return [_shares("feeds", "over_a_limit", "of feeds", counts[0], counts[1])] if counts[0][1] else []


def _returns(properties: pl.DataFrame, base: int) -> list[_Change]:
    """The share of the season before's properties that came back, against that of the season before it."""
    known = properties.filter(pl.col("returned").is_not_null())
    counts = [
        (int(rows["returned"].sum()), rows.height)
        for rows in (known.filter(pl.col("season") == year) for year in (base, base - 1))
    ]
    return [_shares("returning", "properties", "of properties", counts[0], counts[1])] if counts[0][1] else []
