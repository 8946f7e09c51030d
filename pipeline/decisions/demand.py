"""Next season's need of every item, by simulation, and the cut lists of the same draws."""

from __future__ import annotations

from dataclasses import dataclass, field, replace

import numpy as np
import polars as pl
from numpy.typing import NDArray

from pipeline.decisions.demand_new import JOB, NewWork, counts_by_season, new_jobs, new_work, usual_offcut
from pipeline.decisions.demand_repeat import (
    TERMS,
    Repeat,
    Standing,
    aged,
    mean_renewal,
    repeat_work,
    replaced,
    standing,
)
from pipeline.decisions.policy import CUT_DRAWS, DEMAND_DRAWS, LARGEST_BLOCK, SHOP_CHANGE
from pipeline.decisions.returning import Ahead, Returns, returning
from pipeline.settings import Settings
from pipeline.statistics.counts import Change, change_factors, times_picked

Floats = NDArray[np.float64]
Counts = NDArray[np.int64]

DRIVERS = {
    "new_number": "how many new jobs there are",
    "new_kind": "which new jobs they are",
    "returning": "which properties return",
    "replacing": "how much is replaced there",
    "renewing": "goods that reach the end of their life",
    "shop": "use in the shop, without a job",
}
"""What moves the need of an item, and how that is said."""


@dataclass(frozen=True)
class Demand:
    """Draws of next season by item: a row a draw, a column an item of `items`, in the item's unit.

    `drivers` has for each of DRIVERS its part of the need; together they are what is used less what comes back, and may
    lie under nothing. `new` is what new work takes, `replaced` what goes to returning properties, `shop` what goes
    without a job, `back` the usable part of what leased jobs that do not return give back. `foreseen` is the need as it
    would be forecast in a draw once it is known how many new jobs there are and who returns. `picked` has how often
    each of `jobs` is picked in the first CUT_DRAWS draws.
    """

    items: list[str]
    drivers: dict[str, Floats]
    back: Floats
    foreseen: Floats
    jobs: pl.DataFrame
    picked: NDArray[np.int32]
    model: Foresight
    notes: list[str] = field(default_factory=list)

    @property
    def new(self) -> Floats:
        """What new work takes."""
        return self.drivers["new_number"] + self.drivers["new_kind"]

    @property
    def replaced(self) -> Floats:
        """What goes to returning properties, renewals among it."""
        return self.drivers["returning"] + self.drivers["replacing"] + self.drivers["renewing"] + self.back

    @property
    def shop(self) -> Floats:
        """What goes without a job."""
        return self.drivers["shop"]

    @property
    def taken(self) -> Floats:
        """What is used, before what comes back is counted."""
        return np.maximum(self.new + self.replaced + self.shop, 0)

    @property
    def net(self) -> Floats:
        """What is used less what comes back; under 0 where more comes back."""
        return np.sum(list(self.drivers.values()), axis=0)

    @property
    def needs(self) -> Floats:
        """What stock and purchases must cover."""
        return np.maximum(self.net, 0)


@dataclass(frozen=True)
class Foresight:
    """The need as it is forecast once the number of new jobs and the properties that return are known.

    `a_job` is what a new job takes on average and `a_shop_job` what any job adds in the shop; `if_back` and `if_gone`
    what each of `properties` adds, a row a property.
    """

    a_job: Floats
    a_shop_job: Floats
    properties: list[str]
    if_back: Floats
    if_gone: Floats

    def of(self, new: int, comes: NDArray[np.bool_]) -> Floats:
        """The forecast of each item."""
        whole = comes.astype(float)
        jobs = new + float(whole.sum())
        return new * self.a_job + jobs * self.a_shop_job + whole @ self.if_back + (1 - whole) @ self.if_gone


def cut_lists(demand: Demand, runs: pl.DataFrame, draws: int = CUT_DRAWS) -> pl.DataFrame:
    """The pieces of light line that new work of a draw is cut into, in the same draws as the needs.

    `runs` is records.runs of every season in the store (season, branch, job_no, line_item, spacing_in, feet). Returns
    draw (0 on), line_item, spacing_in, feet and pieces (how many of that length), sorted; an item's colour is in items.
    Fastened feet, without offcut. Draws are alike, so the first `draws` of them (up to CUT_DRAWS) stand for all.
    Replacements are no cut list: their feet are `demand.replaced`.
    """
    shown = min(draws, len(demand.picked))
    draw, job = np.nonzero(demand.picked[:shown])
    keys = demand.jobs[job.astype(np.uint32)].with_columns(
        draw=pl.Series(draw.astype(np.int32)), times=pl.Series(demand.picked[draw, job])
    )
    lengths = runs.select(*JOB, "line_item", pl.col("spacing_in", "feet").cast(pl.Float64))
    found = keys.join(lengths, on=JOB, how="inner")
    same = ["draw", "line_item", "spacing_in", "feet"]
    return found.group_by(same).agg(pieces=pl.col("times").sum()).sort(same, nulls_last=True)


def _shop(
    item_use: pl.DataFrame, job_items: pl.DataFrame, items: list[str], season: int, rng: np.random.Generator
) -> tuple[Floats, Floats]:
    """Draws of what a job adds to the use without a job, a row a draw and a column an item; and the mean."""
    jobs = dict(job_items.group_by("season").agg(pl.struct("branch", "job_no").n_unique()).iter_rows())
    uses = item_use.filter(pl.col("season") <= season).group_by("season", "item_no").agg(
        pl.col("net_without_job").cast(pl.Float64).sum()
    )  # fmt: skip
    drawn, mean = np.zeros((DEMAND_DRAWS, len(items))), np.zeros(len(items))
    for column, item in enumerate(items):
        own = uses.filter((pl.col("item_no") == item) & (pl.col("net_without_job") > 0)).sort("season")
        if season not in own["season"].to_list():
            continue
        levels = own["net_without_job"].to_list()
        mean[column] = levels[-1] / max(1, jobs.get(season, 1))
        drawn[:, column] = mean[column] * change_factors(levels, Change(*SHOP_CHANGE), DEMAND_DRAWS, rng)
    return drawn, mean


def _items(job_items: pl.DataFrame, item_use: pl.DataFrame, season: int) -> list[str]:
    """Items that jobs or the shop have used up to the season."""
    used = pl.concat([frame.filter(pl.col("season") <= season)["item_no"] for frame in (job_items, item_use)])
    return used.unique().sort().to_list()


def _blocks(widest: int) -> list[slice]:
    step = min(DEMAND_DRAWS, max(CUT_DRAWS, LARGEST_BLOCK // max(widest, 1)))
    return [slice(start, min(start + step, DEMAND_DRAWS)) for start in range(0, DEMAND_DRAWS, step)]


@dataclass(frozen=True)
class Records:
    """What the need is drawn from, every season of the store: facts.job_items, facts.property_seasons,
    measures.item_use, and the closed season's records.items."""

    job_items: pl.DataFrame
    properties: pl.DataFrame
    item_use: pl.DataFrame
    items: pl.DataFrame

    def in_order(self) -> Records:
        """The same with movements and uses sorted: sums of fractions are then the same at each run."""
        return replace(
            self,
            job_items=self.job_items.sort("season", "branch", "job_no", "item_no"),
            item_use=self.item_use.sort("season", "item_no", "branch"),
        )


def next_season(records: Records, settings: Settings, *, season: int, seed: int, ahead: Ahead | None = None) -> Demand:
    """Draw the need of the season after `season`, with the knowledge of its end; `ahead` is what is settled since.

    New work: whole new jobs, drawn again. Replacements: rates by kind on what stands at properties that return. Goods
    at the end of their life: renewed as often as such goods were. Back: what stands at leased properties that do not
    return and is not at its end, times doubtful_share.
    """
    rng = np.random.default_rng(seed)
    records = records.in_order()
    items = _items(records.job_items, records.item_use, season)
    rows = aged(records.job_items, records.properties, records.items, season)
    work = new_work(records.job_items, items, season, records.items["item_no"])
    signed = ahead.new if ahead else 0
    count, notes = new_jobs(counts_by_season(records.job_items, season), settings, rng, signed)
    comers = returning(records.properties, settings, season, rng, ahead)
    repeat = repeat_work(rows, items, rng)
    usable = float(settings.number("doubtful_share") or 0)
    offcut = usual_offcut(records.job_items.filter((pl.col("work") == "new") & (pl.col("season") <= season)))
    stands = standing(rows, comers.properties, items, season, usable, offcut)
    renewing = stands.ending * mean_renewal(repeat, len(items))
    if_back = sum((stands.exposed[t] * repeat.rates[t].mean(axis=0) for t in TERMS), renewing)
    shop, a_shop_job = _shop(records.item_use, records.job_items, items, season, rng)
    model = Foresight(
        work.mean, a_shop_job,
        comers.properties["property_no"].to_list(), np.asarray(if_back), -stands.back,
    )  # fmt: skip
    drawn = [
        _block(block, count, work, comers, repeat, stands, model, shop, rng)
        for block in _blocks(max(len(work.use), comers.properties.height))
    ]
    whole = {name: np.concatenate([one[name] for one in drawn]) for name in drawn[0] if name != "picked"}
    return Demand(
        items, {name: whole[name] for name in DRIVERS}, whole["back"], whole["foreseen"], work.jobs,
        drawn[0]["picked"].astype(np.int32), model,
        [*notes, *(ahead.notes if ahead else ()), *comers.notes, *repeat.notes, *_remarks(stands, whole["back"])],
    )  # fmt: skip


def _remarks(stands: Standing, back: Floats) -> list[str]:
    notes = []
    if back.any():
        notes.append("Needs are less what comes back from leased jobs that end, counted at doubtful_share.")
    if stands.ending.any():
        notes.append(
            "Leased goods that reach life_seasons are renewed as often as such goods were in the store; where it shows "
            "none, as likely as not."
        )
    return notes


def _block(
    block: slice, count: Counts, work: NewWork, comers: Returns, repeat: Repeat, stands: Standing, model: Foresight,
    shop: Floats, rng: np.random.Generator,
) -> dict[str, Floats]:  # fmt: skip
    """The parts of a block of draws by name; `picked` of its first CUT_DRAWS."""
    jobs = count[block]
    picked = times_picked(work.worth, jobs, rng) if len(work.use) else np.zeros((len(jobs), 0), dtype=np.int32)
    number = jobs[:, None] * model.a_job
    comes = comers.drawn(block, rng)
    parts = replaced(stands, repeat, block, comes, rng)
    all_jobs = (jobs + comes.sum(axis=1))[:, None]
    returning_part = parts["expected"] + parts["renewed_expected"] - parts["back"]
    return {
        "new_number": number, "new_kind": picked @ work.use - number,
        "returning": returning_part, "replacing": parts["chance"],
        "renewing": parts["renewed"] - parts["renewed_expected"], "shop": all_jobs * shop[block],
        "back": parts["back"], "foreseen": number + returning_part + all_jobs * model.a_shop_job,
        "picked": picked[:CUT_DRAWS],
    }  # fmt: skip
