"""What jobs are expected to cost, for a rate card: work told from every season in the store, goods and overhead from
the last."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import polars as pl
from numpy.typing import NDArray

from pipeline.decisions.card_fit import ANY_SURFACE, CardFit, Houses, as_seen, kind_of
from pipeline.decisions.policy import KEPT_A_SEASON, MIN_JOBS_FOR_COST_FUNCTION
from pipeline.decisions.price import priced_jobs
from pipeline.decisions.price_ahead import next_costs
from pipeline.settings import Settings
from pipeline.statistics.least_squares import Moments, moments

Floats = NDArray[np.float64]
Key = tuple[int, str, str]

WORK = ("labor_usd", "service_usd", "travel_usd", "equipment_usd")
"""Parts in which a job has luck of its own. Goods go by sockets and feet, and overhead by its basis: both are much the
same for like jobs, and move from season to season with prices and with the jobs that share them."""
ROUNDS = 8
"""Times that rates and the seasons' levels are found from each other: what is left to move is far under a cent."""


@dataclass(frozen=True)
class Evidence:
    """Jobs of a season as a card sees them, what each `need`s next season, usd, and the `work` in that; their keys.

    Of an earlier season `need` is `work`: nothing else of it is used.
    """

    keys: tuple[Key, ...]
    houses: Houses
    need: Floats
    work: Floats

    @staticmethod
    def of(jobs: pl.DataFrame, houses: Houses, factors: dict[str, float], *, work_alone: bool = False) -> Evidence:
        """`jobs` are rows of measures.job_cost with these `houses`; `factors` say what each part comes to."""
        work = next_costs(jobs, {part: times * (part in WORK) for part, times in factors.items()})
        need = work if work_alone else next_costs(jobs, factors)
        return Evidence(tuple(jobs.select("season", "branch", "job_no").rows()), houses, need, work)

    @property
    def sums(self) -> Moments:
        """Sums over the jobs, of need and of work, each foot with its own luck."""
        return moments(self.houses.columns, np.column_stack([self.need, self.work]), 1 / self.houses.feet)


def earlier_evidence(
    jobs: pl.DataFrame, runs: pl.DataFrame, houses: Houses, factors: dict[str, float], settings: Settings, season: int
) -> list[Evidence]:
    """The seasons before `season` whose jobs can be read as that season's `houses` are, the last one first.

    `jobs` is measures.job_cost and `runs` records.runs of every season in the store. Where the card has surfaces, jobs
    without runs are left out, and so are kinds of work that the season has none of.
    """
    kinds = {houses.base, *(name for family, name in houses.adders if family == "work")}
    found = []
    for year in sorted(jobs.filter(pl.col("season") < season)["season"].unique().to_list(), reverse=True):
        own, own_runs = priced_jobs(jobs.filter(pl.col("season") == year), settings)[0], runs.filter(season=year)
        here = [kind_of(*pair) in kinds for pair in own.select("work", "terms").rows()]
        own = own.filter(pl.Series(here, dtype=pl.Boolean))
        if houses.surfaces != (ANY_SURFACE,):
            own = own.join(own_runs.select("branch", "job_no").unique(), on=["branch", "job_no"], how="semi")
        own = own.sort("branch", "job_no")
        if own.height >= MIN_JOBS_FOR_COST_FUNCTION and own["has_own_hours"].all():
            found.append(Evidence.of(own, as_seen(own, own_runs, houses), factors, work_alone=True))
    return found


def level_of(took: float, at_rates: float) -> float:
    """What a season's work took over what it would at the rates; 1 where there is none of it."""
    return took / at_rates if took > 0 and at_rates > 0 else 1.0


@dataclass(frozen=True)
class Expected:
    """What the season's jobs are expected to need: the weighted sums over them of columns and of that (`sums`), and the
    `rates` of their work, usd, one a column; `gram` are the products over all seasons that these come from.
    """

    sums: Moments
    rates: Floats
    gram: Floats


def expected_of(seasons: Sequence[Moments], houses: Houses) -> Expected:
    """From each season's sums of need and work, the last season's first.

    Work has the same rates in every season but for a level of each: what wages, crews and the weather made dearer that
    year. Of a season KEPT_A_SEASON counts for each that it lies back. The last season's work is expected to come to
    what it came to, in all.
    """
    feet = slice(1, 1 + len(houses.surfaces))
    now = seasons[0]
    kept = [KEPT_A_SEASON**age for age in range(len(seasons))]
    gram = np.sum([share * one.gram[0] for share, one in zip(kept, seasons, strict=True)], axis=0)
    inverse = np.linalg.pinv(gram, hermitian=True)
    levels = [1.0 for _ in seasons]
    for _ in range(ROUNDS if len(seasons) > 1 else 1):
        brought = zip(kept, seasons, levels, strict=True)
        rates = inverse @ np.sum([share * one.cross[0, :, 1] / level for share, one, level in brought], axis=0)
        # Weights of 1 / feet make the sums at the columns of feet plain sums over jobs.
        levels = [
            level_of(float(one.cross[0, feet, 1].sum()), float((one.gram[0, feet] @ rates).sum())) for one in seasons
        ]
        rates, levels = rates * levels[0], [level / levels[0] for level in levels]
    need = now.cross[0, :, 0] - now.cross[0, :, 1] + now.gram[0] @ rates
    return Expected(Moments(now.gram, need[None, :, None]), rates, gram)


def pulls(
    now: Evidence, earlier: Sequence[Evidence], fit: CardFit, expected: Expected
) -> tuple[tuple[Key, ...], Floats]:
    """By how much the luck of each job moved the card's rates, usd, jobs of all seasons x columns, and their keys.

    To first order, with the lines as they are (Huber 1981, the influence of an observation).
    """
    to = fit.lines.summed(now.houses)
    gram = expected.sums.gram[0]
    card = to @ np.linalg.pinv(to.T @ gram @ to, hermitian=True) @ to.T
    work = card @ gram @ np.linalg.pinv(expected.gram, hermitian=True)
    keys: list[Key] = []
    moved = []
    for age, one in enumerate([now, *earlier]):
        columns = one.houses.columns / one.houses.feet[:, None]
        fair = one.houses.columns @ expected.rates
        luck = one.work / level_of(float(one.work.sum()), float(fair.sum())) - fair
        own = KEPT_A_SEASON**age * luck[:, None] * (columns @ work)
        if age == 0:
            own += (one.need - one.houses.columns @ (to @ fit.rates) - luck)[:, None] * (columns @ card)
        keys += one.keys
        moved.append(own)
    return tuple(keys), np.concatenate(moved)
