"""Made seasons: does a price reach the margin next season as often as its chance says?"""

from __future__ import annotations

import numpy as np
import polars as pl
import pytest
from support.season_frames import season_cost, settings

from pipeline.decisions import price
from pipeline.decisions.policy import CHANCES

WORLDS = 300
JOBS = 80


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


@pytest.mark.parametrize(("seasons", "spread"), [(1, 0.0), (2, 0.05), (4, 0.05)])
def test_a_price_reaches_the_margin_as_often_as_its_chance_says(
    seasons: int, spread: float, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Seasons differ by a lognormal level. No less often within three Monte Carlo errors, and no more than 5 % more:
    seasons that were seen hold the luck of their jobs, and the bootstrap adds it again, which errs to the safe side.

    With one season in the store the chance holds if the next one is like it, so there the levels are equal.
    """
    monkeypatch.setattr(price, "BOOTSTRAP_DRAWS", 400)
    margin = 0.35
    reached = np.zeros(len(CHANCES))
    for world in range(WORLDS):
        rng = np.random.default_rng(world + 1_000 * seasons)
        made = [made_jobs(year, float(np.exp(rng.normal(0, spread))), rng) for year in range(2031, 2032 + seasons)]
        store = season_cost({2031 + n: cost for n, (_, cost) in enumerate(made[:seasons])})
        given = settings(price_step="0", target_margin=str(margin))
        last = 2030 + seasons
        table, _ = price.price_table(made[seasons - 1][0], store, given, season=last, seed=world)
        prices = table.filter(pl.col("segment") == "all").sort("chance")["price_usd_per_ft"].to_numpy()
        reached += made[seasons][1] <= prices * (1 - margin)
    for chance, share in zip(CHANCES, reached / WORLDS, strict=True):
        error = 3 * np.sqrt(chance * (1 - chance) / WORLDS)
        assert chance - error <= share <= chance + 0.05 + error, chance
