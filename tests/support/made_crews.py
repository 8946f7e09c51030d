"""Made seasons with any number of crews whose truth is known and is not the model that is fitted.

Hours are a set-up time plus rates by surface, stories and a slope that bites above a threshold alone; plants in the way
are on no record; a day's weather is shared; the skilled crews are sent to the steep houses; one job in a hundred goes
wild. All figures are invented.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta

import numpy as np
import polars as pl
from numpy.typing import NDArray
from support.made_season import PER_FT

Floats = NDArray[np.float64]

FIRST = 2031
JOBS_A_CREW = 30
SKILL_SPREAD = 0.12
SEASON_SPREAD = 0.04
WILD_SHARE = 0.01
PULL = 4.0


@dataclass(frozen=True)
class House:
    """What is on record of houses, and the hours that a crew of skill 1 takes for each, h."""

    columns: dict[str, object]
    hours: Floats
    slope: Floats
    feet: Floats


def houses(count: int, rng: np.random.Generator, season: int = FIRST, *, usual: bool = True) -> House:
    """Houses of a season, with their hidden difficulty in the hours; not `usual`: no weather and no wild jobs."""
    feet = np.clip(np.exp(rng.normal(5.0, 0.42, count)), 60, 400).round(1)
    stories = rng.choice([1, 2, 3], count, p=[0.46, 0.45, 0.09])
    slope = rng.choice([4, 5, 6, 7, 8, 9, 10, 12], count).astype(float)
    shares = rng.dirichlet([2.2, 0.9, 0.6, 0.35, 0.6, 0.25], count)
    repeat = rng.random(count) < 0.6
    per_ft = shares * np.array(list(PER_FT.values()))
    per_ft[:, 1:3] *= (1 + 0.055 * np.clip(slope - 6, 0, None) ** 1.25)[:, None]
    hanging = 1.15 + feet * per_ft.sum(axis=1) * np.array([1.0, 1.2, 1.62])[stories - 1]
    day = rng.integers(0, 70, count)
    hanging *= np.where(repeat, 0.74, 1.0) * rng.lognormal(-0.02, 0.20, count)
    if usual:
        hanging *= rng.lognormal(0, 0.08, 70)[day]
        hanging *= np.where(rng.random(count) < WILD_SHARE, rng.choice([0.3, 3.0], count), 1.0)
    columns = {
        "season": pl.Series([season] * count, dtype=pl.Int32), "branch": ["main"] * count,
        "job_no": [f"{season}{n:05d}" for n in range(count)], "work": np.where(repeat, "repeat", "new"),
        "stories": stories.astype(np.int32), "slope": slope,
        "install_date": [date(season, 10, 1) + timedelta(days=int(d)) for d in day], "feet": feet,
        "workers": np.full(count, 3),
        **{f"share_{surface}": shares[:, i] for i, surface in enumerate(PER_FT)}, "share_other": np.zeros(count),
    }  # fmt: skip
    return House(columns, 0.35 + 0.012 * feet + hanging, slope, feet)


def dispatched(slope: Floats, skills: Floats, rng: np.random.Generator) -> NDArray[np.int64]:
    """Which crew goes where: the skilled are drawn to the steep houses."""
    steep = (slope - slope.mean()) / slope.std()
    pull = np.exp(PULL * (1 - skills)[None, :] * steep[:, None])
    chances = np.cumsum(pull / pull.sum(axis=1, keepdims=True), axis=1)
    return (rng.random(len(slope))[:, None] > chances).sum(axis=1).clip(0, len(skills) - 1)


def name(crew: int) -> str:
    """A crew's name."""
    return f"C{crew:02d}"


def job_hours(house: House, crew: NDArray[np.int64], times: Floats) -> pl.DataFrame:
    """Rows of facts.job_hours: `times` is each job's hours over those of a crew of skill 1."""
    hours = house.hours * times
    return pl.DataFrame(
        house.columns | {"crew": [name(c) for c in crew], "prep_hours": hours * 0.15, "install_hours": hours * 0.85}
    )


def made_crews(crews: int, seed: int, *, spread: float = SKILL_SPREAD) -> tuple[pl.DataFrame, Floats]:
    """A season and the crews' true skills, hours over those of a crew of skill 1 on any house; alike at no spread."""
    rng = np.random.default_rng(seed)
    skills = np.exp(rng.normal(0, spread, crews)) if spread else np.ones(crews)
    house = houses(JOBS_A_CREW * crews, rng)
    crew = dispatched(house.slope, skills, rng)
    return job_hours(house, crew, skills[crew]), skills


def made_seasons(crews: int, seasons: int, seed: int) -> tuple[pl.DataFrame, Floats]:
    """Several seasons of the same crews, each with a pace of its own in a season, and their lasting skills."""
    rng = np.random.default_rng(seed)
    lasting = np.exp(rng.normal(0, SKILL_SPREAD, crews))
    parts = []
    for season in range(FIRST, FIRST + seasons):
        skills = lasting * np.exp(rng.normal(0, SEASON_SPREAD, crews))
        house = houses(JOBS_A_CREW * crews, rng, season)
        crew = dispatched(house.slope, skills, rng)
        parts.append(job_hours(house, crew, skills[crew]))
    return pl.concat(parts), lasting


def made_beginners(crews: int, progress: float, seed: int) -> tuple[pl.DataFrame, str]:
    """Two seasons of which the last crew begins in the second, in jobs in the order of their days, and its name.

    Its hours a foot fall with the feet that it has hung, foot by foot and not job by job.
    """
    rng = np.random.default_rng(seed)
    skills = np.exp(rng.normal(0, SKILL_SPREAD, crews))
    first = houses(JOBS_A_CREW * (crews - 1), rng)
    old = dispatched(first.slope, skills[:-1], rng)
    second = houses(JOBS_A_CREW * crews, rng, FIRST + 1)
    crew = rng.integers(0, crews, JOBS_A_CREW * crews)
    times = skills[crew]
    own = np.flatnonzero(crew == crews - 1)
    days = second.columns["install_date"]
    own = own[np.lexsort((own, [days[n] for n in own]))]  # type: ignore[index]
    slope = np.log2(progress)
    before = 30.0 + np.concatenate([[0.0], np.cumsum(second.feet[own])[:-1]])
    after = before + second.feet[own]
    lot = (after ** (1 + slope) - before ** (1 + slope)) / ((1 + slope) * second.feet[own])
    times[own] *= lot / lot.mean()
    return pl.concat([job_hours(first, old, skills[old]), job_hours(second, crew, times)]), name(crews - 1)
