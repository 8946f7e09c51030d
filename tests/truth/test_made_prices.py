"""Made seasons: does a price reach the margin next season as often as its chance says?"""

from __future__ import annotations

import json
from pathlib import Path

import numpy as np
import polars as pl
import pytest
from support.price_worlds import made_world, priced
from support.season_frames import season_cost, settings

from pipeline.decisions import price
from pipeline.decisions.policy import CHANCES

WORLDS = 200
JOBS = 80
HISTORIES = 6
"""Made histories of each number of seasons that are tried at each run; tests/bench/prices.json has a thousand."""
KEPT = Path(__file__).parents[1] / "bench" / "prices.json"


def made_jobs(season: int, level: float, rng: np.random.Generator) -> tuple[pl.DataFrame, float]:
    """Jobs that cost a start and a rate a foot, more or less by luck, at the season's level; and their cost a foot."""
    feet = np.clip(np.exp(rng.normal(5, 0.42, JOBS)), 60, 400)
    cost = (120 + 3.9 * feet) * rng.lognormal(-0.045, 0.3, JOBS) * level
    nothing = {f"{part}_usd": np.zeros(JOBS) for part in ("materials", "travel", "equipment", "service", "overhead")}
    frame = pl.DataFrame(
        {
            "season": [season] * JOBS, "branch": ["b"] * JOBS, "job_no": [f"{n:03d}" for n in range(JOBS)],
            "work": ["new"] * JOBS, "terms": ["sold"] * JOBS, "feet": feet, "labor_usd": cost, **nothing,
            "total_usd": cost, "is_final": [True] * JOBS, "is_understated": [False] * JOBS,
            "has_own_hours": [True] * JOBS,
        }
    )  # fmt: skip
    return frame, float(cost.sum() / feet.sum())


def test_one_season_s_price_reaches_the_margin_as_often_as_promised_where_the_next_is_like_it(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """Both lie at one level: what is left is the luck of both seasons' jobs. Within three Monte Carlo errors."""
    monkeypatch.setattr(price, "BOOTSTRAP_DRAWS", 400)
    margin = 0.35
    reached = np.zeros(len(CHANCES))
    for world in range(WORLDS):
        rng = np.random.default_rng(world + 1_000)
        (jobs, cost), (_, later) = (made_jobs(year, 1.0, rng) for year in (2031, 2032))
        given = settings(price_step="0", target_margin=str(margin))
        table, _ = price.price_table(jobs, season_cost({2031: cost}), given, season=2031, seed=world)
        prices = table.filter(pl.col("segment") == "all").sort("chance")["price_usd_per_ft"].to_numpy()
        reached += later <= prices * (1 - margin)
    for chance, share in zip(CHANCES, reached / WORLDS, strict=True):
        assert abs(share - chance) <= 3 * np.sqrt(chance * (1 - chance) / WORLDS), chance


def test_a_thousand_made_histories_reached_the_margin_as_often_as_promised() -> None:
    """Of each number of seasons, and of all: within three Monte Carlo errors of a thousand."""
    kept = json.loads(KEPT.read_text(encoding="utf-8"))
    for name in ("2 seasons", "3 seasons", "4 seasons", "5 seasons", "in all"):
        assert kept[name]["histories"] >= 1_000, name
        for segment in ("all", "new", "repeat"):
            assert abs(kept[name][segment]["0.8"] - 0.8) <= 3 * np.sqrt(0.16 / 1_000), (name, segment)


def test_made_histories_with_returns_rises_and_feet_that_change_reach_the_margin() -> None:
    """Two to five seasons through the price's whole decision: of 24 at 80 %, 19 give or take three errors of 2."""
    reached = []
    for seasons in (2, 3, 4, 5):
        for seed in range(80_000, 80_000 + HISTORIES):
            world = made_world(seasons, seed, target_margin="0.35")
            table = priced(world, seed).filter((pl.col("segment") == "all") & (pl.col("chance") == 0.8))
            reached.append(world.truth["all"] <= table["price_usd_per_ft"][0] * 0.65)
    assert abs(sum(reached) - 0.8 * len(reached)) <= 3 * np.sqrt(0.16 * len(reached))
