"""Counts of a season that is not known yet: draws that hold what the past leaves unknown, and not its chance alone."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Counts = NDArray[np.int64]


@dataclass(frozen=True)
class Change:
    """How much a yearly quantity changes from one season to the next, before any is seen: the deviation of its
    logarithm, and how many changes that knowledge is worth."""

    spread: float
    worth: float


def change_deviations(seasons: Sequence[float], before: Change, draws: int, rng: np.random.Generator) -> Floats:
    """Draws of the deviation of the logarithm of a season's change, from how the seasons changed and from `before`.

    The variance is the weighted mean of `before` and of the changes seen, less what chance alone gives counts of that
    size, and is drawn by its scaled inverse chi-square distribution (Gelman et al. 2013, Bayesian Data Analysis, 2.6),
    so that few seasons spread wide.
    """
    levels = np.asarray(seasons, dtype=float)
    pairs = [(a, b) for a, b in pairwise(levels) if a > 0 and b > 0]
    excess = sum(np.log(b / a) ** 2 - (1 / a + 1 / b) for a, b in pairs)
    worth = before.worth + len(pairs)
    least = before.worth * before.spread**2 / 4
    squares = max(least, before.worth * before.spread**2 + excess)
    return np.asarray(np.sqrt(squares / rng.chisquare(worth, draws)))


def change_factors(seasons: Sequence[float], before: Change, draws: int, rng: np.random.Generator) -> Floats:
    """Draws of next season's level over the last one's. The changes' logarithms have mean 0 (a firm's own plans belong
    in its settings); a factor beyond `MOST_CHANGE` either way is held there."""
    log = rng.standard_normal(draws) * change_deviations(seasons, before, draws, rng)
    return np.asarray(np.exp(np.clip(log, -np.log(MOST_CHANGE), np.log(MOST_CHANGE))))


MOST_CHANGE = 3.0
"""Times; a firm that grows or shrinks more than this in a year must say so itself."""


@dataclass(frozen=True)
class Belief:
    """What is believed of a deviation before any count is seen: as likely under `middle` as over it, and 19 times in 20
    between `middle` / `within` and `middle` x `within`."""

    middle: float
    within: float

    def drawn(self, draws: int, rng: np.random.Generator) -> Floats:
        """Draws of the deviation, log-normal."""
        return np.asarray(self.middle * self.within ** (rng.standard_normal(draws) / LIMITS_95))


LIMITS_95 = 1.959964
"""Deviations of a normal distribution within which 95 % of it lies, either way."""


def last_level(seasons: Sequence[int], lasting: Floats, luck: Floats) -> tuple[Floats, Floats, Floats]:
    """Mean and variance of the logarithm of the last season's level, and the logarithm of the counts' likelihood: a
    value a draw of two deviations, of a year's change that lasts and of a season's luck that is gone with it.

    A local level (Durbin and Koopman 2012, Time Series Analysis by State Space Methods, 2.2, 2.9 and 2.10.1) on the
    logarithms of the counts + 1/2. Each is known but for its luck and for chance of variance 1 / (count + 1/2). The
    first one starts the level (a diffuse start), and tells nothing of the deviations.
    """
    logs, chance = np.log(np.asarray(seasons) + 0.5), 1 / (np.asarray(seasons) + 0.5)
    mean, variance = np.full(len(luck), logs[0]), chance[0] + luck**2
    likelihood = np.zeros(len(luck))
    for log, own in zip(logs[1:], chance[1:], strict=True):
        moved = variance + lasting**2
        seen = moved + own + luck**2
        likelihood -= (np.log(2 * np.pi * seen) + (log - mean) ** 2 / seen) / 2
        mean, variance = mean + moved / seen * (log - mean), moved / seen * (own + luck**2)
    return mean, variance, likelihood


def next_counts(seasons: Sequence[int], lasting: Belief, luck: Belief, draws: int, rng: np.random.Generator) -> Counts:
    """Draws of next season's count: Poisson about the last season's level, as far as it is known, times a change that
    lasts and a season's luck, together at most `MOST_CHANGE` either way. No season seen, or none in the last one: 0.

    Both deviations are drawn as they are believed and drawn again by how likely each pair brings the counts seen
    (importance resampling; Gelman et al. 2013, Bayesian Data Analysis, 10.4).
    """
    if not seasons or not seasons[-1]:
        return np.zeros(draws, dtype=np.int64)
    lasts, gone = lasting.drawn(draws, rng), luck.drawn(draws, rng)
    mean, variance, likelihood = last_level(seasons, lasts, gone)
    worth = np.exp(likelihood - likelihood.max())
    own = rng.choice(draws, draws, p=worth / worth.sum())
    most = np.log(MOST_CHANGE)
    moves = np.clip(np.hypot(lasts, gone)[own] * rng.standard_normal(draws), -most, most)
    level = np.exp(mean[own] + np.sqrt(variance[own]) * rng.standard_normal(draws) + moves)
    return rng.poisson(level).astype(np.int64)


@dataclass(frozen=True)
class UnitRates:
    """Rates a unit of exposure of several groups, as gamma distributions, and how much counts spread about them.

    `shape` and `rate` have one value a group: the mean rate is shape / rate. `clumps` is the variance of a count over
    its mean, 1 for Poisson counts.
    """

    shape: Floats
    rate: Floats
    clumps: float

    @property
    def mean(self) -> Floats:
        """The expected rate of each group."""
        return np.asarray(self.shape / self.rate)

    def drawn(self, group: int, draws: int, rng: np.random.Generator) -> Floats:
        """Draws of a group's rate."""
        return rng.gamma(self.shape[group], 1 / self.rate[group], draws)


def clumping(counts: Floats, expected: Floats, groups: int) -> float:
    """Variance of counts over their mean by Pearson's statistic (McCullagh and Nelder 1989, 6.2.3); never under 1."""
    known = expected > 0
    left = int(known.sum()) - groups
    if left < 1:
        return 1.0
    return max(1.0, float((((counts - expected) ** 2)[known] / expected[known]).sum() / left))


def unit_rates(counts: Floats, exposures: Floats, clumps: float) -> UnitRates:
    """Each group's rate, drawn toward what the groups have in common by how little it has shown.

    Gamma-Poisson by moments (Clayton and Kaldor 1987, Biometrics 43). Counts that come in clumps of `clumps` count as
    that many fewer, and so do their exposures. A group without exposure has the common distribution; where the groups
    spread no more than chance does, they share one rate, known as well as all of them together show it.
    """
    seen, shown = counts / clumps, exposures / clumps
    total, exposure = float(seen.sum()), float(shown.sum())
    if exposure <= 0:
        raise ValueError("rates need some exposure")
    mean = (total + 0.5) / exposure
    has = shown > 0
    rates = seen[has] / shown[has]
    between = float((shown[has] * (rates - mean) ** 2).sum() / exposure) - mean * int(has.sum()) / exposure
    if between <= 0 or has.sum() < 2:
        common = np.full(len(counts), total + 0.5)
        return UnitRates(common, np.full(len(counts), exposure), clumps)
    return UnitRates(mean * mean / between + seen, mean / between + shown, clumps)


def counts_at(rates: Floats, exposures: Floats, clumps: float, rng: np.random.Generator) -> Floats:
    """Counts at drawn rates and exposures of the same shape: negative binomial with variance `clumps` x mean."""
    means = rates * exposures
    if clumps <= 1 + 1e-9:
        return rng.poisson(means).astype(float)
    return rng.poisson(rng.gamma(np.maximum(means, 1e-300) / (clumps - 1), clumps - 1)).astype(float)


def times_picked(worth: Floats, counts: Counts, rng: np.random.Generator) -> NDArray[np.int32]:
    """How often each of several jobs is picked in samples of these sizes: a row a sample. `worth` says how likely each
    is against the others.

    A bootstrap within a bootstrap: each sample picks from `known_as` jobs that were themselves picked, which makes a
    sum spread as the next one will, chance and ignorance together, and not as chance alone would.
    """
    jobs, rows = len(worth), len(counts)
    seen = known_as(effective_jobs(worth), int(np.median(counts)) if rows else 0)
    likely = np.cumsum(worth) / worth.sum()
    base = np.searchsorted(likely[:-1], rng.random((rows, seen)), side="right")
    row = np.repeat(np.arange(rows), counts)
    picks = base[row, rng.integers(0, seen, int(counts.sum()))]
    return np.bincount(row * jobs + picks, minlength=rows * jobs).reshape(rows, jobs).astype(np.int32)


def effective_jobs(worth: Floats) -> int:
    """How many equal jobs tell as much as weighted ones: the sum squared over the sum of squares (Kish 1965)."""
    return round(float(worth.sum() ** 2 / (worth**2).sum()))


def known_as(jobs: int, more: int) -> int:
    """Size of the inner sample for which a sum over `more` jobs has the variance of Student's predictive.

    With n jobs of variance s2 (divisor n - 1) the sum of k more has k s2 (1 + k / n) (n - 1) / (n - 3). Picking from m
    has (n - 1) / n s2 k (1 + (k - 1) / m). They are equal at m = (k - 1) (n - 3) / (k + 3).
    """
    if jobs < 2:
        return 1
    return max(2, round((max(more, 2) - 1) * (jobs - 3) / (max(more, 2) + 3)))
