"""Next season's need of every item, by simulation: new work, replacements, and goods that come back."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import polars as pl
from numpy.typing import NDArray

from pipeline.decisions.policy import DEMAND_DRAWS
from pipeline.settings import Settings
from pipeline.statistics.bootstrap import times_drawn

Floats = NDArray[np.float64]
Counts = NDArray[np.int64]
_JOB = ("season", "branch", "job_no")


@dataclass(frozen=True)
class Demand:
    """Draws of next season by item: a row a draw, a column an item of `items`, in the item's unit.

    `new` is what new work takes, `replaced` what goes to returning properties, `back` the usable part of what leased
    jobs that do not return give back.
    """

    items: list[str]
    new: Floats
    replaced: Floats
    back: Floats
    notes: list[str]

    @property
    def needs(self) -> Floats:
        """What stock and purchases must cover."""
        return np.maximum(self.new + self.replaced - self.back, 0)


def _matrix(rows: pl.DataFrame, items: list[str], column: str) -> Floats:
    """Jobs by items."""
    if rows.is_empty():
        return np.zeros((0, len(items)))
    wide = rows.sort(*_JOB, "item_no").pivot("item_no", index=_JOB, values=column, aggregate_function="sum")
    missing = [pl.lit(0.0).alias(name) for name in items if name not in wide.columns]
    return wide.with_columns(missing).select(pl.col(items).fill_null(0.0)).to_numpy()


def resampled(jobs: Floats, counts: Counts, rng: np.random.Generator) -> Floats:
    """Sums over `counts` jobs drawn whole with replacement, a row a draw: what goes together stays together."""
    if not len(jobs):
        return np.zeros((len(counts), jobs.shape[1]))
    return np.asarray(times_drawn(len(jobs), counts, rng) @ jobs)


def returning(
    properties: pl.DataFrame, settings: Settings, season: int, rng: np.random.Generator
) -> tuple[dict[str, tuple[Counts, Counts]], str]:
    """Draws of how many of the season's properties return and how many do not, by terms, and what the chance rests on.

    `properties` is facts.property_seasons. Beta-binomial on the pairs of seasons in the store, a flat prior, by terms;
    else the setting return_rate; else nobody returns and nobody's goods come back: neither is known.
    """
    from pipeline.statistics.intervals import clopper_pearson_limits

    distinct = properties.sort("season", "property_no", "branch").unique(
        ["season", "property_no"], keep="first", maintain_order=True
    )
    now = distinct.filter(pl.col("season") == season)
    past = distinct.filter((pl.col("season") < season) & pl.col("returned").is_not_null())
    given = settings.number("return_rate")
    out: dict[str, tuple[Counts, Counts]] = {}
    for terms in ("leased", "sold"):
        count = now.filter(pl.col("terms") == terms).height
        pairs = past.filter(pl.col("terms") == terms)
        came = int(pairs["returned"].sum())
        if past.height:
            back = rng.binomial(count, rng.beta(came + 1, pairs.height - came + 1, DEMAND_DRAWS))
        elif given is not None:
            back = rng.binomial(count, float(given), DEMAND_DRAWS)
        else:
            nobody = np.zeros(DEMAND_DRAWS, dtype=np.int64)
            out[terms] = (nobody, nobody)
            continue
        out[terms] = (back.astype(np.int64), (count - back).astype(np.int64))
    if past.height:
        came, seen = int(past["returned"].sum()), past.height
        low, high = clopper_pearson_limits(came, seen)
        limits = f"{came / seen * 100:.0f} %, 95 % limits {low * 100:.0f} to {high * 100:.0f} %"
        return out, f"{came} of {seen} properties of earlier seasons came back the next one: {limits}."
    if given is not None:
        return out, "Returning properties follow the setting return_rate."
    return out, "Returning properties are left out: one season shows no returns, and return_rate is not given."


def new_jobs(by_season: list[int], settings: Settings, rng: np.random.Generator) -> tuple[Counts, list[str]]:
    """Draws of the number of new jobs, and where it comes from.

    `by_season` has the new jobs of each season in the store, the last one closed. Triangular between the settings
    new_jobs_low, new_jobs_likely and new_jobs_high where they are given; else about the last season's number, spread
    as the seasons were and no less than a Poisson count.
    """
    low, likely, high = (settings.number(f"new_jobs_{name}") for name in ("low", "likely", "high"))
    notes = []
    if low is not None and likely is not None and high is not None:
        if low < high and low <= likely <= high:
            drawn = rng.triangular(float(low), float(likely), float(high), DEMAND_DRAWS)
            said = f"New jobs lie between {low:.0f} and {high:.0f}, most likely {likely:.0f}, as the settings say."
            return np.rint(drawn).astype(np.int64), [said]
        if low == likely == high:
            return np.full(DEMAND_DRAWS, int(low)), [f"New jobs are {low:.0f}, as the settings say."]
        notes.append("new_jobs_low, new_jobs_likely and new_jobs_high do not rise in that order and are not used.")
    last = by_season[-1] if by_season else 0
    seen = float(np.std(by_season, ddof=1)) if len(by_season) > 1 else 0.0
    drawn = rng.normal(last, max(seen, np.sqrt(last)), DEMAND_DRAWS)
    notes.append(
        f"New jobs vary about this season's {last}; give new_jobs_low, new_jobs_likely and new_jobs_high to do better."
    )
    return np.maximum(0, np.rint(drawn)).astype(np.int64), notes


def _used(job_items: pl.DataFrame, season: int) -> pl.DataFrame:
    """Rows up to the season with `use`: net issue, but for new work without any the built quantity."""
    rows = job_items.filter(pl.col("season") <= season).with_columns(
        pl.col("net", "built").cast(pl.Float64).fill_null(0)
    )
    unissued = (pl.col("work") == "new") & (pl.col("net") <= 0)
    return rows.with_columns(use=pl.when(unissued).then("built").otherwise("net"))


def next_season(
    job_items: pl.DataFrame, properties: pl.DataFrame, settings: Settings, *, season: int, seed: int
) -> Demand:
    """Draw next season's need.

    `job_items` (facts.job_items) and `properties` (facts.property_seasons) hold every season of the store. New work:
    whole new jobs of the season, drawn again. Replacements: whole repeat jobs of all seasons of the same terms, one
    for each property that returns. Back: what stands in whole leased jobs of the season, one for each leased property
    that does not return, times doubtful_share.
    """
    rng = np.random.default_rng(seed)
    used = _used(job_items, season)
    items = used["item_no"].unique().sort().to_list()
    new = used.filter(pl.col("work") == "new")
    counts = new.group_by("season").agg(jobs=pl.struct("branch", "job_no").n_unique()).sort("season")
    closed = new.filter(pl.col("season") == season)
    jobs_by_season = dict(counts.iter_rows())
    jobs_by_season.setdefault(season, 0)
    count, notes = new_jobs(list(jobs_by_season.values()), settings, rng)
    took = resampled(_matrix(closed if closed.height else new, items, "use"), count, rng)
    chances, said = returning(properties, settings, season, rng)
    notes.append(said)
    replaced, back = np.zeros_like(took), np.zeros_like(took)
    for terms, (come, gone) in chances.items():
        repeat = used.filter((pl.col("work") == "repeat") & (pl.col("terms") == terms))
        if repeat.is_empty() and come.any():
            notes.append(f"No repeat work on {terms} goods is recorded yet, so their replacements are left out.")
        replaced += resampled(_matrix(repeat, items, "use"), come, rng)
        if terms == "leased":
            stands = used.filter((pl.col("season") == season) & (pl.col("terms") == terms))
            usable = float(settings.number("doubtful_share") or 0)
            back += usable * resampled(_matrix(stands, items, "built"), gone, rng)
    if back.any():
        notes.append("Needs are less what comes back from leased jobs that end, counted at doubtful_share.")
    notes.append("Replacements are as past repeat work shows them; goods at the end of their life are no more.")
    return Demand(items, took, replaced, back, notes)
