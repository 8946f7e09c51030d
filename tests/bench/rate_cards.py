"""How far rate cards are off in made seasons, their own and the next: python -m bench.rate_cards [seasons].

Run in tests/ with the repository's root on the path. Writes rate_cards.json beside it; 400 pairs of seasons take about
two minutes of processor time. One card in such a pair is of 330 jobs; a kind of work counts from 30.
"""

from __future__ import annotations

import json
import os
import sys
from datetime import UTC, datetime
from pathlib import Path

SEASONS = 400


def main() -> None:
    """Run, write and print."""
    os.environ |= {"POLARS_MAX_THREADS": "1", "OPENBLAS_NUM_THREADS": "1", "OMP_NUM_THREADS": "1"}
    from support.card_trials import summary, trial

    from pipeline import __version__

    seasons = int(sys.argv[1]) if len(sys.argv) > 1 else SEASONS
    path = Path(__file__).with_suffix(".json")
    result = {
        "date": datetime.now(UTC).date().isoformat(), "version": __version__, "pairs_of_seasons": seasons,
        "what": "error of the card by kind of work, beside what it asks in all; mean_error against expected cost",
        **summary([trial(seed) for seed in range(seasons)]),
    }  # fmt: skip
    path.write_text(json.dumps(result, indent=1) + "\n", encoding="utf-8")
    print(path.read_text(encoding="utf-8"))


if __name__ == "__main__":
    main()
