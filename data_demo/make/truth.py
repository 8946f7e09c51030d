"""The stated truth, read from truth.toml, and the draws that follow from its seed."""

from __future__ import annotations

import math
import tomllib
import zlib
from datetime import date, timedelta
from pathlib import Path
from typing import Any

import numpy as np

HERE = Path(__file__).resolve().parent.parent
TRUTH_FILE = HERE / "truth.toml"
REALIZED_MARK = "# ---- What came true: written by `python -m data_demo.make`, never by hand. ----\n"

Truth = dict[str, Any]


def read_truth(path: Path = TRUTH_FILE) -> Truth:
    """Every parameter, and below `realized` what came true when the demo was last made."""
    return tomllib.loads(path.read_text(encoding="utf-8"))


def draws(truth: Truth, *names: object) -> np.random.Generator:
    """A generator for one part of the making, so that a change of one part leaves the others as they were."""
    key = zlib.crc32(":".join(str(name) for name in names).encode())
    return np.random.Generator(np.random.PCG64([truth["seed"], key]))


def pick(rng: np.random.Generator, weights: dict[str, float]) -> str:
    """One of the keys, by weight."""
    total = sum(weights.values())
    point = rng.random() * total
    for key, weight in weights.items():
        point -= weight
        if point < 0:
            return key
    return next(reversed(weights))


def lognormal_mean_one(rng: np.random.Generator, sigma: float) -> float:
    """A factor with mean 1."""
    return math.exp(sigma * float(rng.standard_normal()) - sigma * sigma / 2)


def to_quarter(hours: float) -> float:
    """Hours as people write them down, at least a quarter."""
    return max(0.25, round(hours * 4) / 4)


def next_weekday(day: date) -> date:
    """The day itself, or the Monday after."""
    return day + timedelta(days=max(0, 7 - day.weekday())) if day.weekday() > 4 else day
