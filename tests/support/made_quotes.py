"""Made quotes whose truth is known, by another process than the fitted response.

A customer takes a quote where its price a foot is below what the roofline is worth to them, and that worth is
lognormal about what such a house is asked on average: a probit, with customers of two sorts, not a logistic.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

import numpy as np
import polars as pl
from scipy.stats import norm

COST_USD_PER_FT = 4.5


@dataclass(frozen=True)
class MadeQuotes:
    """Quotes as facts.quote_outcomes has them, and what their customers would pay."""

    frame: pl.DataFrame
    price: np.ndarray
    feet: np.ndarray
    worth: np.ndarray

    def chances(self, factor: float) -> np.ndarray:
        """Each quote's true chance of being won, were all prices moved by a factor."""
        z = np.log(self.worth / (self.price * factor))
        return 0.6 * norm.cdf(z / 0.18) + 0.4 * norm.cdf((z - 0.1) / 0.35)

    def chance(self, factor: float) -> float:
        """The share of the quotes that would truly be won."""
        return float(self.chances(factor).mean())

    def left(self, factor: float) -> float:
        """What the quotes would truly leave, usd, were all prices moved by a factor."""
        return float((self.chances(factor) * self.feet * (self.price * factor - COST_USD_PER_FT)).sum())

    def best(self, factors: np.ndarray) -> float:
        """The factor that truly leaves most."""
        return float(factors[int(np.argmax([self.left(factor) for factor in factors]))])


def make_quotes(count: int, seed: int, *, season: int = 2025) -> MadeQuotes:
    """Quotes of one season for new work."""
    rng = np.random.default_rng(seed)
    feet = np.round(np.exp(rng.normal(np.log(150), 0.45, count)))
    stories = rng.choice([1, 2, 3], count, p=[0.4, 0.5, 0.1])
    asked = 7.2 + 0.9 * (stories - 1) + 60 / feet
    price = np.round(asked * np.exp(rng.normal(0, 0.1, count)), 2)
    worth = asked * np.exp(rng.normal(0.02, 0.05, count))
    quotes = MadeQuotes(pl.DataFrame(), price, feet, worth)
    won = rng.random(count) < quotes.chances(1.0)
    frame = pl.DataFrame(
        {
            "season": [season] * count, "branch": ["main"] * count, "quote_no": [f"Q{n:05d}" for n in range(count)],
            "revisions": [1] * count, "customer_no": [None] * count, "quote_date": [date(season, 9, 1)] * count,
            "work": ["new"] * count, "stories": stories, "feet": feet, "price_usd": price * feet,
            "price_usd_per_ft": price, "outcome": np.where(won, "won", "lost"), "is_aged": [False] * count,
        }
    )  # fmt: skip
    return MadeQuotes(frame, quotes.price, quotes.feet, quotes.worth)
