"""How near the forecast of new jobs comes where firms are calmer or wilder than made: python -m bench.new_jobs [firms].

Run in tests/ with the repository's root on the path. Writes new_jobs.json beside it; 1,000 firms of each swing take
about a minute of processor time. What is believed of a change and of luck (decisions/policy.py) is near the middle of
what the made firms of tests/bench/ordering.py have: here both are half as much and half as much again. From two seasons
of a firm: the share of next seasons over the 50th, 80th and 90th percentile of the forecast, and its pinball loss over
that of one who knows how firms of that swing come about. Two seasons say too little of how wild a firm is to mend a
wrong belief: that is what new_jobs_low, new_jobs_likely and new_jobs_high are for.
"""

from __future__ import annotations

import json
import sys
from datetime import UTC, datetime
from pathlib import Path

import numpy as np

FIRMS, FUTURES, DRAWS = 1_000, 100, 5_000
FIRST = 20_000
"""Seed of the first firm; the beliefs were chosen on others, under 5,000."""
SWINGS = (0.5, 1.0, 1.5)
LEVELS = (0.5, 0.8, 0.9)


def of_swing(swing: float, firms: int) -> dict[str, dict[str, float]]:
    """What the forecasts of firms of a swing came to."""
    from support.made_orders import made_counts, new_counts_seen

    from pipeline.decisions.policy import NEW_JOBS_CHANGE, NEW_JOBS_LUCK
    from pipeline.statistics.counts import Belief, next_counts
    from pipeline.statistics.newsvendor import pinball

    ours, knowing, over = (np.zeros((firms, len(LEVELS))) for _ in range(3))
    for n in range(firms):
        seen, coming = made_counts(FIRST + n, FUTURES, swing)
        rng = np.random.default_rng(FIRST + n)
        drawn = next_counts(seen, Belief(*NEW_JOBS_CHANGE), Belief(*NEW_JOBS_LUCK), DRAWS, rng)
        for out, draws in ((ours, drawn), (knowing, new_counts_seen(*seen, DRAWS, rng, swing))):
            out[n] = [pinball(coming, np.full(FUTURES, np.quantile(draws, level)), level) for level in LEVELS]
        over[n] = [(coming > np.quantile(drawn, level)).mean() for level in LEVELS]
    names = [f"{level:g}" for level in LEVELS]
    found = {
        "share_over": over.mean(axis=0), "share_over_error": over.std(axis=0, ddof=1) / firms**0.5,
        "loss_over_knowing": ours.sum(axis=0) / knowing.sum(axis=0) - 1,
    }  # fmt: skip
    return {key: dict(zip(names, (round(float(v), 4) for v in values), strict=True)) for key, values in found.items()}


def main() -> None:
    """Run, write and print."""
    from pipeline import __version__

    firms = int(sys.argv[1]) if len(sys.argv) > 1 else FIRMS
    result = {
        "date": datetime.now(UTC).date().isoformat(), "version": __version__, "firms": firms, "first_seed": FIRST,
        "swings": {f"{swing:g}": of_swing(swing, firms) for swing in SWINGS},
    }  # fmt: skip
    path = Path(__file__).with_suffix(".json")
    path.write_text(json.dumps(result, indent=1) + "\n", encoding="utf-8")
    print(path.read_text(encoding="utf-8"))


if __name__ == "__main__":
    main()
