"""Made seasons for the rate card: houses with surfaces, what each is expected to cost, and what it cost with its luck.

The card's lines are not what makes the costs: hours grow by a power of the feet, height and slope multiply instead of
adding, houses are harder or easier for reasons on no record and stay so, and most of them come back. All of it is
invented.
"""

from __future__ import annotations

import numpy as np
import polars as pl
from numpy.typing import NDArray

Floats = NDArray[np.float64]

FIRST = 2031
WORTH = {"gutter": 1.0, "shingle": 1.15, "ridge": 1.7, "trim": 1.25, "masonry": 1.35, "ground": 0.8}
"""Hours of a foot of each surface, over those of gutter."""
HAS = {"shingle": 0.6, "ridge": 0.4, "trim": 0.4, "masonry": 0.2, "ground": 0.2}
"""Share of the houses that have a surface beside gutter."""
HEIGHT = {1: 1.0, 2: 1.12, 3: 1.45}
STEEP = 1.08
NEW = 1.3
BACK = 0.78


def new_houses(count: int, first: int, rng: np.random.Generator) -> pl.DataFrame:
    """Houses with feet by surface, of which each has gutter."""
    feet = np.clip(np.exp(rng.normal(5, 0.42, count)), 45, 450)
    parts = {name: (rng.random(count) < share) * rng.uniform(0.3, 1.0, count) for name, share in HAS.items()}
    parts["gutter"] = rng.uniform(0.5, 1.5, count)
    total = sum(parts.values())
    columns = {name: np.round(feet * part / total, 1) for name, part in parts.items()}
    return pl.DataFrame(
        {
            "property_no": [f"P{first + n:05d}" for n in range(count)],
            "branch": rng.choice(["east", "west"], count, p=[0.6, 0.4]),
            "terms": rng.choice(["leased", "sold"], count, p=[0.75, 0.25]),
            "stories": rng.choice([1, 2, 3], count, p=[0.47, 0.43, 0.10]),
            "slope": rng.choice([4.0, 6.0, 8.0, 10.0, 12.0], count),
            "hardness": rng.normal(0, 0.12, count),
            "tenure": np.ones(count, dtype=int),
            **columns,
            "feet": np.sum(list(columns.values()), axis=0),
        }
    )


def expected_costs(houses: pl.DataFrame) -> Floats:
    """What each house is expected to cost, usd, without its own hardness and luck."""
    worth = np.sum([houses[name].to_numpy() * times for name, times in WORTH.items()], axis=0)
    new, sold = houses["tenure"].to_numpy() == 1, (houses["terms"] == "sold").to_numpy()
    height = houses["stories"].replace_strict(HEIGHT, return_dtype=pl.Float64).to_numpy()
    steep = np.where(houses["slope"].to_numpy() >= 9, STEEP, 1.0)
    labor = (35 + 2.8 * worth**0.95) * height * steep * np.where(new, NEW, 1.0)
    goods = houses["feet"].to_numpy() * np.where(new, np.where(sold, 1.5, 0.48), np.where(sold, 0.06, 0.33))
    return np.asarray(1.55 * labor + goods + 60 + 0.4 * houses["feet"].to_numpy())


def made_season(year: int, houses: pl.DataFrame, level: float, rng: np.random.Generator) -> tuple[pl.DataFrame, Floats]:
    """A season's jobs as measures.job_cost has them, and what they were expected to cost, usd."""
    expected = expected_costs(houses) * level
    luck = rng.lognormal(-0.02, 0.2, houses.height) * np.exp(houses["hardness"].to_numpy() - 0.0072)
    goods = houses["feet"].to_numpy() * 0.3
    cost = goods + (expected - goods) * luck
    feet = pl.col("feet")
    jobs = houses.with_columns(
        season=pl.lit(year, pl.Int32), job_no=pl.col("property_no"), customer_no=pl.col("property_no"),
        work=pl.when(pl.col("tenure") == 1).then(pl.lit("new")).otherwise(pl.lit("repeat")),
        labor_usd=pl.Series(cost), total_usd=pl.Series(cost), invoiced_usd=pl.Series(1.5 * expected),
        is_final=pl.lit(True), is_understated=pl.lit(False), has_own_hours=pl.lit(True),
        size_band=pl.when(feet < 100).then(pl.lit("under 100 ft")).when(feet < 150).then(pl.lit("100 to 149 ft"))
        .when(feet < 250).then(pl.lit("150 to 249 ft")).otherwise(pl.lit("250 ft and over")),
        **{f"{part}_usd": pl.lit(0.0) for part in ("materials", "travel", "equipment", "service", "overhead")},
    )  # fmt: skip
    return jobs.sort("branch", "job_no"), expected


def runs_of(jobs: pl.DataFrame) -> pl.DataFrame:
    """records.runs of the jobs: one a surface that a house has."""
    return (
        jobs.drop("feet")
        .unpivot(list(WORTH), index=["branch", "job_no"], variable_name="surface", value_name="feet")
        .filter(pl.col("feet") > 0)
        .sort("branch", "job_no", "surface")
    )


def two_seasons(seed: int, count: int = 330) -> list[tuple[pl.DataFrame, Floats]]:
    """A season and the one that follows: each its jobs, sorted, and what they were expected to cost, usd."""
    rng = np.random.default_rng(seed)
    houses = new_houses(count, 0, rng).with_columns(tenure=pl.Series(np.where(rng.random(count) < 0.3, 1, 2)))
    made = []
    for year in (FIRST, FIRST + 1):
        jobs, _ = made_season(year, houses, float(np.exp(rng.normal(0, 0.05))), rng)
        made.append((jobs, expected_costs(jobs)))
        back = houses.filter(pl.Series(rng.random(houses.height) < BACK)).with_columns(tenure=pl.col("tenure") + 1)
        houses = pl.concat([back, new_houses(count - back.height, 10_000, rng)])
    return made
