"""The model of hours fitted to the crews that can be compared, and all that is read from that one fit."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import combinations

import numpy as np
import polars as pl
from numpy.typing import NDArray

from pipeline.decisions.crews_design import Design, design
from pipeline.decisions.policy import CREW_DRAWS, MIN_CREWS, MIN_JOBS_A_CREW, WILD_BOUND, WILD_JOB, WRONG_CREW_CHANCE
from pipeline.statistics.robust import Tamed, tame

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]


@dataclass(frozen=True)
class Limits:
    """Ratios with 95 % limits each by itself, limits for all at once, and the chance of so much over all together."""

    ratio: Floats
    low: Floats
    high: Floats
    all_low: Floats
    all_high: Floats
    adjusted: Floats


@dataclass(frozen=True)
class CrewFit:
    """A fit over the jobs of comparable crews.

    `jobs` has a row a job and `crews` (branch, crew) a row a group; `groups` is each job's row of `crews`. `average`
    and `pairs` are contrasts of the crews' effects, a row each: a crew less the mean of its branch's crews, and the
    crews of `pair_of`, two of a branch. `largest` are draws of the largest |t| over both where no crew differs.
    """

    jobs: pl.DataFrame
    crews: pl.DataFrame
    groups: Ints
    design: Design
    tamed: Tamed
    average: Floats
    pair_of: tuple[tuple[int, int], ...]
    pairs: Floats
    largest: Floats

    @property
    def branches(self) -> Floats:
        """A row a crew and a column a branch: 1 where the crew is the branch's."""
        return self.crews.select("branch").to_dummies().to_numpy().astype(float)

    @property
    def is_wild(self) -> NDArray[np.bool_]:
        """Jobs so far from what the model says of them that they are named."""
        return np.abs(self.tamed.scores) > WILD_JOB

    def limits(self, contrasts: Floats) -> Limits:
        """Limits of contrasts of the crews' log hours: small-sample t, and max-t over all comparisons."""
        from scipy.stats import t as student

        fit = self.tamed.fit
        value = contrasts @ fit.effects
        error = np.sqrt(np.einsum("ij,jk,ik->i", contrasts, fit.covariance, contrasts))
        alone = error * student.ppf(0.975, fit.freedom)
        together = error * np.quantile(self.largest, 1 - WRONG_CREW_CHANCE)
        with np.errstate(divide="ignore", invalid="ignore"):
            size = np.where(error > 0, np.abs(value) / error, np.where(value == 0, 0.0, np.inf))
        above = len(self.largest) - np.searchsorted(self.largest, size)
        adjusted = (above + 1) / (len(self.largest) + 1)
        return Limits(np.exp(value), np.exp(value - alone), np.exp(value + alone), np.exp(value - together),
                      np.exp(value + together), adjusted)  # fmt: skip


def comparable(jobs: pl.DataFrame) -> pl.DataFrame:
    """Crews (season, branch, crew) with jobs enough, where another crew of the branch and season has them too."""
    crews = jobs.group_by("season", "branch", "crew", maintain_order=True).agg(jobs=pl.len())
    enough = crews.filter(pl.col("jobs") >= MIN_JOBS_A_CREW)
    return enough.filter(pl.len().over("season", "branch") >= MIN_CREWS).select("season", "branch", "crew")


def numbered(jobs: pl.DataFrame, crews: pl.DataFrame) -> tuple[pl.DataFrame, Ints]:
    """The jobs of `crews`, and of each the row of `crews` that it belongs to, by the columns that those have."""
    keys = crews.columns
    joined = jobs.join(crews.with_row_index("g"), on=keys, how="inner", maintain_order="left")
    return joined.drop("g"), joined["g"].to_numpy().astype(np.int64)


def less_the_mean(places: pl.DataFrame) -> Floats:
    """A row a crew: 1 at the crew, less the mean over the crews that share its row of `places`."""
    codes = places.with_row_index("n").select(pl.col("n").min().over(places.columns)).to_series().to_numpy()
    alike = (codes[:, None] == codes[None, :]).astype(float)
    return np.asarray(np.eye(len(codes)) - alike / alike.sum(axis=1, keepdims=True))


def fit_crews(jobs: pl.DataFrame, *, seed: int) -> CrewFit | None:
    """Fit a season's jobs (as `usable_jobs` gives them); None where no two crews of a branch can be compared.

    log(prep + install hours) = an effect a crew + the terms of `design`, robustly. The crews' effects are fixed, so
    that skilled crews on hard houses are not taken for average ones.
    """
    from pipeline.statistics.mixed_groups import largest_t

    crews = comparable(jobs).select("branch", "crew")
    if crews.is_empty():
        return None
    fitted, groups = numbered(jobs, crews)
    found = design(fitted, groups)
    tamed = tame(np.log(fitted["hours"].to_numpy()), found.matrix, groups, WILD_BOUND)
    branch = crews["branch"].to_list()
    pair_of = tuple((a, b) for a, b in combinations(range(len(branch)), 2) if branch[a] == branch[b])
    pairs = np.zeros((len(pair_of), len(branch)))
    for row, (a, b) in enumerate(pair_of):
        pairs[row, a], pairs[row, b] = 1, -1
    average = less_the_mean(crews.select("branch"))
    largest = largest_t(tamed.fit.covariance, np.vstack([average, pairs]), tamed.fit.freedom, CREW_DRAWS, seed)
    return CrewFit(fitted, crews, groups, found, tamed, average, pair_of, pairs, largest)


def pooled(fit: CrewFit, *, seed: int) -> Floats:
    """Draws of the crews' log hours less their branch's mean, drawn toward it: a row a draw and a column a crew."""
    from pipeline.statistics.mixed_pooled import pooled_draws

    drawn = pooled_draws(fit.tamed.fit, fit.branches, np.eye(fit.crews.height), False, CREW_DRAWS, seed)
    return drawn @ fit.average.T
