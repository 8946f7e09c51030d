"""Many made seasons worked one after the other, resumable, and what came of them on average with its error."""

from __future__ import annotations

import json
from collections import defaultdict
from collections.abc import Callable, Iterable
from pathlib import Path

import numpy as np

Values = dict[str, float]

NOMINAL = 0.95


def worked(parts: Path, seeds: Iterable[int], one: Callable[[int], Values]) -> list[Values]:
    """The values of each seed's season: read from the file `parts` where an earlier run got that far, else computed
    and written there, a line a season."""
    lines = parts.read_text(encoding="utf-8").splitlines() if parts.exists() else []
    done = {row.pop("seed"): row for row in map(json.loads, lines)}
    parts.parent.mkdir(parents=True, exist_ok=True)
    with parts.open("a", encoding="utf-8") as file:
        for seed in seeds:
            if seed not in done:
                done[seed] = one(seed)
                file.write(json.dumps({"seed": seed, **done[seed]}) + "\n")
                file.flush()
    return [done[seed] for seed in seeds]


def summed_up(rows: list[Values]) -> dict[str, dict[str, float]]:
    """Each value's mean over the seasons that have it, with its Monte Carlo error: groups of a season miss together, so
    that a season counts as one draw."""
    values: dict[str, list[float]] = defaultdict(list)
    for row in rows:
        for name, value in row.items():
            values[name].append(value)
    return {
        name: {
            "share": round(float(np.mean(column)), 4),
            "error": round(float(np.std(column) / np.sqrt(len(column))), 4),
            "seasons": len(column),
        }
        for name, column in sorted(values.items())
    }


def three_errors(seasons: int) -> float:
    """Three Monte Carlo errors of a share that is truly NOMINAL, over so many seasons."""
    return 3 * float(np.sqrt(NOMINAL * (1 - NOMINAL) / seasons))
