"""What the price promised for a chance comes to in made histories: python -m bench.prices [histories].

Run in tests/ with the repository's root on the path. Writes prices.json beside it after each number of seasons: 1,000
histories of each take about seven minutes of processor time in all. Seeds from FIRST; the decision was chosen on other
seeds.
"""

from __future__ import annotations

import json
import os
import sys
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

HISTORIES = 1_000
FIRST = 10_000
SEASONS = (2, 3, 4, 5)
MARGIN = 0.35
SEGMENTS = ("all", "new", "repeat")

Reached = dict[tuple[str, float], list[bool]]


def trial(seasons: int, seed: int) -> dict[tuple[str, float], bool]:
    """Whether each price of a made history reaches the target margin in the season that follows."""
    from support.price_worlds import made_world, priced

    world = made_world(seasons, seed, target_margin=str(MARGIN))
    rows = priced(world, seed).select("segment", "chance", "price_usd_per_ft").rows()
    return {
        (segment, chance): world.truth[segment] <= price * (1 - MARGIN)
        for segment, chance, price in rows
        if segment in SEGMENTS
    }


def summary(reached: Reached) -> dict[str, Any]:
    """By kind of work, the share that reached the margin at each chance."""
    shares: dict[str, Any] = {"histories": len(reached["all", 0.8])}
    for segment in SEGMENTS:
        shares[segment] = {
            f"{chance:g}": round(sum(reached[segment, chance]) / len(reached[segment, chance]), 4)
            for chance in sorted({chance for name, chance in reached if name == segment})
        }
    return shares


def main() -> None:
    """Run, write and print."""
    os.environ |= {"POLARS_MAX_THREADS": "1", "OPENBLAS_NUM_THREADS": "1", "OMP_NUM_THREADS": "1"}
    from pipeline import __version__

    histories = int(sys.argv[1]) if len(sys.argv) > 1 else HISTORIES
    path = Path(__file__).with_suffix(".json")
    result: dict[str, Any] = {
        "date": datetime.now(UTC).date().isoformat(), "version": __version__,
        "what": "share of made histories in which the price advised for a chance reached the target margin",
    }  # fmt: skip
    every: Reached = {}
    for seasons in SEASONS:
        own: Reached = {}
        for seed in range(FIRST, FIRST + histories):
            for key, value in trial(seasons, seed).items():
                own.setdefault(key, []).append(value)
                every.setdefault(key, []).append(value)
        result[f"{seasons} seasons"] = summary(own)
        result["in all"] = summary(every)
        path.write_text(json.dumps(result, indent=1) + "\n", encoding="utf-8")
    print(path.read_text(encoding="utf-8"))


if __name__ == "__main__":
    main()
