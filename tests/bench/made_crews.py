"""Do the intervals of crews hold the truth as often as they say, and is no crew called faster where none is?

    PYTHONPATH=.:tests python tests/bench/made_crews.py [SEASONS] [FILE]

1,000 made seasons (`support/made_crews.py`: another process than the model that is fitted) at 3, 5 and 12 crews.
Writes made_crews.json beside this file, with the date, the version and each share with its Monte Carlo error.
"""

from __future__ import annotations

import json
import sys
from collections import defaultdict
from datetime import date
from pathlib import Path

import numpy as np
import polars as pl
from support import made_crews as made
from support.season_frames import exposure

from pipeline import __version__
from pipeline.decisions.crews import compare_crews
from pipeline.decisions.crews_design import design, usable_jobs
from pipeline.decisions.crews_fit import numbered
from pipeline.decisions.crews_seasons import lasting_pace
from pipeline.decisions.learning import crew_learning
from pipeline.statistics.mixed_groups import fit_groups

CREWS = (3, 5, 12)
POPULATION = 200_000
PROGRESS = 0.88
NO_FAULTS = exposure([{}]).clear()
Shares = dict[str, list[float]]


def true_multipliers() -> dict[str, float]:
    """What a fit without limit of houses says of each term: the truth is not log-linear, so this is its best say."""
    rng = np.random.default_rng(1)
    house = made.houses(POPULATION, rng, usual=False)
    jobs = usable_jobs(made.job_hours(house, rng.integers(0, 3, POPULATION), np.ones(POPULATION)))
    fitted, groups = numbered(jobs, jobs.select("crew").unique(maintain_order=True))
    found = design(fitted, groups)
    b = fit_groups(np.log(fitted["hours"].to_numpy()), found.matrix, groups).coefficients
    return {term.key: float(np.exp(term.step * value)) for term, value in zip(found.terms, b, strict=True)}


def inside(rows: list[dict], truth: list[float], low: str, high: str) -> list[bool]:
    return [row[low] <= t <= row[high] for row, t in zip(rows, truth, strict=True)]


def one_season(crews: int, seed: int, terms: dict[str, float], out: Shares) -> None:
    """Intervals of a season in which crews differ."""
    jobs, skills = made.made_crews(crews, seed)
    found = compare_crews(jobs, NO_FAULTS, season=made.FIRST, seed=seed)
    skill = {made.name(c): value for c, value in enumerate(skills)}
    rows = [row for row in found.crews.to_dicts() if row["ratio"] is not None]
    mean = np.exp(np.mean([np.log(skill[row["crew"]]) for row in rows]))
    truth = [skill[row["crew"]] / mean for row in rows]
    pairs = found.contrasts.to_dicts()
    between = [skill[row["crew"]] / skill[row["other_crew"]] for row in pairs]
    out["ratio of a crew"].append(np.mean(inside(rows, truth, "low", "high")))
    out["pooled ratio of a crew"].append(np.mean(inside(rows, truth, "pooled_low", "pooled_high")))
    out["ratio of a pair"].append(np.mean(inside(pairs, between, "low", "high")))
    together = inside(rows, truth, "all_low", "all_high") + inside(pairs, between, "all_low", "all_high")
    out["all crews and pairs at once"].append(float(all(together)))
    wrong = [row["told_apart"] and (row["ratio"] < 1) != (t < 1) for row, t in zip(pairs, between, strict=True)]
    out["a pair told apart the wrong way"].append(float(any(wrong)))
    out["pairs told apart"].append(np.mean([row["told_apart"] for row in pairs]))
    for row in found.multipliers.to_dicts():
        out[f"multiplier {row['term']}"].append(float(row["low"] <= terms[row["term"]] <= row["high"]))
    raw = {row["crew"]: row["observed_hours"] / row["feet"] for row in rows}
    best = min(rows, key=lambda row: skill[row["crew"]])["crew"]
    out["raw hours name the fastest"].append(float(min(raw, key=raw.__getitem__) == best))
    out["fair hours name the fastest"].append(float(min(rows, key=lambda row: row["ratio"])["crew"] == best))
    sure = [(row["chance_faster"] > 0.5) == (t < 1) for row, t in zip(pairs, between, strict=True)
            if not 0.1 < row["chance_faster"] < 0.9]  # fmt: skip
    if sure:
        out["right where the chance is over 90 %"].append(np.mean(sure))


def equal_season(crews: int, seed: int, out: Shares) -> None:
    """Claims in a season in which no crew is faster."""
    jobs, _ = made.made_crews(crews, seed, spread=0)
    found = compare_crews(jobs, NO_FAULTS, season=made.FIRST, seed=seed)
    said = [*found.crews["told_apart"], *found.contrasts["told_apart"]]
    out["a claim where all are equal"].append(float(any(said)))


def several_seasons(crews: int, seed: int, out: Shares) -> None:
    """The lasting ratio, from three seasons, and the progress ratio of a crew that begins in the second of two."""
    jobs, skills = made.made_seasons(crews, 3, seed)
    rows = lasting_pace(usable_jobs(jobs), made.FIRST + 2, seed=seed)[0].to_dicts()
    skill = {made.name(c): value for c, value in enumerate(skills)}
    mean = np.exp(np.mean([np.log(skill[row["crew"]]) for row in rows]))
    truth = [skill[row["crew"]] / mean for row in rows]
    out["lasting ratio of a crew"].append(np.mean(inside(rows, truth, "lasting_low", "lasting_high")))
    begun, crew = made.made_beginners(crews, PROGRESS, seed)
    learned, _ = crew_learning(begun, usable_jobs(begun), made.FIRST + 1)
    for row in learned.filter(pl.col("crew") == crew).to_dicts():
        out["progress ratio of a crew"].append(float(row["low"] <= PROGRESS <= row["high"]))


def main() -> None:
    seasons = int(sys.argv[1]) if len(sys.argv) > 1 else 1_000
    path = Path(sys.argv[2]) if len(sys.argv) > 2 else Path(__file__).with_suffix(".json")
    terms = true_multipliers()
    result: dict = {"date": str(date.today()), "version": __version__,
                    "seasons": {str(crews): seasons for crews in CREWS},
                    "jobs_a_crew": made.JOBS_A_CREW, "crews": {}}  # fmt: skip
    for crews in CREWS:
        shares: Shares = defaultdict(list)
        for seed in range(seasons):
            one_season(crews, seed, terms, shares)
            equal_season(crews, seed + 1_000_000, shares)
            several_seasons(crews, seed + 2_000_000, shares)
        result["crews"][str(crews)] = {
            what: {"share": round(float(np.mean(values)), 4),
                   "error": round(float(np.std(values) / np.sqrt(len(values))), 4), "of": len(values)}
            for what, values in sorted(shares.items())
        }  # fmt: skip
        path.write_text(json.dumps(result, indent=1) + "\n", encoding="utf-8")


if __name__ == "__main__":
    main()
