"""Filling spools with pieces: the best filling of one spool, exactly, and pieces laid into given spools.

Lengths are whole numbers of some unit, such as the sockets of a light line.
"""

from __future__ import annotations

from bisect import bisect_left, insort
from collections.abc import Collection, Iterable, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Ints = NDArray[np.int64]


@dataclass(frozen=True)
class Fillings:
    """The best fillings of every capacity up to the largest; `value[c]` is the most that fits into `c`."""

    value: Ints
    _parts: list[tuple[int, int, int]]
    _taken: NDArray[np.bool_]
    _kinds: int

    def counts(self, capacity: int) -> Ints:
        """Pieces of each length in the best filling of a capacity."""
        out = np.zeros(self._kinds, dtype=np.int64)
        left = capacity
        for number in range(len(self._parts) - 1, -1, -1):
            if self._taken[number, left]:
                kind, length, pieces = self._parts[number]
                out[kind] += pieces
                left -= length
        return out


def _parts_of(length: int, count: int, largest: int) -> Iterable[int]:
    """A number of equal pieces as bundles of 1, 2, 4 ..., of which any number up to it can be made."""
    left = min(count, largest // length)
    bundle = 1
    while left > 0:
        taken = min(bundle, left)
        yield taken
        left -= taken
        bundle *= 2


def fill(lengths: Sequence[int], counts: Sequence[int], values: Sequence[int], largest: int) -> Fillings:
    """Solve the bounded knapsack for every capacity from 0 to `largest` (dynamic programming, exact).

    `lengths`, `counts` and `values` have one entry a kind of piece: its length, how many there are at most, and what
    one is worth (none below 0). Pieces of no worth are left out.
    """
    parts = [
        (kind, length * pieces, pieces)
        for kind, (length, count, value) in enumerate(zip(lengths, counts, values, strict=True))
        if value > 0
        for pieces in _parts_of(length, count, largest)
    ]
    best = np.zeros(largest + 1, dtype=np.int64)
    taken = np.zeros((len(parts), largest + 1), dtype=np.bool_)
    for number, (kind, length, pieces) in enumerate(parts):
        with_it = best[: largest + 1 - length] + pieces * values[kind]
        better = with_it > best[length:]
        taken[number, length:] = better
        np.maximum(best[length:], with_it, out=best[length:])
    return Fillings(best, parts, taken, len(lengths))


def longest_fill(lengths: Sequence[int], counts: Sequence[int], largest: int) -> Fillings:
    """Fillings that leave the least over and, of equal ones, take the longest pieces: short ones fit later."""
    above_squares = largest * max(lengths, default=1) + 1
    return fill(lengths, counts, [length * above_squares + length * length for length in lengths], largest)


@dataclass(frozen=True)
class Cut:
    """How `times` spools of one stock are cut: pieces of each length, in the order of the lengths."""

    stock: int
    pieces: tuple[int, ...]
    times: int


def pack(
    lengths: Sequence[int],
    counts: Sequence[int],
    sizes: Sequence[int],
    numbers: Sequence[int],
    first: Collection[int] = (),
) -> list[Cut] | None:
    """Lay all pieces into `numbers` spools of `sizes`, or None where neither of two ways brings them all in.

    Each spool is filled as full as can be: the smallest spools first, or else the largest first, each beginning with
    the longest piece that is left; those of the places `first` before all others. The last one keeps what is left over
    in one length.
    """
    by_size = sorted(range(len(sizes)), key=lambda stock: (stock not in first, sizes[stock]))
    cuts = _packed(lengths, counts, sizes, numbers, by_size, longest_first=False)
    if cuts is not None:
        return cuts
    by_size.sort(key=lambda stock: (stock not in first, -sizes[stock]))
    return _packed(lengths, counts, sizes, numbers, by_size, longest_first=True)


def _packed(
    lengths: Sequence[int],
    counts: Sequence[int],
    sizes: Sequence[int],
    numbers: Sequence[int],
    ordered: Sequence[int],
    *,
    longest_first: bool,
) -> list[Cut] | None:
    left = np.asarray(counts, dtype=np.int64)
    lengths_of = np.asarray(lengths, dtype=np.int64)
    cuts: list[Cut] = []
    for stock in ordered:
        spools = numbers[stock]
        while spools and left.any():
            pieces = _filling(lengths_of, left, sizes[stock], longest_first=longest_first)
            if not pieces.any():
                break
            used = pieces > 0
            times = min(spools, int((left[used] // pieces[used]).min()))
            if int(pieces @ lengths_of) < sizes[stock]:
                # A spool that is not full is better not repeated: what is left over belongs together.
                times = 1
            cuts.append(Cut(stock, tuple(pieces.tolist()), times))
            left = left - times * pieces
            spools -= times
    return None if left.any() else cuts


def _filling(lengths: Ints, left: Ints, size: int, *, longest_first: bool) -> Ints:
    """The fullest filling of a spool, with the longest piece that it can hold where that is asked for."""
    fitting = np.flatnonzero((left > 0) & (lengths <= size))
    begun = np.zeros(len(lengths), dtype=np.int64)
    if not len(fitting):
        return begun
    if longest_first:
        begun[fitting[np.argmax(lengths[fitting])]] = 1
    room = size - int(begun @ lengths)
    rest = left - begun
    kinds = np.flatnonzero((rest > 0) & (lengths <= room))
    begun[kinds] += longest_fill(lengths[kinds].tolist(), rest[kinds].tolist(), room).counts(room)
    return begun


def unplaced(pieces: Iterable[int], spools: Iterable[int]) -> int:
    """Length of the pieces that find no room when the longest go first, each into the fullest spool that still holds
    it."""
    rooms = sorted(spools)
    left = 0
    for piece in sorted(pieces, reverse=True):
        place = bisect_left(rooms, piece)
        if place == len(rooms):
            left += piece
        else:
            insort(rooms, rooms.pop(place) - piece)
    return left
