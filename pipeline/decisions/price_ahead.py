"""What each part of a foot's cost will be next season: rises, goods that stand already, overhead on other feet."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import polars as pl
from numpy.typing import NDArray

from pipeline.decisions.demand_new import new_jobs
from pipeline.decisions.returning import returning
from pipeline.settings import Settings

Floats = NDArray[np.float64]

FORECAST = {
    "season": pl.Int32, "part": pl.String, "now_usd_per_ft": pl.Float64, "rise_share": pl.Float64,
    "next_usd_per_ft": pl.Float64, "why": pl.String,
}  # fmt: skip
RISES = {
    "labor_usd": "rise_labor", "service_usd": "rise_labor", "materials_usd": "rise_goods",
    "travel_usd": "rise_other", "equipment_usd": "rise_other", "overhead_usd": "rise_other",
}  # fmt: skip
"""The setting that each part rises by."""
IN_ORDER = ("labor_usd", "materials_usd", "travel_usd", "equipment_usd", "service_usd", "overhead_usd")


@dataclass(frozen=True)
class Ahead:
    """What is known of next season beside the rises.

    `settled_usd` is what goods that stand already will cost it, at what was paid for them; `fixed_share` the share of
    overhead that is fixed; `growth` next season's expected feet over this one's. `notes` say where they come from.
    """

    settled_usd: float = 0.0
    fixed_share: float = 0.0
    growth: float = 1.0
    notes: tuple[str, ...] = ()


def factors_of(jobs: pl.DataFrame, settings: Settings, ahead: Ahead) -> dict[str, float]:
    """By which factor each part of `jobs` (measures.job_cost) will cost more a foot next season.

    Goods that stand already do not get dearer: their part of the materials keeps its price. Fixed overhead lies on next
    season's feet.
    """
    factors = {part: 1 + float(settings.number(rise) or 0) for part, rise in RISES.items()}
    goods = float(jobs["materials_usd"].cast(pl.Float64).fill_null(0).sum())
    settled = min(1.0, ahead.settled_usd / goods) if goods > 0 else 0.0
    factors["materials_usd"] = settled + (1 - settled) * factors["materials_usd"]
    factors["overhead_usd"] *= 1 - ahead.fixed_share + ahead.fixed_share / ahead.growth
    return factors


def next_costs(jobs: pl.DataFrame, factors: dict[str, float]) -> Floats:
    """What each of the jobs would cost in the next season, usd: its parts by their factors."""
    total = np.zeros(jobs.height)
    for part in RISES:
        total += jobs[part].cast(pl.Float64).fill_null(0).to_numpy() * factors[part]
    return total


def expected_growth(
    jobs: pl.DataFrame, properties: pl.DataFrame, settings: Settings, *, season: int, seed: int
) -> tuple[float, str]:
    """Next season's expected feet over this one's, and where that comes from; 1 where returns are not known.

    `jobs` is measures.job_cost and `properties` facts.property_seasons, of every season in the store. Properties that
    return bring this season's mean feet of their terms; new jobs this season's mean feet of new work.
    """
    rng = np.random.default_rng(seed)
    now = jobs.filter((pl.col("season") == season) & (pl.col("feet") > 0))
    feet = now["feet"].cast(pl.Float64)
    returns = returning(properties, settings, season, rng)
    seen = properties.filter((pl.col("season") < season) & pl.col("returned").is_not_null()).height
    if now.is_empty() or not (seen or settings.number("return_rate") is not None):
        return 1.0, "Fixed overhead is taken on this season's feet: how many properties return is not known."
    new = now.filter(pl.col("work") == "new")
    by_season = jobs.filter((pl.col("season") <= season) & (pl.col("work") == "new"))
    counts = dict(by_season.group_by("season").len().sort("season").iter_rows())
    counts.setdefault(season, 0)
    drawn, _ = new_jobs([counts[year] for year in sorted(counts)], settings, rng)
    mean_new = (new if new.height else now)["feet"].cast(pl.Float64).to_numpy().mean()
    expected = float(np.median(drawn) * mean_new)
    means = returns.chances.mean(axis=0)[returns.cell]
    means = np.where(np.isnan(returns.known), means, returns.known)
    back = returns.properties.select("terms").with_columns(chance=pl.Series(means))
    for terms, chance in back.group_by("terms").agg(pl.col("chance").mean()).sort("terms").iter_rows():
        expected += chance * float(now.filter(pl.col("terms") == terms)["feet"].cast(pl.Float64).sum())
    growth = expected / float(feet.sum())
    if growth <= 0:
        return 1.0, "Fixed overhead is taken on this season's feet: no job is expected."
    said = (
        f"Fixed overhead is spread over the {expected:,.0f} ft expected next season; this one had {feet.sum():,.0f} ft."
    )
    return growth, said


def look_ahead(
    jobs: pl.DataFrame,
    properties: pl.DataFrame,
    schedule: pl.DataFrame,
    overheads: pl.DataFrame,
    settings: Settings,
    *,
    season: int,
    seed: int,
) -> Ahead:
    """What the store knows of next season. `schedule` is measures.leased_schedule, `overheads` records.overheads of the
    season; the rest as for `expected_growth`.
    """
    growth, said = expected_growth(jobs, properties, settings, season=season, seed=seed)
    borne = schedule.filter((pl.col("season") == season) & (pl.col("later_season") == season + 1))["borne_usd"]
    settled = float(borne.cast(pl.Float64).sum())
    amounts = overheads["amount"].cast(pl.Float64)
    fixed = float(amounts.filter(overheads["behaves"] == "fixed").sum())
    share = fixed / float(amounts.sum()) if amounts.sum() else 0.0
    notes = [said] if share else []
    if settled and settings.number("rise_goods"):
        notes.append(f"${settled:,.0f} of next season's goods stand already and do not get dearer.")
    return Ahead(settled, share, growth, tuple(notes))


def cost_forecast(jobs: pl.DataFrame, settings: Settings, ahead: Ahead, *, season: int) -> pl.DataFrame:
    """Rows of decisions.cost_forecast: each part of a foot now and next season, over `jobs` (measures.job_cost)."""
    feet = float(jobs["feet"].cast(pl.Float64).sum())
    if not feet:
        return pl.DataFrame(schema=FORECAST)
    factors = factors_of(jobs, settings, ahead)
    rows = []
    for part in IN_ORDER:
        if jobs[part].null_count() < jobs.height:
            now = float(jobs[part].cast(pl.Float64).sum()) / feet
            rows.append(
                (season + 1, part.removesuffix("_usd"), now, factors[part] - 1, now * factors[part], _why(part))
            )
    now = sum(row[2] for row in rows)
    later = sum(row[4] for row in rows)
    rows.append((season + 1, "all", now, later / now - 1 if now else 0.0, later, "all parts"))
    return pl.DataFrame(rows, schema=FORECAST, orient="row")


def _why(part: str) -> str:
    more = {"materials_usd": "; goods that stand already keep their price", "overhead_usd": "; fixed overhead on next "
            "season's feet"}  # fmt: skip
    return f"setting {RISES[part]}{more.get(part, '')}"
