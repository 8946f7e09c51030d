"""Do the intervals of crews hold the truth as often as they say, and is no crew called faster where none is?

    OPENBLAS_NUM_THREADS=1 PYTHONPATH=.:tests python -m tests.bench.made_crews FOLDER [SEASONS]

1,000 made seasons (`support/made_crews.py`: another process than the model that is fitted) at each of 3, 5 and 12
crews; a run that was stopped goes on from what it left in FOLDER. Writes made_crews.json beside this file, with the
date, the version and each share with its Monte Carlo error. Its seeds are not those on which anything was chosen.
"""

from __future__ import annotations

import json
import sys
from collections.abc import Callable
from datetime import date
from pathlib import Path

import numpy as np
import polars as pl
from support import made_crews as made
from support.season_frames import exposure

from pipeline import __version__
from pipeline.decisions.crews import compare_crews
from pipeline.decisions.crews_design import design, usable_jobs
from pipeline.decisions.crews_fit import fit_crews, numbered
from pipeline.decisions.crews_seasons import lasting_pace
from pipeline.decisions.learning import crew_learning
from pipeline.decisions.policy import WRONG_CREW_CHANCE
from pipeline.statistics.mixed_groups import fit_groups
from tests.bench.seasons import Values, summed_up, worked

CREWS = (3, 5, 12)
POPULATION = 200_000
PROGRESS = 0.88
NO_FAULTS = exposure([{}]).clear()
FIRST_SEED = {"intervals": 20_000_000, "claims": 40_000_000}
"""First seed of the seasons of each part; none is of those on which a prior or the level of claims was chosen."""
SEASONS = 1_000
RESULT = Path(__file__).with_suffix(".json")


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


def differing(crews: int, seed: int, terms: dict[str, float]) -> Values:
    """Intervals of a season in which crews differ."""
    out: Values = {}
    jobs, skills = made.made_crews(crews, seed)
    found = compare_crews(jobs, NO_FAULTS, season=made.FIRST, seed=seed)
    skill = {made.name(c): value for c, value in enumerate(skills)}
    rows = [row for row in found.crews.to_dicts() if row["ratio"] is not None]
    mean = np.exp(np.mean([np.log(skill[row["crew"]]) for row in rows]))
    truth = [skill[row["crew"]] / mean for row in rows]
    pairs = found.contrasts.to_dicts()
    between = [skill[row["crew"]] / skill[row["other_crew"]] for row in pairs]
    out["ratio of a crew"] = np.mean(inside(rows, truth, "low", "high"))
    out["pooled ratio of a crew"] = np.mean(inside(rows, truth, "pooled_low", "pooled_high"))
    out["ratio of a pair"] = np.mean(inside(pairs, between, "low", "high"))
    for row in found.multipliers.to_dicts():
        out[f"multiplier {row['term']}"] = float(row["low"] <= terms[row["term"]] <= row["high"])
    raw = {row["crew"]: row["observed_hours"] / row["feet"] for row in rows}
    best = min(rows, key=lambda row: skill[row["crew"]])["crew"]
    out["raw hours name the fastest"] = float(min(raw, key=raw.__getitem__) == best)
    out["fair hours name the fastest"] = float(min(rows, key=lambda row: row["ratio"])["crew"] == best)
    sure = [(row["chance_faster"] > 0.5) == (t < 1) for row, t in zip(pairs, between, strict=True)
            if not 0.1 < row["chance_faster"] < 0.9]  # fmt: skip
    if sure:
        out["right where the chance is over 90 %"] = np.mean(sure)
    return out


def claims(crews: int, seed: int) -> Values:
    """What is claimed of crews that differ, all limits at once, and of crews that are alike."""
    jobs, skills = made.made_crews(crews, seed)
    fit = fit_crews(usable_jobs(jobs), seed=seed)
    alike = fit_crews(usable_jobs(made.made_crews(crews, seed + 1_000_000, spread=0)[0]), seed=seed)
    assert fit is not None
    assert alike is not None
    log = np.log([skills[int(crew[1:])] for crew in fit.crews["crew"]])
    held, told, wrong = [], [], []
    for contrasts in (fit.average, fit.pairs):
        limits, truth = fit.limits(contrasts), np.exp(contrasts @ log)
        held += list((limits.all_low <= truth) & (truth <= limits.all_high))
        told = limits.adjusted < WRONG_CREW_CHANCE
        wrong += list(told & ((limits.ratio < 1) != (truth < 1)))
    said = [(alike.limits(contrasts).adjusted < WRONG_CREW_CHANCE).any() for contrasts in (alike.average, alike.pairs)]
    return {
        "a claim where all are equal": float(any(said)),
        "all crews and pairs at once": float(all(held)),
        "a claim the wrong way": float(any(wrong)),
        "pairs told apart": float(np.mean(told)),
    }


def over_seasons(crews: int, seed: int) -> Values:
    """The lasting ratio, from three seasons, and the progress ratio of a crew that begins in the second of two."""
    jobs, skills = made.made_seasons(crews, 3, seed)
    rows = lasting_pace(usable_jobs(jobs), made.FIRST + 2, seed=seed)[0].to_dicts()
    skill = {made.name(c): value for c, value in enumerate(skills)}
    mean = np.exp(np.mean([np.log(skill[row["crew"]]) for row in rows]))
    truth = [skill[row["crew"]] / mean for row in rows]
    out = {"lasting ratio of a crew": np.mean(inside(rows, truth, "lasting_low", "lasting_high"))}
    begun, crew = made.made_beginners(crews, PROGRESS, seed)
    learned, _ = crew_learning(begun, usable_jobs(begun), made.FIRST + 1)
    for row in learned.filter(pl.col("crew") == crew).to_dicts():
        out["progress ratio of a crew"] = float(row["low"] <= PROGRESS <= row["high"])
    return out


def intervals(crews: int, seed: int, terms: dict[str, float]) -> Values:
    """All limits of single figures with so many crews."""
    return differing(crews, seed, terms) | over_seasons(crews, seed + 2_000_000)


def main(folder: Path, seasons: int) -> None:
    """Work the seasons and write the result."""
    terms = true_multipliers()
    found = {}
    for crews in CREWS:
        parts: dict[str, Callable[[int], Values]] = {
            "intervals": lambda seed, crews=crews: intervals(crews, seed, terms),
            "claims": lambda seed, crews=crews: claims(crews, seed),
        }
        found[str(crews)] = {}
        for part, one in parts.items():
            seeds = range(FIRST_SEED[part], FIRST_SEED[part] + seasons)
            found[str(crews)] |= summed_up(worked(folder / f"{part} of {crews} crews.jsonl", seeds, one))
    result = {"date": str(date.today()), "version": __version__, "seasons": seasons, "first_seed": FIRST_SEED,
              "jobs_a_crew": made.JOBS_A_CREW, "crews": found}  # fmt: skip
    RESULT.write_text(json.dumps(result, indent=1) + "\n", encoding="utf-8")


if __name__ == "__main__":
    main(Path(sys.argv[1]), int(sys.argv[2]) if len(sys.argv) > 2 else SEASONS)
