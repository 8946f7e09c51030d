"""Which connections fail, by kind, crew, surface and week, and whether they can be told apart."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import combinations

import numpy as np
import polars as pl

from pipeline.decisions.failure_groups import (
    Groups,
    group_failures,
    known_weeks,
    pooled_rates,
    with_expected,
    with_pooled_ratios,
    with_rates,
)
from pipeline.decisions.failure_terms import SCHEMA as TERMS
from pipeline.decisions.failure_terms import failure_terms
from pipeline.decisions.policy import WRONG_PAIR_CHANCE
from pipeline.statistics.control_charts import u_chart
from pipeline.statistics.rates import NIGHTS, add_failure_limits, compare_rates, holm

RATE = dict.fromkeys(("per_1000_connection_nights", "low", "high", "widening"), pl.Float64)
GROUPS = {
    "season": pl.Int32, "view": pl.String, "branch": pl.String, "name": pl.String, "jobs": pl.Int64,
    "connection_nights": pl.Float64, "failed_points": pl.Int64, **RATE,
    **dict.fromkeys(("expected_points", "ratio", "ratio_low", "ratio_high"), pl.Float64),
    **dict.fromkeys(("pooled_ratio", "pooled_low", "pooled_high"), pl.Float64),
}  # fmt: skip
WEEKS = {
    "season": pl.Int32, "week_start": pl.Date, "connection_nights": pl.Float64, "failed_points": pl.Int64, **RATE,
    **dict.fromkeys(("centre", "lower_limit", "upper_limit"), pl.Float64), "beyond": pl.String,
}  # fmt: skip
DISPERSION = {
    "season": pl.Int32, "view": pl.String, "pearson": pl.Float64, "freedom": pl.Int64, "chance": pl.Float64,
    "draws": pl.Int64, "factor": pl.Float64,
}  # fmt: skip
POOLED = ("pooled", "pooled_low", "pooled_high")
RATIOS = {
    "season": pl.Int32, "kind": pl.String, "other": pl.String, "failed_points": pl.Int64, "other_points": pl.Int64,
    "ratio": pl.Float64, "low": pl.Float64, "high": pl.Float64, "chance": pl.Float64, "chance_all_pairs": pl.Float64,
    "told_apart": pl.Boolean,
}  # fmt: skip


@dataclass(frozen=True)
class Failures:
    """A season's failures, each frame as its table in the store has it, and what must be said of them.

    `kinds` is measures.connection_failures, `groups` measures.failure_groups, `weeks` measures.failure_weeks,
    `dispersion` measures.failure_dispersion, `ratios` decisions.connection_ratios, `terms` decisions.failure_terms.
    """

    kinds: pl.DataFrame
    groups: pl.DataFrame
    weeks: pl.DataFrame
    dispersion: pl.DataFrame
    ratios: pl.DataFrame
    terms: pl.DataFrame
    notes: list[str]

    def tables(self) -> dict[str, pl.DataFrame]:
        """The frames by their names in the store."""
        return {
            "measures.connection_failures": self.kinds,
            "measures.failure_groups": self.groups,
            "measures.failure_weeks": self.weeks,
            "measures.failure_dispersion": self.dispersion,
            "decisions.connection_ratios": self.ratios,
            "decisions.failure_terms": self.terms,
        }


def season_failures(counts: pl.DataFrame, weeks: pl.DataFrame, *, season: int, seed: int) -> Failures:
    """Rates with limits, comparisons and pooled rates of one season's failures.

    `counts` is facts.connection_counts and `weeks` facts.connection_weeks. One rule widens every limit: by how much the
    counts of jobs spread within their kind, crew, surface or week, against Poisson counts; never narrowed, and also
    where the clustering could be chance, for a test that sees none is no proof of none. Rates of single groups have
    exact limits; ratios of crews and of surfaces to what was due, which are parts of one whole, have mid-P ones.
    """
    lit = known_weeks(weeks)
    if lit.is_empty():
        groups, shown, dispersion, ratios, terms = (
            pl.DataFrame(schema=schema) for schema in (GROUPS, WEEKS, DISPERSION, RATIOS, TERMS)
        )
        return Failures(_kinds(counts, {}), groups, shown, dispersion, ratios, terms, [])
    due = with_expected(lit)
    by_kind = group_failures(lit, ["kind"], "connection_nights")
    by_all = group_failures(due.with_columns(kind=pl.lit("all")), ["kind"], "expected")
    widening = dict(by_kind.frame.select("kind", "widening").iter_rows())
    kinds = _kinds(counts, widening | dict(by_all.frame.select("kind", "widening").iter_rows()))
    crews = group_failures(due, ["branch", "crew"], "expected")
    surfaces = group_failures(due, ["surface"], "expected")
    by_week = group_failures(due, ["week_start"], "expected")
    groups = pl.concat([_grouped(crews, "crew", season, seed), _grouped(surfaces, "surface", season, seed)])
    views = {"kind": by_kind, "crew": crews, "surface": surfaces, "week": by_week}
    dispersion = pl.DataFrame([_dispersion(view, of, season, seed) for view, of in views.items()], schema=DISPERSION)
    terms, notes = failure_terms(lit, season=season)
    return Failures(
        kinds, groups, _weeks(by_week, season), dispersion, _ratios(by_kind.frame, season), terms,
        notes,
    )  # fmt: skip


def _kinds(counts: pl.DataFrame, widening: dict[str, float]) -> pl.DataFrame:
    """Counts by branch and kind with rates, limits, the bounds that unknown kinds allow, and pooled rates."""
    wide = pl.col("kind").replace_strict(widening, default=1.0, return_dtype=pl.Float64)
    frame = add_failure_limits(counts.sort("branch", "kind").with_columns(widening=wide))
    most = (pl.col("failed_points") + pl.col("unknown_kind_points")) / pl.col("connection_nights") * NIGHTS
    frame = frame.with_columns(most_per_1000=pl.when(pl.col("connection_nights") > 0).then(most))
    nothing = [pl.lit(None, pl.Float64).alias(name) for name in POOLED]
    if frame.is_empty():
        return frame.with_columns(nothing)
    parts = []
    for _, rows in frame.group_by("branch", maintain_order=True):
        single = rows.filter(pl.col("kind") != "all")
        found = pooled_rates(single, "failed_points", "connection_nights")
        parts.append(single.with_columns((found[name] * NIGHTS).alias(name) for name in POOLED))
        parts.append(rows.filter(pl.col("kind") == "all").with_columns(nothing))
    return pl.concat(parts)


def _grouped(groups: Groups, view: str, season: int, seed: int) -> pl.DataFrame:
    frame = with_rates(with_pooled_ratios(groups, seed=seed))
    branch = pl.col("branch") if "branch" in frame.columns else pl.lit("all")
    return frame.with_columns(
        season=pl.lit(season, pl.Int32), view=pl.lit(view), branch=branch, name=pl.col(view),
        expected_points=pl.col("expected"), jobs=pl.col("jobs").cast(pl.Int64),
        failed_points=pl.col("failed_points").cast(pl.Int64),
    ).select(list(GROUPS))  # fmt: skip


def _weeks(groups: Groups, season: int) -> pl.DataFrame:
    """The u chart. A week widens its own limits by the clustering of all weeks, whose centre they share."""
    lit = with_rates(groups.frame.filter(pl.col("connection_nights") > 0))
    nights = lit["connection_nights"].to_numpy() / NIGHTS
    chart = u_chart(lit["failed_points"].to_numpy(), nights, max(1.0, groups.clustering.factor))
    beyond = np.where(chart.above, "above", np.where(chart.below, "below", "inside"))
    return lit.with_columns(
        season=pl.lit(season, pl.Int32), failed_points=pl.col("failed_points").cast(pl.Int64),
        centre=pl.lit(chart.centre), lower_limit=chart.low, upper_limit=chart.high, beyond=pl.Series(beyond.tolist()),
    ).select(list(WEEKS))  # fmt: skip


def _dispersion(view: str, groups: Groups, season: int, seed: int) -> dict[str, object]:
    chance, draws = groups.chance(seed)
    found = groups.clustering
    return {
        "season": season, "view": view, "pearson": found.pearson, "freedom": found.freedom, "chance": chance,
        "draws": draws, "factor": found.factor,
    }  # fmt: skip


def _ratios(kinds: pl.DataFrame, season: int) -> pl.DataFrame:
    """Every pair of kinds, the higher rate first; a pair is widened by the larger factor of both."""
    rated = kinds.filter(pl.col("connection_nights") > 0).with_columns(
        rate=pl.col("failed_points") / pl.col("connection_nights")
    )
    order = rated.sort(["rate", "kind"], descending=[True, False]).to_dicts()
    pairs = list(combinations(order, 2))
    found = [
        compare_rates(
            a["failed_points"], a["connection_nights"], b["failed_points"], b["connection_nights"],
            widening=max(a["widening"], b["widening"]),
        )
        for a, b in pairs
    ]  # fmt: skip
    adjusted = holm([one.chance for one in found])
    rows = [
        {"season": season, "kind": a["kind"], "other": b["kind"], "failed_points": int(a["failed_points"]),
         "other_points": int(b["failed_points"]), "ratio": one.ratio, "low": one.low, "high": one.high,
         "chance": one.chance, "chance_all_pairs": chance, "told_apart": chance < WRONG_PAIR_CHANCE}
        for (a, b), one, chance in zip(pairs, found, adjusted, strict=True)
    ]  # fmt: skip
    return pl.DataFrame(rows, schema=RATIOS)
