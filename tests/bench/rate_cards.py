"""How far rate cards of made firms are off, in their own season and the next: python -m bench.rate_cards [share].

Run in tests/ with the repository's root on the path. Writes rate_cards.json beside it after each size of firm, with the
luck beside the error: of 30 houses it is 3 to 5 %, of 400 about 1 %. About five minutes of processor time; `share`
takes so many of the firms. Seeds from FIRST; the card's rules were chosen on other seeds.
"""

from __future__ import annotations

import json
import os
import sys
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

FIRST = 0
SIZES = ((137, 0, 400), (137, 2, 400), (330, 0, 400), (330, 2, 400), (1_500, 0, 150), (1_500, 2, 150), (4_000, 2, 100))
"""Jobs a season, seasons before it in the store, and made firms."""


def main() -> None:
    """Run, write and print."""
    os.environ |= {"POLARS_MAX_THREADS": "1", "OPENBLAS_NUM_THREADS": "1", "OMP_NUM_THREADS": "1"}
    from support.card_trials import summary, trial

    from pipeline import __version__

    share = float(sys.argv[1]) if len(sys.argv) > 1 else 1.0
    path = Path(__file__).with_suffix(".json")
    result: dict[str, Any] = {
        "date": datetime.now(UTC).date().isoformat(), "version": __version__,
        "what": "error of the card by kind of work, beside what it asks in all, of every kind with 30 jobs",
        "true": "against expected cost", "seen": "against what the season's houses cost, with the luck of them",
    }  # fmt: skip
    for count, before, firms in SIZES:
        trials = [trial(FIRST + seed, count, before) for seed in range(max(2, round(share * firms)))]
        result[f"{count} jobs, {before} seasons before"] = summary(trials)
        path.write_text(json.dumps(result, indent=1) + "\n", encoding="utf-8")
    print(path.read_text(encoding="utf-8"))


if __name__ == "__main__":
    main()
