"""The crew hours that a firm can field in a season, and how many of them are left for a kind of work."""

from __future__ import annotations

from dataclasses import dataclass, field

import polars as pl

from pipeline.decisions.break_even import by_work
from pipeline.settings import Settings

DIRECT_TASKS = ("prep", "drive", "install", "takedown", "service", "storage")
"""Hours that go when a job goes."""


@dataclass(frozen=True)
class CrewHours:
    """This season's direct crew hours by work (and `all`), and the most that a season can have; no limit where None.

    `busiest` is the season whose hours the limit is where the firm gave none. All in hours.
    """

    took: dict[str, float] = field(default_factory=dict)
    most: float | None = None
    busiest: int | None = None

    def of(self, work: str) -> float | None:
        """Hours that a kind of work took; of all where it is not told apart."""
        return self.took.get(work, self.took.get("all"))

    def left(self, work: str) -> float | None:
        """Hours left for a kind of work beside this season's other work, 0 at least; None where nothing limits it."""
        own = self.of(work)
        if self.most is None or own is None:
            return None
        return max(0.0, self.most - (self.took["all"] - own))


def crew_hours(
    jobs: pl.DataFrame, job_hours: pl.DataFrame, task_hours: pl.DataFrame, settings: Settings, *, season: int
) -> CrewHours:
    """The crew hours of a firm: the setting crew_hours, else those of the season in the store that had most.

    `jobs` is measures.job_cost and `job_hours` facts.job_hours of the season, `task_hours` measures.task_hours of every
    season in the store. Works are told apart where hours are written down by job. None where hours are not known.
    """
    direct = task_hours.filter((pl.col("branch") == "all") & pl.col("task").is_in(DIRECT_TASKS))
    sums = direct.filter(pl.col("season") <= season).group_by("season").agg(pl.col("hours").cast(pl.Float64).sum())
    by_season = dict(sums.sort("season").iter_rows())
    if not by_season.get(season):
        return CrewHours()
    names = [f"{task}_hours" for task in DIRECT_TASKS]
    own = job_hours.select("branch", "job_no", hours=pl.sum_horizontal(pl.col(names).cast(pl.Float64).fill_null(0)))
    took = {}
    for work, frame in by_work(jobs).items():
        hours = float(frame.join(own, on=["branch", "job_no"], how="inner", validate="1:1")["hours"].sum())
        if hours:
            took[work] = hours
    took["all"] = by_season[season]
    given = settings.number("crew_hours")
    if given is not None:
        return CrewHours(took, float(given))
    busiest = max(by_season, key=lambda year: by_season[year])
    return CrewHours(took, by_season[busiest], busiest)
