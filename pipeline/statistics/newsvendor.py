"""What being short and being left over costs on average, exactly, on a distribution given as values and weights."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]


@dataclass(frozen=True)
class Needs:
    """A distribution of what must be bought: `values` in order, `weights` that sum to 1. Made by `needs_of`."""

    values: Floats
    weights: Floats

    def quantile(self, chance: float) -> float:
        """The least value that covers the need with at least this chance."""
        covered = np.cumsum(self.weights)
        place = int(np.searchsorted(covered, chance - 1e-12))
        return float(self.values[min(place, len(self.values) - 1)])

    def chance_above(self, quantities: Floats) -> Floats:
        """The chance that the need exceeds each quantity."""
        total = np.concatenate([[0.0], np.cumsum(self.weights)])
        above = 1 - total[np.searchsorted(self.values, quantities + 1e-9, side="right")]
        return np.where(above > 1e-12, above, 0.0)

    def short(self, quantities: Floats) -> Floats:
        """Expected units short of each quantity: E max(need - quantity, 0)."""
        tail = np.concatenate([np.cumsum((self.values * self.weights)[::-1])[::-1], [0.0]])
        mass = np.concatenate([np.cumsum(self.weights[::-1])[::-1], [0.0]])
        place = np.searchsorted(self.values, quantities, side="right")
        return np.maximum(0.0, tail[place] - quantities * mass[place])

    def left(self, quantities: Floats) -> Floats:
        """Expected units left of each quantity, 0 or more, where a need under 0 is none: E max(quantity - need, 0)."""
        none = np.maximum(self.values, 0.0)
        return np.maximum(0.0, quantities - float(none @ self.weights) + self.short(quantities))


def needs_of(values: Floats, weights: Floats | None = None) -> Needs:
    """A distribution from values in any order; equal weights where none are given."""
    order = np.argsort(values, kind="stable")
    shares = np.full(len(values), 1 / len(values)) if weights is None else weights[order]
    return Needs(np.asarray(values, dtype=float)[order], shares)


@dataclass(frozen=True)
class Outcome:
    """What a unit is worth in the end, usd: `kept` one that is left over, `rush` what one that was short costs."""

    kept: float
    rush: float

    def cost(self, quantities: Floats, needs: Needs) -> Floats:
        """Expected cost of what is left and what was short, beyond the price of the quantities themselves.

        With a price c a unit, kept = c - over and rush = c + under, c x quantity and this come to c x need and the
        newsvendor's cost: over for each unit left, under for each short (Arrow, Harris and Marschak 1951).
        """
        return self.rush * needs.short(quantities) - self.kept * needs.left(quantities)


def pinball(seen: Floats, forecast: Floats, level: float) -> float:
    """Mean pinball loss of forecasts of a quantile (Koenker and Bassett 1978): level x what was missed above, and
    1 - level x what was missed below."""
    miss = np.asarray(seen, dtype=float) - np.asarray(forecast, dtype=float)
    return float(np.maximum(level * miss, (level - 1) * miss).mean())
