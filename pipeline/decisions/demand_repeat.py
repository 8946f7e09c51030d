"""What the season's properties take and give back: replacements, renewals at the end of life, goods that return."""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np
import polars as pl
from numpy.typing import NDArray

from pipeline.decisions.demand_new import matrix
from pipeline.decisions.policy import DEMAND_DRAWS, RENEWED_SHARE
from pipeline.statistics.counts import UnitRates, clumping, counts_at, unit_rates

Floats = NDArray[np.float64]
Counts = NDArray[np.int64]
Pairs = dict[tuple[str, str], int]
TERMS = ("leased", "sold")
DEFAULT_LIFE = 4.0
"""Seasons that goods last where items does not say, as the vocabulary has it."""


@dataclass(frozen=True)
class Standing:
    """What stands at the season's properties: a row a property, a column an item, in the item's unit.

    `exposed` is what replacements follow, by terms; `ending` what reaches the end of its life by next season; `back`
    what would come back usable from a property that does not return.
    """

    exposed: dict[str, Floats]
    ending: Floats
    back: Floats


@dataclass(frozen=True)
class Repeat:
    """Draws of the rates at which goods are replaced, by terms, and of the chance of renewal at the end of life.

    `rates` has a row a draw and a column an item; of each kind of item `kinds` has its columns, `clumps` the clumping
    of its counts, and `renewal` a column of draws.
    """

    rates: dict[str, Floats]
    kinds: list[Counts]
    clumps: list[float]
    renewal: Floats
    notes: list[str] = field(default_factory=list)


def aged(job_items: pl.DataFrame, properties: pl.DataFrame, items: pl.DataFrame, season: int) -> pl.DataFrame:
    """Rows up to the season with `age` of the goods that season, `age_next`, `life` and `is_big`, in Float64.

    Goods are as old as the property's first season says, or as the last time that RENEWED_SHARE of them or more was
    issued there again.
    """
    key = ["season", "branch", "property_no"]
    lives = items.select("item_no", life=pl.col("life_seasons").cast(pl.Float64)).unique("item_no")
    rows = job_items.filter(pl.col("season") <= season).with_columns(pl.col("net", "built").cast(pl.Float64))
    tenures = properties.select(*key, "tenure").unique(key)
    rows = rows.join(tenures, on=key, how="left").join(lives, on="item_no", how="left")
    big = (pl.col("work") == "repeat") & (pl.col("built") > 0) & (pl.col("net") >= RENEWED_SHARE * pl.col("built"))
    rows = rows.with_columns(
        life=pl.col("life").fill_null(DEFAULT_LIFE), is_big=big.fill_null(False),
        first=pl.col("season") - pl.col("tenure").fill_null(1) + 1,
    ).sort("property_no", "item_no", "season", "branch", "job_no")  # fmt: skip
    goods = ["property_no", "item_no"]
    again = pl.when("is_big").then("season")
    rows = rows.with_columns(
        cut=pl.max_horizontal("first", again.shift(1).over(goods).forward_fill().over(goods)),
        cut_now=pl.max_horizontal("first", again.over(goods).forward_fill().over(goods)),
    )
    return rows.with_columns(age=pl.col("season") - pl.col("cut"), age_next=season + 1 - pl.col("cut_now"))


def _by_kind(rows: pl.DataFrame) -> dict[str, list[str]]:
    kinds: dict[str, list[str]] = {}
    for kind, item in (
        rows.select(pl.col("kind").fill_null("other"), "item_no").unique().sort("kind", "item_no").iter_rows()
    ):
        kinds.setdefault(kind, []).append(item)
    return kinds


def counted_by_job(repeat: pl.DataFrame) -> set[str]:
    """Kinds of which no repeat job says what stands there: their replacements go by the job."""
    known = repeat.group_by(pl.col("kind").fill_null("other")).agg(pl.col("built").fill_null(0).sum())
    return {kind for kind, built in known.iter_rows() if not built > 0}


def _rates(own: pl.DataFrame, names: list[str], jobs: dict[str, int] | None) -> tuple[UnitRates | None, Pairs]:
    """The rates of a kind's items by terms, and the place of each pair among them; None where nothing was exposed.

    `own` has the kind's rows on repeat jobs that were no renewals; `jobs` the repeat jobs by terms where the rate goes
    by the job.
    """
    pairs: Pairs = {(name, terms): n for n, (name, terms) in enumerate((a, b) for a in names for b in TERMS)}
    counts, exposures = np.zeros(len(pairs)), np.zeros(len(pairs))
    if jobs is not None:
        exposures += [float(jobs.get(terms, 0)) for _, terms in pairs]
        rows = own.with_columns(exposure=pl.lit(1.0))
    else:
        rows = own.filter(pl.col("built") > 0).with_columns(exposure=pl.col("built"))
        for name, terms, built in rows.group_by("item_no", "terms").agg(pl.col("built").sum()).iter_rows():
            exposures[pairs[name, terms]] += built
    rows = rows.with_columns(took=pl.col("net").fill_null(0).clip(lower_bound=0))
    for name, terms, took in rows.group_by("item_no", "terms").agg(pl.col("took").sum()).iter_rows():
        counts[pairs[name, terms]] += took
    if not exposures.any():
        return None, pairs
    place = np.array([pairs[pair] for pair in rows.select("item_no", "terms").iter_rows()], dtype=np.int64)
    rate = np.divide(counts, exposures, out=np.zeros_like(counts), where=exposures > 0)
    took, expected = rows["took"].to_numpy(), rows["exposure"].to_numpy() * rate[place]
    return unit_rates(counts, exposures, clumping(took, expected, int((exposures > 0).sum()))), pairs


def repeat_work(rows: pl.DataFrame, items: list[str], rng: np.random.Generator) -> Repeat:
    """Draws of rates of replacement and of renewal from all repeat jobs of `rows` (see `aged`).

    Replacements: net issues per unit that stands there, by item and terms, drawn toward their kind. Renewal: of
    leased goods at or past the end of their life, the share that was renewed, by kind, from a flat prior.
    """
    repeat = rows.filter(pl.col("work") == "repeat")
    rates = {terms: np.zeros((DEMAND_DRAWS, len(items))) for terms in TERMS}
    kinds: list[Counts] = []
    clumps: list[float] = []
    renewal: list[Floats] = []
    at_end = (pl.col("terms") == "leased") & (pl.col("age") >= pl.col("life")) & (pl.col("built") > 0)
    by_job = counted_by_job(repeat)
    jobs = dict(repeat.group_by("terms").agg(pl.struct("season", "branch", "job_no").n_unique()).iter_rows())
    notes = []
    for kind, names in _by_kind(rows).items():
        own = repeat.filter(pl.col("kind").fill_null("other") == kind)
        kinds.append(np.array([items.index(name) for name in names]))
        ended = own.filter(at_end)
        renewed = int(ended["is_big"].sum())
        renewal.append(rng.beta(renewed + 1, ended.height - renewed + 1, DEMAND_DRAWS))
        fitted, pairs = _rates(own.filter(~(at_end & pl.col("is_big"))), names, jobs if kind in by_job else None)
        clumps.append(fitted.clumps if fitted else 1.0)
        if fitted is None:
            continue
        for (name, terms), place in pairs.items():
            rates[terms][:, items.index(name)] = fitted.drawn(place, DEMAND_DRAWS, rng)
    if repeat.is_empty():
        notes.append("No repeat work is recorded yet, so what returning properties will need is left out.")
    shares = np.stack(renewal, axis=1) if renewal else np.zeros((DEMAND_DRAWS, 0))
    return Repeat(rates, kinds, clumps, shares, notes)


def standing(
    rows: pl.DataFrame, properties: pl.DataFrame, items: list[str], season: int, usable: float, beyond: dict[str, float]
) -> Standing:
    """What stands at the season's `properties`, from rows (see `aged`); `usable` is the share that comes back usable.

    `beyond` is what an item's new work uses over what it builds, as a ratio: renewals are cut as new work is.
    """
    now = rows.filter(pl.col("season") == season).with_columns(pl.col("built").fill_null(0))
    by_job = counted_by_job(rows.filter(pl.col("work") == "repeat"))
    per_job = pl.col("kind").fill_null("other").is_in(list(by_job))
    leased, ends = pl.col("terms") == "leased", pl.col("age_next") >= pl.col("life")
    ratio = pl.col("item_no").replace_strict(beyond, default=1.0, return_dtype=pl.Float64)
    now = now.with_columns(
        ending=pl.when(leased & ends).then(pl.col("built") * ratio).otherwise(0.0),
        back=pl.when(leased & ~ends).then(pl.col("built") * usable).otherwise(0.0),
    )
    order = properties["property_no"].to_list()

    def placed(frame: pl.DataFrame, column: str) -> Floats:
        names, values = matrix(frame, ("property_no",), items, column)
        at = {name: n for n, name in enumerate(names["property_no"])}
        out = np.zeros((len(order), len(items)))
        found = [(n, at[name]) for n, name in enumerate(order) if name in at]
        for n, m in found:
            out[n] = values[m]
        return out

    kinds = dict(rows.select("item_no", pl.col("kind").fill_null("other")).unique("item_no").iter_rows())
    jobwise = np.array([kinds.get(item) in by_job for item in items])
    exposed = {}
    for terms in TERMS:
        stands = placed(now.filter((pl.col("terms") == terms) & ~per_job), "built")
        is_terms = (properties["terms"] == terms).to_numpy()
        exposed[terms] = np.where(jobwise[None, :], is_terms[:, None].astype(float), stands)
    return Standing(exposed, placed(now, "ending"), placed(now, "back"))


def replaced(
    stands: Standing, repeat: Repeat, block: slice, comes: NDArray[np.bool_], rng: np.random.Generator
) -> dict[str, Floats]:
    """What a block of draws of returning properties takes and gives back: a row a draw, a column an item.

    `expected` is what replacements come to on average given who returns, `chance` what they are beyond it, `renewed`
    what goods at the end of their life take, `renewed_expected` that on average, `back` what comes back.
    """
    whole = comes.astype(float)
    expected, chance, renewed = (np.zeros((len(comes), stands.ending.shape[1])) for _ in range(3))
    for terms in TERMS:
        exposures, rates = whole @ stands.exposed[terms], repeat.rates[terms]
        mean = exposures * rates.mean(axis=0)
        expected += mean
        chance -= mean
        for own, clumps in zip(repeat.kinds, repeat.clumps, strict=True):
            chance[:, own] += counts_at(rates[block][:, own], exposures[:, own], clumps, rng)
    at_end = np.flatnonzero(stands.ending.any(axis=1))
    luck = np.where(comes[:, at_end], rng.random((len(comes), len(at_end))), 1.0)
    for own, share in zip(repeat.kinds, repeat.renewal.T, strict=True):
        ending = stands.ending[np.ix_(at_end, own)]
        if ending.any():
            renewed[:, own] = (luck < share[block][:, None]).astype(float) @ ending
    return {
        "expected": expected, "chance": chance, "renewed": renewed,
        "renewed_expected": (whole @ stands.ending) * mean_renewal(repeat, stands.ending.shape[1]),
        "back": (1 - whole) @ stands.back,
    }  # fmt: skip


def mean_renewal(repeat: Repeat, items: int) -> Floats:
    """The mean chance of renewal at the end of life, by item."""
    out = np.zeros(items)
    for own, share in zip(repeat.kinds, repeat.renewal.T, strict=True):
        out[own] = share.mean()
    return out
