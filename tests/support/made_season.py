"""A made season of crews, houses and faults whose truth is known and is not the model that is fitted.

Hours are a set-up time plus rates by surface, stories and a slope that bites above a threshold alone; plants in the way
are on no record; the skilled crews are sent to the steep houses; faults come in clusters. All figures are invented.
"""

from __future__ import annotations

from datetime import date, timedelta

import numpy as np
import polars as pl
from numpy.typing import NDArray

SEASON = 2031
SKILLS = {("east", "Alder"): 0.84, ("east", "Beech"): 0.98, ("east", "Cherry"): 1.12,
          ("west", "Dogwood"): 0.92, ("west", "Elm"): 1.00, ("west", "Fir"): 1.15}  # fmt: skip
WORKMANSHIP = {"Alder": 0.8, "Beech": 1.0, "Cherry": 1.3, "Dogwood": 0.9, "Elm": 1.0, "Fir": 1.2}
PER_FT = {"gutter": 0.027, "shingle": 0.035, "ridge": 0.050, "masonry": 0.062, "trim": 0.041, "ground": 0.018}
PER_1000 = {"plug": 0.9, "splice": 1.8, "taped_socket": 0.35}


def true_ratio(crew: str) -> float:
    """A crew's hours over those of the geometric mean of its branch's crews, on any house."""
    branch = next(place for place, name in SKILLS if name == crew)
    peers = [skill for (place, _), skill in SKILLS.items() if place == branch]
    return float(SKILLS[branch, crew] / np.exp(np.mean(np.log(peers))))


def _dispatched(slope: NDArray[np.float64], rng: np.random.Generator) -> NDArray[np.int64]:
    """Crews drawn with a pull of the skilled to the steep houses."""
    skills = np.array(list(SKILLS.values()))
    steep = (slope - slope.mean()) / slope.std()
    pull = np.exp(4.0 * (1 - skills)[None, :] * steep[:, None])
    chances = np.cumsum(pull / pull.sum(axis=1, keepdims=True), axis=1)
    return (rng.random(len(slope))[:, None] > chances).sum(axis=1).clip(0, len(skills) - 1)


def made_job_hours(jobs: int, seed: int) -> pl.DataFrame:
    """Rows of facts.job_hours."""
    rng = np.random.default_rng(seed)
    feet = np.clip(np.exp(rng.normal(5.0, 0.42, jobs)), 60, 400).round(1)
    stories = rng.choice([1, 2, 3], jobs, p=[0.46, 0.45, 0.09])
    slope = rng.choice([4, 5, 6, 7, 8, 9, 10, 12], jobs).astype(float)
    crew = _dispatched(slope, rng)
    shares = rng.dirichlet([2.2, 0.9, 0.6, 0.35, 0.6, 0.25], jobs)
    repeat = rng.random(jobs) < 0.6
    steep = 1 + 0.055 * np.clip(slope - 6, 0, None) ** 1.25
    per_ft = shares * np.array(list(PER_FT.values())) * np.array([1.0, 1, 1, 1, 1, 1])
    per_ft[:, 1:3] *= steep[:, None]
    hanging = 1.15 + feet * per_ft.sum(axis=1) * np.array([1.0, 1.2, 1.62])[stories - 1]
    hanging *= np.where(repeat, 0.74, 1.0) * rng.lognormal(-0.02, 0.20, jobs)
    day = rng.integers(0, 70, jobs)
    weather = rng.lognormal(0, 0.08, 70)
    names = list(SKILLS)
    skill = np.array(list(SKILLS.values()))[crew]
    return pl.DataFrame(
        {
            "season": pl.Series([SEASON] * jobs, dtype=pl.Int32), "branch": [names[c][0] for c in crew],
            "job_no": [f"{n:04d}" for n in range(jobs)], "crew": [names[c][1] for c in crew],
            "work": np.where(repeat, "repeat", "new"), "stories": stories.astype(np.int32), "slope": slope,
            "install_date": [date(SEASON, 10, 1) + timedelta(days=int(d)) for d in day], "feet": feet,
            "workers": np.full(jobs, 3), "prep_hours": (0.35 + 0.012 * feet) * skill,
            "install_hours": hanging * weather[day] * skill,
            **{f"share_{surface}": shares[:, i] for i, surface in enumerate(PER_FT)}, "share_other": np.zeros(jobs),
        }
    )  # fmt: skip


def made_exposure(jobs: pl.DataFrame, seed: int, luck_shape: float = 1.5) -> pl.DataFrame:
    """Rows of facts.connection_weeks: a job's luck is gamma with mean 1, so faults spread more than Poisson."""
    rng = np.random.default_rng(seed)
    rows = []
    for kind, per_1000 in PER_1000.items():
        connections = rng.poisson(3, jobs.height)
        rows.append(
            jobs.select("season", "branch", "job_no", "crew").with_columns(
                kind=pl.lit(kind), week_start=pl.lit(date(SEASON, 12, 1)),
                connections=pl.Series(connections, dtype=pl.Int64),
                connection_nights=pl.Series(connections * 55, dtype=pl.Int64),
                per_1000=pl.lit(per_1000),
            )
        )  # fmt: skip
    luck = rng.gamma(luck_shape, 1 / luck_shape, jobs.height)
    exposure = pl.concat(rows)
    work = exposure["crew"].replace_strict(WORKMANSHIP, return_dtype=pl.Float64).to_numpy()
    means = exposure["per_1000"].to_numpy() / 1000 * exposure["connection_nights"].to_numpy() * work
    failed = rng.poisson(means * np.tile(luck, len(PER_1000)))
    return exposure.with_columns(failed_points=pl.Series(failed, dtype=pl.Int64)).drop("per_1000")
