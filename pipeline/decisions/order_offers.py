"""What a quantity costs over all the offers of an item: pack sizes, prices that fall with the packs, least packs."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from math import gcd

import numpy as np
from numpy.typing import NDArray

from pipeline.decisions.policy import MOST_CELLS

Floats = NDArray[np.float64]
Counts = NDArray[np.int64]
_PARTS = 1_000
"""Parts of a unit in which pack sizes are compared: a thousandth of a foot."""


@dataclass(frozen=True)
class Offer:
    """A price at which packs can be had, from `min_packs` on, until `order_by`."""

    name: str
    pack_size: float
    pack_price: float
    min_packs: int = 1
    order_by: date | None = None


@dataclass(frozen=True)
class Ladder:
    """Quantities 0, step, 2 x step ... in the item's unit, and the least each costs, infinite where it cannot be had.

    `packs` has for each pack size (in order, `sizes`) how many are in it.
    """

    offers: tuple[Offer, ...]
    sizes: tuple[float, ...]
    quantities: Floats
    usd: Floats
    packs: Counts

    def bought(self, place: int) -> list[tuple[Offer, int]]:
        """The offers taken at a quantity and the packs of each, by pack size."""
        return [
            (cheapest(self.offers, size, int(number)), int(number))
            for size, number in zip(self.sizes, self.packs[:, place], strict=True)
            if number
        ]


def cheapest(offers: tuple[Offer, ...], size: float, number: int) -> Offer:
    """The offer of a pack size with the lowest price for so many packs; the earliest day and name break a tie."""
    open_to = [offer for offer in offers if offer.pack_size == size and offer.min_packs <= number]
    return min(open_to, key=lambda o: (o.pack_price, o.order_by is not None, o.order_by or date.max, o.name))


def _with_offer(before: Floats, wide: int, offer: Offer) -> tuple[Floats, Counts]:
    """The least cost of each quantity when `min_packs` or more of an offer are added to what `before` costs, and how
    many; a pack is `wide` steps. Along the quantities that packs lead to, the best so far is kept: one pass."""
    rows = -(-len(before) // wide)
    padded = np.full(rows * wide, np.inf)
    padded[: len(before)] = before
    number = np.arange(rows)[:, None]
    less = padded.reshape(rows, wide) - offer.pack_price * number
    least = np.minimum.accumulate(less, axis=0)
    at = np.maximum.accumulate(np.where(less <= least, number, 0), axis=0)
    usd, packs = np.full((rows, wide), np.inf), np.zeros((rows, wide), dtype=np.int64)
    first = offer.min_packs
    if first < rows:
        usd[first:] = least[: rows - first] + offer.pack_price * number[first:]
        packs[first:] = number[first:] - at[: rows - first]
    return usd.reshape(-1)[: len(before)], packs.reshape(-1)[: len(before)]


def ladder(offers: tuple[Offer, ...], most: float) -> Ladder:
    """The least cost of every quantity up to `most` units, over all mixes of the offers: exact, by dynamic programming.

    All packs of a size bear the price that their number reaches (all-units breaks). Where pack sizes have so little in
    common that there would be more than MOST_CELLS quantities, sizes that do not go into the largest are left out.
    """
    sizes = sorted({offer.pack_size for offer in offers})
    parts = [round(size * _PARTS) for size in sizes]
    step = gcd(*parts)
    if most * _PARTS / step > MOST_CELLS:
        sizes = [size for size, part in zip(sizes, parts, strict=True) if parts[-1] % part == 0]
        step = gcd(*(round(size * _PARTS) for size in sizes))
    cells = int(np.ceil(most * _PARTS / step - 1e-9)) + 1
    usd = np.full(cells, np.inf)
    usd[0] = 0.0
    packs = np.zeros((len(sizes), cells), dtype=np.int64)
    for row, size in enumerate(sizes):
        wide, before, held = round(size * _PARTS) // step, usd.copy(), packs[:row].copy()
        for offer in (offer for offer in offers if offer.pack_size == size):
            cost, number = _with_offer(before, wide, offer)
            better = np.flatnonzero(cost < usd - 1e-9)
            usd[better] = cost[better]
            packs[:row, better] = held[:, better - number[better] * wide]
            packs[row, better] = number[better]
    return Ladder(offers, tuple(sizes), np.arange(cells) * step / _PARTS, usd, packs)
