"""Made firms for the rate card: houses with surfaces, what each is expected to cost, and what it cost with its luck.

The card's lines are not what makes the costs: hours grow by a power of the feet, height and slope multiply instead of
adding, goods go by colours that no card asks for, houses are harder or easier for reasons on no record and stay so, and
most of them come back. Each firm has its own figures, and each season its own pace and prices. All of it is invented.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import polars as pl
from numpy.typing import NDArray

Floats = NDArray[np.float64]

FIRST = 2031
WORTH = {"gutter": 1.0, "shingle": 1.15, "ridge": 1.7, "trim": 1.25, "masonry": 1.35, "ground": 0.8}
"""Hours of a foot of each surface, over those of gutter, in the middle of the firms."""
HAS = {"shingle": 0.6, "ridge": 0.4, "trim": 0.4, "masonry": 0.2, "ground": 0.2}
"""Share of the houses that have a surface beside gutter."""
GOODS = {("new", "leased"): 0.48, ("new", "sold"): 1.5, ("repeat", "leased"): 0.33, ("repeat", "sold"): 0.06}
"""Goods of a foot, usd."""
BACK = 0.78
HARDNESS, LUCK, COLOURS = 0.12, 0.2, 0.15
"""Standard deviations of the logs of a house's hours, of a job's hours beside it, and of a house's goods a foot."""


@dataclass(frozen=True)
class Firm:
    """What makes a firm's costs: `power` of the feet, times for `two` and `three` stories, for a `steep` roof, for
    `new` work and for hours of `leased` goods, and hours of a foot by surface.
    """

    power: float
    two: float
    three: float
    steep: float
    new: float
    leased: float
    worth: dict[str, float]

    @staticmethod
    def made(rng: np.random.Generator) -> Firm:
        """A firm by chance."""
        low = (0.90, 1.05, 1.25, 1.0, 1.15, 1.0)
        high = (0.98, 1.20, 1.55, 1.15, 1.40, 1.08)
        worth = {name: times * float(np.exp(rng.normal(0, 0.08))) for name, times in WORTH.items()}
        return Firm(*rng.uniform(low, high).tolist(), worth | {"gutter": 1.0})


def new_houses(count: int, first: int, rng: np.random.Generator) -> pl.DataFrame:
    """Houses with feet by surface, of which each has gutter."""
    feet = np.clip(np.exp(rng.normal(5, 0.42, count)), 45, 450)
    parts = {name: (rng.random(count) < share) * rng.uniform(0.3, 1.0, count) for name, share in HAS.items()}
    parts["gutter"] = rng.uniform(0.5, 1.5, count)
    total = sum(parts.values())
    columns = {name: np.round(feet * part / total, 1) for name, part in parts.items()}
    return pl.DataFrame(
        {
            "property_no": [f"P{first + n:06d}" for n in range(count)],
            "branch": rng.choice(["east", "west"], count, p=[0.6, 0.4]),
            "terms": rng.choice(["leased", "sold"], count, p=[0.75, 0.25]),
            "stories": rng.choice([1, 2, 3], count, p=[0.47, 0.43, 0.10]),
            "slope": rng.choice([4.0, 6.0, 8.0, 10.0, 12.0], count),
            "hardness": rng.normal(-(HARDNESS**2) / 2, HARDNESS, count),
            "colours": rng.normal(-(COLOURS**2) / 2, COLOURS, count),
            "tenure": np.ones(count, dtype=int),
            **columns,
            "feet": np.sum(list(columns.values()), axis=0),
        }
    )


def expected_parts(firm: Firm, houses: pl.DataFrame, pace: float, prices: float) -> tuple[Floats, Floats, Floats]:
    """Hours' cost, goods and overhead that each house is expected to take, usd, without its hardness and luck."""
    feet = houses["feet"].to_numpy()
    worth = np.sum([houses[name].to_numpy() * times for name, times in firm.worth.items()], axis=0)
    height = houses["stories"].replace_strict({1: 1.0, 2: firm.two, 3: firm.three}, return_dtype=pl.Float64).to_numpy()
    steep = np.where(houses["slope"].to_numpy() >= 9, firm.steep, 1.0)
    new, leased = houses["tenure"].to_numpy() == 1, (houses["terms"] == "leased").to_numpy()
    kind = np.where(new, firm.new, 1.0) * np.where(leased, firm.leased, 1.0)
    labor = (55 + 4.4 * worth**firm.power) * height * steep * kind
    kinds = [("new" if one else "repeat", "leased" if two else "sold") for one, two in zip(new, leased, strict=True)]
    goods = feet * np.array([GOODS[kind] for kind in kinds])
    return labor * pace, goods * prices, 60 + 0.4 * feet + 0.15 * labor * pace


def made_season(firm: Firm, year: int, houses: pl.DataFrame, rng: np.random.Generator) -> tuple[pl.DataFrame, Floats]:
    """A season's jobs as measures.job_cost has them, and what each was expected to cost, usd."""
    houses = houses.sort("branch", "property_no")
    pace, prices = np.exp(rng.normal(0, 0.05, 2)).tolist()
    labor, goods, overhead = expected_parts(firm, houses, pace, prices)
    luck = rng.normal(-(LUCK**2) / 2, LUCK, houses.height)
    hours = labor * np.exp(luck + houses["hardness"].to_numpy())
    spent = goods * np.exp(houses["colours"].to_numpy())
    shared = overhead + 0.15 * (hours - labor)
    feet = pl.col("feet")
    jobs = houses.with_columns(
        season=pl.lit(year, pl.Int32), job_no=pl.col("property_no"), customer_no=pl.col("property_no"),
        work=pl.when(pl.col("tenure") == 1).then(pl.lit("new")).otherwise(pl.lit("repeat")),
        labor_usd=pl.Series(hours * 0.9), service_usd=pl.Series(hours * 0.1), materials_usd=pl.Series(spent),
        overhead_usd=pl.Series(shared), total_usd=pl.Series(hours + spent + shared),
        invoiced_usd=pl.Series(1.5 * (labor + goods + overhead)),
        is_final=pl.lit(True), is_understated=pl.lit(False), has_own_hours=pl.lit(True),
        size_band=pl.when(feet < 100).then(pl.lit("under 100 ft")).when(feet < 150).then(pl.lit("100 to 149 ft"))
        .when(feet < 250).then(pl.lit("150 to 249 ft")).otherwise(pl.lit("250 ft and over")),
        travel_usd=pl.lit(0.0), equipment_usd=pl.lit(0.0),
    )  # fmt: skip
    return jobs, labor + goods + overhead


def runs_of(jobs: pl.DataFrame) -> pl.DataFrame:
    """records.runs of the jobs: one a surface that a house has."""
    return (
        jobs.drop("feet")
        .unpivot(list(WORTH), index=["season", "branch", "job_no"], variable_name="surface", value_name="feet")
        .filter(pl.col("feet") > 0)
        .sort("season", "branch", "job_no", "surface")
    )


def made_seasons(seed: int, count: int, seasons: int) -> list[tuple[pl.DataFrame, Floats]]:
    """Seasons of a made firm that follow each other: each its jobs, sorted, and what each was to cost, usd."""
    rng = np.random.default_rng(seed)
    firm = Firm.made(rng)
    houses = new_houses(count, 0, rng).with_columns(tenure=pl.Series(np.where(rng.random(count) < 0.3, 1, 2)))
    made = []
    for year in range(FIRST, FIRST + seasons):
        made.append(made_season(firm, year, houses, rng))
        back = houses.filter(pl.Series(rng.random(count) < BACK)).with_columns(tenure=pl.col("tenure") + 1)
        houses = pl.concat([back, new_houses(count - back.height, (year - FIRST + 1) * 100_000, rng)])
    return made
