"""How long the comparison of crews takes.

    PYTHONPATH=.:tests python tests/bench/crew_fit.py

The aims: the fit of 300 jobs in under 1 s, of 30,000 jobs with 60 crews in under 5 s. Imports are not counted. Writes
crew_fit.json beside this file, with the date and the version: processor seconds of the whole comparison (own effects,
robust, all pairs, pooled, multipliers, jobs) and of the mixed model's solver alone.
"""

from __future__ import annotations

import json
from datetime import date
from pathlib import Path
from time import process_time

import numpy as np
from support import made_crews as made
from support.season_frames import exposure

from pipeline import __version__
from pipeline.decisions.crews import compare_crews
from pipeline.decisions.crews_design import usable_jobs
from pipeline.decisions.crews_fit import fit_crews
from pipeline.statistics.mixed import fit_mixed

SIZES = ((300, 10), (30_000, 60))
ROUNDS = 3


def seconds(jobs: int, crews: int) -> dict[str, float]:
    """The best of a few rounds for a made season."""
    rng = np.random.default_rng(1)
    skills = np.exp(rng.normal(0, made.SKILL_SPREAD, crews))
    house = made.houses(jobs, rng)
    crew = made.dispatched(house.slope, skills, rng)
    frame = made.job_hours(house, crew, skills[crew])
    fit = fit_crews(usable_jobs(frame), seed=1)
    assert fit is not None
    columns = np.column_stack([np.ones(len(fit.groups)), fit.design.matrix])
    whole, alone = [], []
    for _ in range(ROUNDS):
        start = process_time()
        compare_crews(frame, exposure([{}]).clear(), season=made.FIRST, seed=1)
        whole.append(process_time() - start)
        start = process_time()
        fit_mixed(fit.tamed.y, columns, fit.groups, fit.groups)
        alone.append(process_time() - start)
    return {"comparison_s": round(min(whole), 3), "solver_s": round(min(alone), 3)}


def main() -> None:
    found = {f"{jobs} jobs, {crews} crews": seconds(jobs, crews) for jobs, crews in SIZES}
    result = {"date": str(date.today()), "version": __version__, **found}
    Path(__file__).with_suffix(".json").write_text(json.dumps(result, indent=1) + "\n", encoding="utf-8")


if __name__ == "__main__":
    main()
