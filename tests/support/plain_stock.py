"""Stock in plain Python with fractions: counts at both ends of a season, and what is gone between them."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date
from fractions import Fraction

from support.plain_records import ZERO, Row, handed_in, rows
from support.tables import Season


def counts_of(season: Season, item_no: str, end: str) -> list[Row]:
    """The counts of an item at an end of the season: of each branch and condition those of the newest day.

    A count before the first installation is opening stock, any other closing.
    """
    first: date = min(job["install_date"] for job in rows(season, "jobs"))
    found = []
    for row in rows(season, "stock"):
        is_opening = row["counted_on"] is not None and row["counted_on"] < first
        if row["item_no"] == item_no and is_opening == (end == "opening"):
            found.append(row)
    newest: dict[tuple[str | None, str], date] = {}
    for row in found:
        of = row["branch"], row["condition"]
        newest[of] = max(row["counted_on"] or date.min, newest.get(of, date.min))
    return [row for row in found if (row["counted_on"] or date.min) == newest[row["branch"], row["condition"]]]


def opening_of(season: Season, item_no: str) -> Fraction:
    """Usable opening stock over all branches."""
    counts = counts_of(season, item_no, "opening")
    return sum((row["on_hand"] for row in counts if row["condition"] == "usable"), ZERO)


def shrinkage_of(
    season: Season, item_no: str, moved: list[tuple[str | None, Fraction]]
) -> Iterator[tuple[str | None, Fraction]]:
    """What is gone of an item, by branch, None for all: opening + purchases - issued net - closing, usable or not.

    `moved`: branch and net quantity of each accepted or held movement. Nothing where an end was not counted, or where
    purchases or movements were not handed in.
    """
    if not (handed_in(season, "purchases") and handed_in(season, "materials")):
        return
    ends = [[(r["branch"], r["on_hand"]) for r in counts_of(season, item_no, end)] for end in ("opening", "closing")]
    bought = [(r["branch"], r["packs"] * r["pack_size"]) for r in rows(season, "purchases") if r["item_no"] == item_no]
    named = [branch for table in (*ends, bought, moved) for branch, _ in table]
    counted = [{branch for branch, _ in end} for end in ends]
    places: list[str | None] = [None]
    if None not in named:
        places = sorted(counted[0] & counted[1])
    elif not all(None in end or set(season.branches) <= end for end in counted):
        return
    for place in places:
        opening, closing, came, went = (
            sum((quantity for branch, quantity in table if place in (None, branch)), ZERO)
            for table in (*ends, bought, moved)
        )
        yield place, opening + came - went - closing
