"""Advised orders of made histories against the seasons that may follow: python -m bench.ordering [histories].

Run in tests/ with the repository's root on the path. Writes ordering.json beside it every 50 histories; 1,000 take
about an hour of one processor.

The cost is all that supplying the season comes to: goods bought now, later and in a hurry, and the feet that shortage
stops, less what leftovers are worth. `over_best` is how much more the advised orders cost than the best order of each
item for the seasons that may follow that very firm, under the same floor. That order knows the firm through and
through: what its level, its customers' taste and their leaving really are, which no two seasons show. The records of a
history hold its jobs and properties alone, no quote for next season, so `over_best_told` says what not knowing costs:
with how_firms_come_about the advised order knows as much of the number of new jobs as anybody can from those records.
A floor is a promise of the firm's that costs money: `over_best_without_floor` has the best order without one.
"""

from __future__ import annotations

import json
import os
import sys
from datetime import UTC, datetime
from multiprocessing import get_context
from pathlib import Path

FUTURES = 1_000
"""Of each history. The best order is found on the very seasons on which it is priced, which flatters it: with 200 of
them the advised order looks a tenth of a percent worse than with 1,000."""
FIRST = 20_000
"""Seed of the first history; those under 5,000 were looked at while the forecast was built."""
HISTORIES = 1_000
PROCESSES = 2
KINDS = {
    "one_order": {"early": False, "floor": "0.9"},
    "one_order_without_a_floor": {"early": False, "floor": "0"},
    "early_order_and_top_up": {"early": True, "floor": "0.9"},
}
"""What is tried."""
EVERY = {"one_order": 1, "one_order_without_a_floor": 1, "early_order_and_top_up": 4}
"""On every how many-th history it is tried."""


def run(number: int) -> dict[str, list]:
    """The trials of one history, by kind."""
    from support.order_trials import trials

    kinds = [kind for kind, every in EVERY.items() if number % every == 0]
    return {kind: trials(FIRST + number, FUTURES, **KINDS[kind]) for kind in kinds}  # type: ignore[arg-type]


def write(found: dict[str, list[list]], path: Path) -> None:
    """What came of the trials so far."""
    from support.order_trials import summary

    from pipeline import __version__

    result = {
        "date": datetime.now(UTC).date().isoformat(), "version": __version__, "futures_a_history": FUTURES,
        "first_seed": FIRST,
        "kinds": {kind: {"histories": len(done)} | summary(done) for kind, done in found.items() if len(done) > 1},
    }  # fmt: skip
    path.write_text(json.dumps(result, indent=1) + "\n", encoding="utf-8")


def main() -> None:
    """Run, write and print."""
    os.environ |= {"POLARS_MAX_THREADS": "1", "OPENBLAS_NUM_THREADS": "1", "OMP_NUM_THREADS": "1"}
    histories = int(sys.argv[1]) if len(sys.argv) > 1 else HISTORIES
    found: dict[str, list[list]] = {kind: [] for kind in KINDS}
    path = Path(__file__).with_suffix(".json")
    with get_context("spawn").Pool(PROCESSES) as pool:
        for number, trials in enumerate(pool.imap(run, range(histories)), start=1):
            for kind, one in trials.items():
                found[kind].append(one)
            if number % 50 == 0:
                write(found, path)
    write(found, path)
    print(path.read_text(encoding="utf-8"))


if __name__ == "__main__":
    main()
