"""A cut list for any pieces and any spools: the cheapest plan, what is left over, and how near it is to the best."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import reduce
from math import gcd

from pipeline.decisions.spools_line import CENTS, on_spool, to_feet, to_sockets
from pipeline.statistics.cutting_plan import Cut, CuttingPlan
from pipeline.statistics.cutting_purchase import NotEnoughStock, Stock
from pipeline.statistics.cutting_stock import cut_stock

FINEST_IN = 0.125
"""Inches to which a length without a spacing is cut: an eighth, as a tape shows it."""
HUNDREDTHS = 100
"""Where no price is known a spool costs its length, in hundredths of a foot."""


class CannotBeCut(Exception):
    """Why pieces cannot be cut from the spools, in a sentence."""


@dataclass(frozen=True)
class Piece:
    """Pieces that are wanted: feet, how many, and the line that they are cut from."""

    length_ft: float
    count: int = 1
    spacing_in: float | None = None
    colour: str | None = None


@dataclass(frozen=True)
class Offered:
    """A spool: feet, usd (None where no spool has a price), how many there are at most, and the line on it."""

    size_ft: float
    price_usd: float | None = None
    most: int | None = None
    spacing_in: float | None = None
    colour: str | None = None

    def is_of(self, spacing_in: float | None, colour: str | None) -> bool:
        """Whether its line is that; what a spool does not say holds for every line."""
        own = self.colour.casefold() if self.colour else None
        wanted = colour.casefold() if colour else None
        return self.spacing_in in (None, spacing_in) and own in (None, wanted)


@dataclass(frozen=True)
class LineCut:
    """The plan of one line. Lengths of `plan` are in units of `unit_in` inches, its stocks stand for `spools`."""

    spacing_in: float | None
    colour: str | None
    pieces: int
    wanted_ft: float
    unit_in: float
    spools: tuple[Offered, ...]
    plan: CuttingPlan
    keep_ft: float

    @property
    def has_prices(self) -> bool:
        """Whether its cost is money; else it is the length of its spools."""
        return self.spools[0].price_usd is not None

    @property
    def cut_ft(self) -> float:
        """Feet of the pieces as they are cut."""
        return sum(cut.times * self.used_ft(cut) for cut in self.plan.cuts)

    @property
    def bought_ft(self) -> float:
        """Feet of the spools."""
        return sum(n * spool.size_ft for n, spool in zip(self.plan.bought, self.spools, strict=True))

    def used_ft(self, cut: Cut) -> float:
        """Feet cut from one spool."""
        return to_feet(self.plan.used(cut), self.unit_in)

    def left_ft(self, cut: Cut) -> float:
        """Feet left over on one spool."""
        return self.spools[cut.stock].size_ft - self.used_ft(cut)

    @property
    def kept_ft(self) -> float:
        """Feet left over on lengths that are kept, unopened spools with them."""
        opened = sum(cut.times * self.left_ft(cut) for cut in self.plan.cuts if self.left_ft(cut) >= self.keep_ft)
        return opened + self.unopened_ft

    @property
    def unopened_ft(self) -> float:
        """Feet of spools that are bought and not cut, as a least number asks for."""
        return self.bought_ft - sum(cut.times * self.spools[cut.stock].size_ft for cut in self.plan.cuts)

    @property
    def offcut_ft(self) -> float:
        """Feet that are lost: short ends, and what is cut beyond the lengths asked for."""
        return self.bought_ft - self.kept_ft - self.wanted_ft

    @property
    def cost(self) -> float:
        """The plan's cost, usd, or its feet of spools where nothing has a price."""
        return self.plan.cost / (CENTS if self.has_prices else HUNDREDTHS)

    @property
    def bound(self) -> float:
        """What no plan can go under, in the unit of the cost."""
        return self.plan.bound / (CENTS if self.has_prices else HUNDREDTHS)


def cut_lines(pieces: Sequence[Piece], spools: Sequence[Offered], *, keep_ft: float) -> list[LineCut]:
    """The cheapest plan found for each line (spacing and colour) among the pieces, by spacing and colour.

    Raises CannotBeCut with what is wrong: no spool of a line, a piece longer than every spool, too few spools.
    """
    lines = sorted({(piece.spacing_in or 0.0, piece.colour or "") for piece in pieces})
    return [
        _line(
            [p for p in pieces if (p.spacing_in or 0.0, p.colour or "") == (spacing, colour)],
            spools, spacing or None, colour or None, keep_ft,
        )
        for spacing, colour in lines
    ]  # fmt: skip


def name_of(spacing_in: float | None, colour: str | None) -> str:
    """A line as a person says it: `12 in, green`; nothing where neither is known."""
    return ", ".join([*([f"{spacing_in:g} in"] if spacing_in else []), *([colour] if colour else [])])


def _line(
    pieces: list[Piece], spools: Sequence[Offered], spacing: float | None, colour: str | None, keep_ft: float
) -> LineCut:
    named = name_of(spacing, colour)
    of_line = f" of the line {named}" if named else ""
    own = tuple(sorted({s for s in spools if s.is_of(spacing, colour)}, key=lambda s: (s.size_ft, s.price_usd or 0)))
    if not own:
        raise CannotBeCut(f"there is no spool{of_line}; give its size and price.")
    unit = spacing or FINEST_IN
    demand: dict[int, int] = {}
    for piece in pieces:
        length = to_sockets(piece.length_ft, unit)
        demand[length] = demand.get(length, 0) + piece.count
    whole = reduce(gcd, demand)
    longest = max(spool.size_ft for spool in own)
    if max(demand) > on_spool(longest, unit):
        long = max(piece.length_ft for piece in pieces)
        raise CannotBeCut(
            f"a piece{of_line} of {long:g} ft is longer than the longest spool of {longest:g} ft; "
            "split it where it may be joined, or give a longer spool."
        )
    stocks = [
        Stock(
            on_spool(spool.size_ft, unit * whole),
            round(spool.size_ft * HUNDREDTHS) if spool.price_usd is None else round(spool.price_usd * CENTS),
            most=spool.most,
        )
        for spool in own
    ]
    try:
        plan = cut_stock({length // whole: count for length, count in demand.items()}, stocks)
    except NotEnoughStock:
        raise CannotBeCut(f"the spools{of_line} are too few for the pieces; allow more of a size.") from None
    feet = sum(piece.length_ft * piece.count for piece in pieces)
    return LineCut(spacing, colour, sum(p.count for p in pieces), feet, unit * whole, own, plan, keep_ft)
