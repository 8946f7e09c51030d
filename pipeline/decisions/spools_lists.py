"""The cut lists of next season's drawn seasons: what is cut from a light line, and how it goes on given spools."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import polars as pl

from pipeline.decisions.demand import Demand, cut_lists
from pipeline.decisions.order_items import Wanted
from pipeline.decisions.spools_line import on_spool, spacing_of, split_long, to_sockets
from pipeline.statistics.cutting_fill import unplaced


@dataclass(frozen=True)
class CutList:
    """A drawn season of one line: the pieces that are cut, in sockets, and what else is taken, of any length."""

    pieces: tuple[int, ...]
    other: int

    @property
    def total(self) -> int:
        """Sockets in all."""
        return sum(self.pieces) + self.other

    def beyond(self, on_hand: int) -> CutList:
        """What stock does not cover: it goes to what has no length of its own, then to the shortest pieces."""
        other = max(0, self.other - on_hand)
        left = max(0, on_hand - self.other)
        kept = sorted(self.pieces)
        while kept and kept[0] <= left:
            left -= kept.pop(0)
        return CutList(tuple(kept), other)

    def on(self, spools: Sequence[int]) -> CutList:
        """The same with each piece longer than all of the spools as whole spools and a rest, joined on the house."""
        longest = max(spools, default=0)
        return CutList(tuple(split_long(self.pieces, longest)), self.other) if longest else self

    def missing(self, spools: Sequence[int]) -> int:
        """Sockets that cannot be cut from the spools: pieces that find no room, and what the rest has not left."""
        cut = self.on(spools)
        out = unplaced(cut.pieces, spools)
        room = sum(spools) - (sum(cut.pieces) - out)
        return out + max(0, cut.other - room)

    def short(self, spools: Sequence[int]) -> int:
        """Sockets by which the spools are too few if every one of them could be used."""
        return max(0, self.total - sum(spools))


def drawn_lists(demand: Demand, runs: pl.DataFrame, want: Wanted) -> tuple[CutList, ...]:
    """The drawn seasons of a line beyond its stock, in the order of the draws.

    `runs` is records.runs of every season in the store. What else is taken is the rest of the season's need: the usual
    offcut, replacements, use in the shop, less what comes back.
    """
    spacing = spacing_of(want.item["spacing_in"])
    pieces: list[list[int]] = [[] for _ in demand.picked]
    names = [demand.items[column] for column in want.columns]
    own = cut_lists(demand, runs.filter(pl.col("line_item").is_in(names)))
    for draw, feet, count in own.select("draw", "feet", "pieces").iter_rows():
        pieces[draw] += [to_sockets(float(feet), spacing)] * int(count)
    needs = np.maximum(want.sum_of(demand.net)[: len(pieces)], 0.0)
    stock = on_spool(max(0.0, want.on_hand), spacing)
    lists = []
    for cut, need in zip(pieces, needs, strict=True):
        rest = max(0, to_sockets(float(need), spacing) - sum(cut)) if need > 0 else 0
        lists.append(CutList(tuple(sorted(cut)), rest).beyond(stock))
    return tuple(lists)
