"""Advised orders of made histories against the seasons that may follow: python -m bench.ordering [histories].

Run in tests/ with the repository's root on the path. Writes ordering.json beside it every 100 trials: 1,000 histories
take about half an hour on two cores.
"""

from __future__ import annotations

import json
import os
import sys
from concurrent.futures import ProcessPoolExecutor
from datetime import UTC, datetime
from pathlib import Path

FUTURES = 40
HISTORIES = 1_000
KINDS = {
    "one_order": {"early": False, "floor": "0.9"},
    "one_order_without_a_floor": {"early": False, "floor": "0"},
    "early_order_and_top_up": {"early": True, "floor": "0.9"},
}
"""What is tried: the first on every history, the others on every EVERY-th."""
EVERY = 10


def run(task: tuple[str, int]) -> tuple[str, list]:
    """The trials of one history."""
    from support.order_trials import trials

    kind, seed = task
    return kind, trials(seed, FUTURES, **KINDS[kind])  # type: ignore[arg-type]


def write(found: dict[str, list[list]], path: Path) -> None:
    """What came of the trials so far."""
    from support.order_trials import summary

    from pipeline import __version__

    result = {
        "date": datetime.now(UTC).date().isoformat(), "version": __version__, "futures_a_history": FUTURES,
        "kinds": {kind: {"histories": len(done)} | summary(done) for kind, done in found.items() if len(done) > 1},
    }  # fmt: skip
    path.write_text(json.dumps(result, indent=1) + "\n", encoding="utf-8")


def main() -> None:
    """Run, write and print."""
    os.environ |= {"POLARS_MAX_THREADS": "1", "OPENBLAS_NUM_THREADS": "1", "OMP_NUM_THREADS": "1"}
    histories = int(sys.argv[1]) if len(sys.argv) > 1 else HISTORIES
    tasks = [
        (kind, seed)
        for seed in range(histories)
        for place, kind in enumerate(KINDS)
        if place == 0 or seed % EVERY == 0
    ]  # fmt: skip
    found: dict[str, list[list]] = {kind: [] for kind in KINDS}
    path = Path(__file__).with_suffix(".json")
    with ProcessPoolExecutor(2) as pool:
        for number, (kind, trial) in enumerate(pool.map(run, tasks), start=1):
            found[kind].append(trial)
            if number % 100 == 0:
                write(found, path)
    write(found, path)
    print(path.read_text(encoding="utf-8"))


if __name__ == "__main__":
    main()
