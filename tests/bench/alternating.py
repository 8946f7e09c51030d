"""Two ways of doing the same, timed in turn in one process: the ratio holds on a machine that is shared."""

from __future__ import annotations

import gc
from collections.abc import Callable
from statistics import median
from time import perf_counter


def seconds(work: Callable[[], object]) -> float:
    """How long a piece of work takes; what it returns is let go outside the measured time."""
    gc.collect()
    start = perf_counter()
    result = work()
    taken = perf_counter() - start
    del result
    return taken


def compare(name: str, ours: Callable[[], object], bare: Callable[[], object], runs: int = 5) -> float:
    """Print and return the median of the runs' ratios; one run of each before them does not count."""
    seconds(bare), seconds(ours)
    pairs = [(seconds(ours), seconds(bare)) for _ in range(runs)]
    ratio = median(one / other for one, other in pairs)
    middle = [f"{median(side):.2f} s" for side in zip(*pairs, strict=True)]
    spread = ", ".join(f"{one / other:.2f}" for one, other in sorted(pairs, key=lambda pair: pair[0] / pair[1]))
    print(f"{name}: {middle[0]} against {middle[1]}, {ratio:.2f} times ({spread})")
    return ratio
