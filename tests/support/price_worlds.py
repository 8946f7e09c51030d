"""Made histories of a firm, season by season, whose costs do not come from the forecast that is tried on them.

Jobs return and new ones come, houses and their luck differ, and each season has its own pace of work, prices of goods
and hazards, which wander, swing about a level, or something between. Wages rise as the owner expects, more or less.
Overhead is mostly fixed. All of it is invented.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
import polars as pl

from pipeline.settings import Settings

FIRST = 2031
RISES = {"rise_labor": 0.03, "rise_goods": 0.02, "rise_other": 0.02}
"""What the owner expects, and what comes true on average."""
ONE_RISE = 0.01
"""Standard deviation of a season's own rise about that."""
BACK = 0.75
"""Chance that a property returns, in a season like the others."""
START, PER_FOOT, SIZE_POWER = 30.0, 3.1, 0.94
"""Labor of a job: something for going there, and feet to a power a little under one, usd."""
HEIGHT = {1: 1.0, 2: 1.12, 3: 1.45}
PARTS = ("labor", "materials", "travel", "equipment", "service", "overhead")


@dataclass(frozen=True)
class World:
    """A made history: the store's frames of the seasons that are over, and what the next one cost a foot.

    `truth` has the cost a foot of the season that follows, of all jobs and of new and repeat work.
    """

    jobs: pl.DataFrame
    properties: pl.DataFrame
    schedule: pl.DataFrame
    overheads: pl.DataFrame
    season: int
    truth: dict[str, float]
    settings: Settings
    house: pl.DataFrame
    """The jobs of the season that follows."""


def _levels(seasons: int, spread: float, keep: float, rng: np.random.Generator) -> np.ndarray:
    """Logs of the seasons' pace, goods, hazards and overhead: `keep` of a season's departure stays in the next."""
    shared, own = rng.normal(0, spread, (seasons, 1)), rng.normal(0, spread, (seasons, 4))
    shocks = np.sqrt(0.6) * shared + np.sqrt(0.4) * own
    levels = np.zeros((seasons, 4))
    for at in range(seasons):
        levels[at] = (keep * levels[at - 1] if at else 0) + shocks[at]
    return levels


def _new_houses(count: int, first: int, rng: np.random.Generator) -> pl.DataFrame:
    return pl.DataFrame(
        {
            "property_no": [f"P{first + n:05d}" for n in range(count)],
            "terms": rng.choice(["leased", "sold"], count, p=[0.75, 0.25]),
            "stories": rng.choice([1, 2, 3], count, p=[0.47, 0.43, 0.10]),
            "feet": np.clip(np.exp(rng.normal(5, 0.42, count)), 50, 450).round(),
            "hardness": rng.normal(0, 0.12, count),
            "tenure": np.zeros(count, dtype=int),
        }
    )


def made_season(year: int, houses: pl.DataFrame, level: np.ndarray, rises: np.ndarray, fixed: float,
                rng: np.random.Generator) -> pl.DataFrame:  # fmt: skip
    """A season's jobs as measures.job_cost has them. `rises` are the factors of wages, goods and the rest since the
    first season, `fixed` the season's fixed overhead, usd.
    """
    count = houses.height
    feet, new = houses["feet"].to_numpy(), houses["tenure"].to_numpy() == 1
    height = np.array([HEIGHT[s] for s in houses["stories"].to_list()])
    luck = rng.lognormal(-0.02, 0.2, count) * np.exp(houses["hardness"].to_numpy())
    labor = (START + PER_FOOT * feet**SIZE_POWER * height * np.where(new, 1.35, 1.0)) * luck
    sold = houses["terms"].to_numpy() == "sold"
    goods = feet * np.where(new, np.where(sold, 1.1, 0.5), np.where(sold, 0.08, 0.35)) * rng.lognormal(0, 0.1, count)
    faults = rng.poisson(0.5 * np.exp(level[2]), count) * 85.0
    share = labor / labor.sum()
    money = {
        "labor_usd": labor * np.exp(level[0]) * rises[0],
        "materials_usd": goods * np.exp(level[1]) * rises[1],
        "travel_usd": rng.uniform(5, 25, count) * rises[2],
        "equipment_usd": 0.07 * feet * rises[2],
        "service_usd": faults * rises[0],
        "overhead_usd": share * (fixed * np.exp(0.3 * level[3]) + 0.35 * feet.sum()) * rises[2],
    }
    frame = houses.with_columns(
        season=pl.lit(year, pl.Int32), branch=pl.lit("main"), job_no=pl.col("property_no"),
        customer_no=pl.col("property_no"), work=pl.Series(np.where(new, "new", "repeat")),
        is_final=pl.lit(True), is_understated=pl.lit(False), has_own_hours=pl.lit(True),
        **{name: pl.Series(values) for name, values in money.items()},
    )  # fmt: skip
    return frame.with_columns(total_usd=pl.sum_horizontal(list(money)))


def a_foot(jobs: pl.DataFrame) -> float:
    """Cost a foot over jobs."""
    return float(jobs["total_usd"].sum() / jobs["feet"].sum())


def made_world(seasons: int, seed: int, *, spread: float | None = None, **given: str) -> World:
    """A history of so many seasons and the one that follows; `given` are further settings.

    `spread` is the standard deviation of a season's own shock; else drawn, .02 to .1.
    """
    rng = np.random.default_rng([seed, seasons])
    spread = float(rng.uniform(0.02, 0.1)) if spread is None else spread
    levels = _levels(seasons + 1, spread, float(rng.choice([0.0, 0.5, 1.0])), rng)
    yearly = np.array([1 + rise for rise in RISES.values()])
    new, fixed, busy = int(rng.integers(25, 70)), float(rng.uniform(0.5, 1.6)), float(rng.uniform(0.08, 0.28))
    houses = _new_houses(4 * new, 0, rng).with_columns(tenure=pl.Series(rng.integers(1, 5, 4 * new)))
    fixed *= float(houses["feet"].sum())
    made, properties = [], []
    for at in range(seasons + 1):
        rises = yearly**at * np.exp(rng.normal(0, ONE_RISE, 3))
        made.append(made_season(FIRST + at, houses, levels[at], rises, fixed, rng))
        back = rng.random(houses.height) < BACK + rng.normal(0, 0.03)
        properties.append(
            made[-1].select(
                "season", "branch", "property_no", "customer_no", "terms", "tenure", returned=pl.Series(back)
            )
        )
        fresh = _new_houses(int(rng.poisson(new * rng.lognormal(0, busy))), 100_000 * (at + 1), rng)
        houses = pl.concat([houses.filter(pl.Series(back)), fresh]).with_columns(tenure=pl.col("tenure") + 1)
    last, following = FIRST + seasons - 1, made[-1]
    known = pl.concat(properties[:-1]).with_columns(
        returned=pl.when(pl.col("season") < last).then(pl.col("returned")), tenure=pl.col("tenure").cast(pl.Int32)
    )
    truth = {"all": a_foot(following)} | {
        work: a_foot(following.filter(pl.col("work") == work)) for work in ("new", "repeat")
    }
    overheads = pl.concat([_overheads(frame, fixed) for frame in made[:-1]])
    schedule = pl.DataFrame({"season": [last], "later_season": [last + 1], "borne_usd": [0.0]})
    settings = Settings.from_pairs([(k, str(v)) for k, v in (RISES | {"price_step": "0"} | given).items()])
    return World(pl.concat(made[:-1]), known, schedule, overheads, last, truth, settings, following)


def _overheads(jobs: pl.DataFrame, fixed: float) -> pl.DataFrame:
    """records.overheads of a season: a fixed amount and one by the foot, in the season's own proportion."""
    total, by_foot = float(jobs["overhead_usd"].sum()), 0.35 * float(jobs["feet"].sum())
    share = fixed / (fixed + by_foot)
    return pl.DataFrame(
        {"season": jobs["season"].head(2), "amount": [total * share, total * (1 - share)],
         "behaves": ["fixed", "variable"]}
    )  # fmt: skip


def season_costs(jobs: pl.DataFrame) -> pl.DataFrame:
    """measures.season_cost of all branches."""
    names = ("feet", *(f"{part}_usd" for part in PARTS), "total_usd")
    summed = jobs.group_by("season").agg(pl.col(names).sum()).sort("season")
    return summed.with_columns(cost_usd_per_ft=pl.col("total_usd") / pl.col("feet"))


def priced(world: World, seed: int) -> pl.DataFrame:
    """decisions.price_table of the season that follows, through the product's own decision."""
    from pipeline.decisions.price import price_table
    from pipeline.decisions.price_ahead import Ahead, look_ahead, standing
    from pipeline.decisions.price_seasons import with_foreseen

    def stood(season: int) -> Ahead:
        return standing(world.schedule, world.overheads, season)

    settings_of: Callable[[int], Settings] = lambda _: world.settings  # noqa: E731 - two names of one thing
    ahead = look_ahead(world.jobs, world.properties, world.schedule, world.overheads, world.settings,
                       season=world.season, seed=seed)  # fmt: skip
    seasons = with_foreseen(season_costs(world.jobs), settings_of, stood)
    own = world.jobs.filter(pl.col("season") == world.season)
    return price_table(own, seasons, world.settings, season=world.season, seed=seed, ahead=ahead)[0]
