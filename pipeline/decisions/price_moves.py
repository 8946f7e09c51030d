"""What moves the price: each cause over the range in which its weeks lay, and by a tenth more."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import polars as pl
from numpy.typing import NDArray

from pipeline.decisions.policy import MIN_JOBS_A_WEEK, MIN_WEEKS
from pipeline.decisions.price_ahead import RISES, Ahead

Floats = NDArray[np.float64]

MOVES = {
    "season": pl.Int32, "cause": pl.String, "unit": pl.String, "now": pl.Float64, "low": pl.Float64,
    "high": pl.Float64, "price_at_low": pl.Float64, "price_at_high": pl.Float64, "price_at_tenth_more": pl.Float64,
    "why": pl.String,
}  # fmt: skip
TENTH = 0.1
ENDS = (0.1, 0.9)
"""Ends of the range over which a cause is moved: one week in ten lies beyond each."""
LINE = ("line_built_usd", "line_offcut_usd")
HOUSE_HOURS = ("prep_hours", "install_hours", "takedown_hours", "storage_hours")


def weighted_quantile(values: Sequence[float], weights: Sequence[float], at: float) -> float:
    """The least value with at least a share `at` of the weight at or below it."""
    order = np.argsort(values, kind="stable")
    reached = np.cumsum(np.asarray(weights)[order]) / np.sum(weights)
    return float(np.asarray(values)[order][min(int(np.searchsorted(reached, at - 1e-12)), len(order) - 1)])


def _range(weeks: pl.DataFrame, top: str, bottom: str) -> tuple[float, float] | None:
    """P10 and P90 over weeks of a ratio of sums, weighted by feet; None where too few weeks have jobs enough."""
    known = weeks.filter((pl.col("jobs") >= MIN_JOBS_A_WEEK) & (pl.col(bottom) > 0)).sort("week")
    if known.height < MIN_WEEKS:
        return None
    ratios = (known[top] / known[bottom]).to_list()
    low, high = (weighted_quantile(ratios, known["feet"].to_list(), at) for at in ENDS)
    return low, high


def line_offcuts(job_items: pl.DataFrame, unit_costs: pl.DataFrame) -> pl.DataFrame:
    """For each new job with light line: line_built_usd, what its fastened line cost, and line_offcut_usd, what was used
    beyond it. `job_items` is facts.job_items and `unit_costs` facts.unit_costs of the season.
    """
    costs = unit_costs.filter(pl.col("cost_quantity") > 0).select(
        "item_no", each=pl.col("cost_usd").cast(pl.Float64) / pl.col("cost_quantity").cast(pl.Float64)
    )
    lines = job_items.filter((pl.col("kind") == "light_line") & (pl.col("work") == "new") & (pl.col("built") > 0))
    both = lines.join(costs, on="item_no", how="inner", validate="m:1").with_columns(
        pl.col("net", "built").cast(pl.Float64)
    )
    beyond = (pl.col("net") - pl.col("built")).clip(lower_bound=0)
    return both.group_by("branch", "job_no").agg(
        line_built_usd=(pl.col("built") * pl.col("each")).sum(), line_offcut_usd=(beyond * pl.col("each")).sum()
    )


def _joined(jobs: pl.DataFrame, hours: pl.DataFrame, offcuts: pl.DataFrame) -> pl.DataFrame:
    names = (*HOUSE_HOURS, "drive_hours")
    own = hours.select("branch", "job_no", *(pl.col(name).cast(pl.Float64).fill_null(0) for name in names))
    money = tuple(RISES)
    both = jobs.filter(pl.col("feet") > 0).join(own, on=["branch", "job_no"], how="left", validate="1:1")
    both = both.join(offcuts, on=["branch", "job_no"], how="left", validate="1:1")
    return both.with_columns(
        *(pl.col(name).cast(pl.Float64).fill_null(0) for name in (*money, "feet", *names, *LINE)),
        week=pl.col("install_date").dt.truncate("1w"),
        house_hours=pl.sum_horizontal(pl.col(name).fill_null(0).cast(pl.Float64) for name in HOUSE_HOURS),
    ).with_columns(hours=pl.col("house_hours") + pl.col("drive_hours"), one=pl.lit(1.0))


def _causes(
    whole: dict[str, float], parts: dict[str, float], offcut: float, *, own_hours: bool
) -> list[tuple[str, str, str, str, float, str]]:
    """Each cause: name, unit, the columns whose ratio it is, the usd that it moves, and the part that it moves."""
    causes: list[tuple[str, str, str, str, float, str]] = []
    if own_hours and whole["hours"] > 0:
        at_house = whole["house_hours"] / whole["hours"]
        driven = parts["labor_usd"] * (1 - at_house) + parts["travel_usd"]
        causes = [
            ("pay of an hour", "usd/h", "labor_usd", "hours", parts["labor_usd"], "labor"),
            ("hours at the house", "h/ft", "house_hours", "feet", parts["labor_usd"] * at_house, "labor at the house"),
            ("hours of driving", "h/job", "drive_hours", "one", driven, "labor of driving, and miles"),
        ]
    causes += [
        ("goods", "usd/ft", "materials_usd", "feet", parts["materials_usd"], "materials"),
        ("offcut of new line", "share", LINE[1], LINE[0], offcut, "materials: line beyond the feet"),
        ("faults", "usd/ft", "service_usd", "feet", parts["service_usd"], "service"),
    ]
    return causes


def price_moves(
    jobs: pl.DataFrame,
    hours: pl.DataFrame,
    offcuts: pl.DataFrame,
    factors: dict[str, float],
    ahead: Ahead,
    *,
    price: float | None,
    returns: tuple[float, float, float] | None,
    season: int,
) -> pl.DataFrame:
    """Rows of decisions.price_moves, the one that moves the price furthest first.

    `jobs` is measures.job_cost, `hours` facts.job_hours and `offcuts` `line_offcuts` of the season; `factors` what
    each part costs next season; `price` the price advised, usd a foot; `returns` the share of
    properties that return with the ends of its range. A cause that costs d more a foot puts the price up by
    price x d / cost. None without a price.
    """
    if price is None or jobs.is_empty():
        return pl.DataFrame(schema=MOVES)
    joined = _joined(jobs, hours, offcuts)
    summed = [name for name, kind in joined.schema.items() if kind == pl.Float64]
    weeks = joined.group_by("week").agg(pl.col(summed).sum(), jobs=pl.len())
    whole = {name: float(joined[name].sum()) for name in summed}
    parts = {part: whole[part] * factors[part] for part in RISES}
    cost = sum(parts.values())
    rows: list[tuple] = []
    offcut = whole["line_offcut_usd"] * factors["materials_usd"]
    causes = _causes(whole, parts, offcut, own_hours=joined["has_own_hours"].all())
    for cause, unit, top, bottom, moved, why in causes:
        if moved <= 0 or whole[bottom] <= 0 or whole[top] <= 0:
            continue
        now = whole[top] / whole[bottom]
        between = _range(weeks, top, bottom)
        ends = [price * (1 + moved * (end / now - 1) / cost) for end in between] if between else [None, None]
        tenth = price * (1 + TENTH * moved / cost)
        low, high = between or (None, None)
        rows.append((season + 1, cause, unit, now, low, high, *ends, tenth, why))
    rows += _returning(ahead, parts, cost, price, returns, season)
    table = pl.DataFrame(rows, schema=MOVES, orient="row")
    reach = (pl.col("price_at_high") - pl.col("price_at_low")).abs().fill_null(0)
    return table.sort(reach, pl.col("price_at_tenth_more"), "cause", descending=[True, True, False])


def _returning(
    ahead: Ahead,
    parts: dict[str, float],
    cost: float,
    price: float,
    returns: tuple[float, float, float] | None,
    season: int,
) -> list[tuple]:
    """The share of properties that return: more of them bear the fixed overhead."""
    if returns is None or not ahead.fixed_share or parts["overhead_usd"] <= 0:
        return []
    now, low, high = returns
    fixed = parts["overhead_usd"] * ahead.fixed_later

    def at(share: float) -> float:
        growth = ahead.growth + share - now
        return price * (1 + fixed * (ahead.growth / growth - 1) / cost) if growth > 0 else price

    tenth = min(1.0, now * (1 + TENTH))
    why = "fixed overhead, on more or fewer feet"
    return [(season + 1, "returning properties", "share", now, low, high, at(low), at(high), at(tenth), why)]
