"""What each part of a foot's cost will be next season: rises, goods that stand already, overhead on other feet."""

from __future__ import annotations

from dataclasses import dataclass, field, replace

import numpy as np
import polars as pl
from numpy.typing import NDArray

from pipeline.decisions.demand_new import new_jobs
from pipeline.decisions.policy import LEAST_GROWTH
from pipeline.decisions.returning import Returns, returning
from pipeline.settings import Settings

Floats = NDArray[np.float64]

RISES = {
    "labor_usd": "rise_labor", "service_usd": "rise_labor", "materials_usd": "rise_goods",
    "travel_usd": "rise_other", "equipment_usd": "rise_other", "overhead_usd": "rise_other",
}  # fmt: skip
"""The setting that each part rises by."""


@dataclass(frozen=True)
class Ahead:
    """What is known of next season beside the rises.

    `settled_usd` is what goods that stand already will cost it, at what was paid for them; `fixed_share` the share of
    overhead that is fixed; `growth` next season's expected feet over this one's, `growths` draws of them (none where
    they are not known). `notes` say where they come from.
    """

    settled_usd: float = 0.0
    fixed_share: float = 0.0
    growth: float = 1.0
    growths: Floats = field(default_factory=lambda: np.ones(0), compare=False)
    notes: tuple[str, ...] = ()

    @property
    def fixed_later(self) -> float:
        """The share of next season's overhead that is fixed: it lies thinner on more feet, and the rest does not."""
        held = self.fixed_share / self.growth
        return held / (held + 1 - self.fixed_share)

    def by_feet(self, overhead_share: float, draws: int) -> Floats:
        """Draws of the factor by which the feet that come move a cost a foot of which `overhead_share` is overhead."""
        if not self.fixed_share or not len(self.growths):
            return np.ones(draws)
        return 1 + overhead_share * self.fixed_later * (self.growth / np.resize(self.growths, draws) - 1)


def factors_of(jobs: pl.DataFrame, settings: Settings, ahead: Ahead, years: int = 1) -> dict[str, float]:
    """By which factor each part of `jobs` (measures.job_cost) will cost more a foot `years` seasons later.

    Goods that stand already do not get dearer: their part of the materials keeps its price. Fixed overhead lies on next
    season's feet.
    """
    factors = {part: (1 + float(settings.number(rise) or 0)) ** years for part, rise in RISES.items()}
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


def _drawn_growth(now: pl.DataFrame, returns: Returns, new: NDArray[np.int64], rng: np.random.Generator) -> Floats:
    """Draws of next season's feet over this one's: who returns, how many are new, and how long their rooflines are.

    Properties that return bring this season's mean feet of their terms; new jobs that of new work. Which of them return
    and how long the new ones are adds what a sum of as many lengths varies by.
    """
    fresh = now.filter(pl.col("work") == "new")
    lengths = (fresh if fresh.height else now)["feet"].cast(pl.Float64).to_numpy()
    feet, moving = new * lengths.mean(), new * lengths.var()
    by_terms = {terms: now.filter(pl.col("terms") == terms)["feet"].cast(pl.Float64) for terms in ("leased", "sold")}
    for terms in ("leased", "sold"):
        here = (returns.properties["terms"] == terms).to_numpy()
        if not here.any() or by_terms[terms].is_empty():
            continue
        count = np.full(len(new), float(np.nansum(returns.known[here])))
        for cell in np.unique(returns.cell[here]):
            unknown = int((here & (returns.cell == cell) & np.isnan(returns.known)).sum())
            count += rng.binomial(unknown, returns.chances[: len(new), cell])
        each = float(by_terms[terms].sum()) / int(here.sum())
        feet = feet + each * count
        moving = moving + count * (1 - count / int(here.sum())) * float(by_terms[terms].to_numpy().var())
    whole = float(now["feet"].cast(pl.Float64).sum())
    return np.asarray((feet + np.sqrt(moving) * rng.standard_normal(len(new))) / whole)


def expected_growth(
    jobs: pl.DataFrame, properties: pl.DataFrame, settings: Settings, *, season: int, seed: int
) -> tuple[float, Floats, str]:
    """Next season's expected feet over this one's, draws of them, and where that comes from; 1 and no draws where
    returns are not known.

    `jobs` is measures.job_cost and `properties` facts.property_seasons, of every season in the store. What is expected
    is the middle of the draws; none is under LEAST_GROWTH.
    """
    rng = np.random.default_rng(seed)
    now = jobs.filter((pl.col("season") == season) & (pl.col("feet") > 0))
    returns = returning(properties, settings, season, rng)
    seen = properties.filter((pl.col("season") < season) & pl.col("returned").is_not_null()).height
    if now.is_empty() or not (seen or settings.number("return_rate") is not None):
        said = "Fixed overhead is taken on this season's feet: how many properties return is not known."
        return 1.0, np.ones(0), said
    by_season = jobs.filter((pl.col("season") <= season) & (pl.col("work") == "new"))
    counts = dict(by_season.group_by("season").len().sort("season").iter_rows())
    counts.setdefault(season, 0)
    drawn, _ = new_jobs([counts[year] for year in sorted(counts)], settings, rng)
    growths = _drawn_growth(now, returns, drawn, rng)
    growth = float(np.median(growths))
    feet = float(now["feet"].cast(pl.Float64).sum())
    if growth <= 0:
        return 1.0, np.ones(0), "Fixed overhead is taken on this season's feet: no job is expected."
    low, high = np.quantile(growths, [0.1, 0.9]).clip(0) * feet
    said = (
        f"Fixed overhead is spread over the {growth * feet:,.0f} ft expected next season, between {low:,.0f} and "
        f"{high:,.0f} ft in four seasons of five; this one had {feet:,.0f} ft."
    )
    return max(growth, LEAST_GROWTH), growths.clip(LEAST_GROWTH), said


def standing(schedule: pl.DataFrame, overheads: pl.DataFrame, season: int) -> Ahead:
    """What a season's records alone say of the next one: goods that stand already, and the fixed share of overhead.

    `schedule` is measures.leased_schedule and `overheads` records.overheads, of every season in the store.
    """
    borne = schedule.filter((pl.col("season") == season) & (pl.col("later_season") == season + 1))["borne_usd"]
    own = overheads.filter(pl.col("season") == season)
    amounts = own["amount"].cast(pl.Float64)
    fixed = float(amounts.filter(own["behaves"] == "fixed").sum())
    return Ahead(float(borne.cast(pl.Float64).sum()), fixed / float(amounts.sum()) if amounts.sum() else 0.0)


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
    """What the store knows of next season: `standing` and `expected_growth`, whose inputs these are."""
    known = standing(schedule, overheads, season)
    growth, growths, said = expected_growth(jobs, properties, settings, season=season, seed=seed)
    notes = [said] if known.fixed_share else []
    if known.settled_usd and settings.number("rise_goods"):
        notes.append(f"${known.settled_usd:,.0f} of next season's goods stand already and do not get dearer.")
    return replace(known, growth=growth, growths=growths, notes=tuple(notes))
