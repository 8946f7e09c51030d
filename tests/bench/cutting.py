"""How long cutting takes: runs of rooflines from a firm's spools, and pieces that are hard to place.

python -m tests.bench.cutting > tests/bench/cutting.json
"""

from __future__ import annotations

import json
import platform
from collections import Counter
from datetime import date
from time import perf_counter

import numpy as np

from pipeline import __version__
from pipeline.statistics.cutting_purchase import Stock
from pipeline.statistics.cutting_stock import cut_stock

SEED = 7
RUNS = (100, 1_000, 2_000, 5_000)
SPOOLS = (Stock(100, 4979), Stock(250, 10750), Stock(500, 19803), Stock(1000, 34703, least=5), Stock(1000, 37721))
"""Spools of line of 12 inches as the demo's offers have them: sockets and cents."""
SHORT_SPOOLS = SPOOLS[:1]
HARD_RUNS = (100, 300)
"""Pieces of 200 to 490 ft, of which two or three fill a spool of 1,000: no roofline is cut like that."""


def measured(kind: str, lengths: list[int], stocks: tuple[Stock, ...]) -> dict[str, object]:
    begun = perf_counter()
    plan = cut_stock(Counter(lengths), stocks)
    return {
        "what": kind,
        "runs": len(lengths),
        "seconds": round(perf_counter() - begun, 2),
        "is_proven": plan.is_proven,
        "gap": round(plan.gap, 5),
        "offcut_share": round(1 - sum(lengths) / plan.bought_length, 5),
    }


def main() -> None:
    cut_stock({3: 4, 2: 5, 4: 3}, (Stock(10, 1), Stock(7, 1)))  # the solver is loaded before the clock starts
    rng = np.random.default_rng(SEED)
    rows = []
    for runs in RUNS:
        lengths = np.clip(np.rint(rng.gamma(4, 9, runs)), 6, 100).astype(int).tolist()
        rows.append(measured("rooflines, spools of 100 to 1,000 ft", lengths, SPOOLS))
        rows.append(measured("rooflines, spools of 100 ft alone", lengths, SHORT_SPOOLS))
    for runs in HARD_RUNS:
        rows.append(measured("hard pieces", rng.integers(200, 490, runs).tolist(), SPOOLS))
    about = {"date": str(date.today()), "version": __version__, "python": platform.python_version(), "seed": SEED}
    print(json.dumps(about | {"measured": rows}, indent=1))


if __name__ == "__main__":
    main()
