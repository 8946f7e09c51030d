"""How long cutting takes and how near it comes to the best: published instances, runs of rooflines from a firm's
spools, and pieces that are hard to place. Seconds are of the processor.

python -m tests.bench.cutting > tests/bench/cutting.json
"""

from __future__ import annotations

import json
import platform
from collections import Counter
from datetime import date
from time import process_time

import numpy as np

from pipeline import __version__
from pipeline.statistics.cutting_purchase import Stock
from pipeline.statistics.cutting_stock import cut_stock

SEED = 7
RUNS = (100, 1_000, 2_000, 5_000)
SPOOLS = (Stock(100, 4979), Stock(250, 10750), Stock(500, 19803), Stock(1000, 34703, least=5), Stock(1000, 37721))
"""Spools of line of 12 inches as the demo's offers have them: sockets and cents."""
PAPER = dict(zip((1380, 1520, 1560, 1710, 1820, 1880, 1930, 2000, 2050, 2100, 2140, 2150, 2200),
                 (22, 25, 12, 14, 18, 18, 20, 10, 12, 14, 16, 18, 20), strict=True))  # fmt: skip
TWENTY_FIVE = (10, 14, 17, 19, 19, 24, 29, 32, 33, 36, 38, 40, 50, 54, 55, 63, 66, 71, 77, 77, 79, 83, 92, 95, 99)
PUBLISHED: tuple[tuple[str, dict[int, int], tuple[Stock, ...]], ...] = (
    ("rolls of 5600 (73)", PAPER, (Stock(5600, 1),)),
    ("rolls of 110 (47)", {20: 48, 45: 35, 50: 24, 55: 10, 75: 8}, (Stock(110, 1),)),
    ("Chvatal (453)", {45: 97, 36: 610, 31: 395, 14: 211}, (Stock(100, 1),)),
    ("Gilmore and Gomory 1961 (170)", {2: 20, 3: 10, 4: 20}, (Stock(5, 6), Stock(6, 7), Stock(9, 10))),
    ("bins of 100, 120, 150 (1280)", Counter(TWENTY_FIVE), tuple(Stock(n, n) for n in (100, 120, 150))),
    ("Fieldhouse (3)", {44: 2, 33: 3, 12: 6}, (Stock(132, 1),)),
)
"""Instances with the published best cost; their sources stand in tests/published/test_cutting.py."""
SHORT_SPOOLS = SPOOLS[:1]
HARD_RUNS = (100, 300)
"""Pieces of 200 to 490 ft, of which two or three fill a spool of 1,000: no roofline is cut like that."""


def measured(kind: str, pieces: dict[int, int], stocks: tuple[Stock, ...]) -> dict[str, object]:
    begun = process_time()
    plan = cut_stock(pieces, stocks)
    return {
        "what": kind,
        "runs": sum(pieces.values()),
        "seconds": round(process_time() - begun, 2),
        "cost": plan.cost,
        "bound": plan.bound,
        "is_proven": plan.is_proven,
        "gap": round(plan.gap, 5),
        "offcut_share": round(1 - sum(n * k for n, k in pieces.items()) / plan.bought_length, 5),
    }


def main() -> None:
    cut_stock({3: 4, 2: 5, 4: 3}, (Stock(10, 1), Stock(7, 1)))  # the solver is loaded before the clock starts
    rng = np.random.default_rng(SEED)
    rows = [measured(name, pieces, stocks) for name, pieces, stocks in PUBLISHED]
    for runs in RUNS:
        lengths = Counter(np.clip(np.rint(rng.gamma(4, 9, runs)), 6, 100).astype(int).tolist())
        rows.append(measured("rooflines, spools of 100 to 1,000 ft", lengths, SPOOLS))
        rows.append(measured("rooflines, spools of 100 ft alone", lengths, SHORT_SPOOLS))
    for runs in HARD_RUNS:
        rows.append(measured("hard pieces", Counter(rng.integers(200, 490, runs).tolist()), SPOOLS))
    about = {"date": str(date.today()), "version": __version__, "python": platform.python_version(), "seed": SEED}
    print(json.dumps(about | {"measured": rows}, indent=1))


if __name__ == "__main__":
    main()
