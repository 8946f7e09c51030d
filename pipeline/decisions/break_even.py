"""How many jobs a rise in price may lose before less is left than before: arithmetic that needs no quotes."""

from __future__ import annotations

import polars as pl

from pipeline.decisions.policy import TRIED_RISES
from pipeline.decisions.price_ahead import RISES
from pipeline.statistics.responses import break_even_loss

BREAK_EVEN = {
    "season": pl.Int32, "work": pl.String, "rise": pl.Float64, "price_usd_per_ft": pl.Float64,
    "left_share": pl.Float64, "lose_share": pl.Float64,
}  # fmt: skip


def by_work(jobs: pl.DataFrame) -> dict[str, pl.DataFrame]:
    """Jobs with feet and a cost: `all`, and new and repeat work apart where the hours are the jobs' own."""
    known = jobs.filter((pl.col("feet") > 0) & pl.col("total_usd").is_not_null())
    works = {"all": known}
    if known.height and known["has_own_hours"].all():
        works |= {work: known.filter(pl.col("work") == work) for work in ("new", "repeat")}
    return {work: frame for work, frame in works.items() if frame.height}


def break_even(jobs: pl.DataFrame, *, season: int) -> pl.DataFrame:
    """How many jobs a rise may lose, by work: rows of decisions.break_even for the next season.

    `jobs` is measures.job_cost of the season. What a job leaves is its charge less its direct cost: overhead stays
    when a job goes. Work that leaves nothing has no rows, nor has a cut that would leave nothing.
    """
    rows = []
    for work, frame in by_work(jobs).items():
        charged_jobs = frame.filter(pl.col("invoiced_usd") > 0)
        charged, feet = float(charged_jobs["invoiced_usd"].sum()), float(charged_jobs["feet"].sum())
        if not charged:
            continue
        direct = charged_jobs["total_usd"] - charged_jobs["overhead_usd"].fill_null(0)
        left = 1 - float(direct.sum()) / charged
        rows += [
            {
                "season": season + 1, "work": work, "rise": rise, "price_usd_per_ft": charged / feet * (1 + rise),
                "left_share": left, "lose_share": break_even_loss(rise, left),
            }
            for rise in TRIED_RISES
            if left > 0 and left + rise > 0
        ]  # fmt: skip
    return pl.DataFrame(rows, schema=BREAK_EVEN)


def next_direct_costs(jobs: pl.DataFrame, factors: dict[str, float]) -> dict[str, float]:
    """Next season's direct cost of a foot by work, usd: all parts but overhead by their factors (`factors_of`); `jobs`
    as for `break_even`.
    """
    direct = [part for part in RISES if part != "overhead_usd"]
    return {
        work: sum(float(frame[part].sum() or 0) * factors[part] for part in direct) / float(frame["feet"].sum())
        for work, frame in by_work(jobs).items()
    }
