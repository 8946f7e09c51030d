"""The cost of a foot built up piece by piece, from the first hour of preparation to the price that was charged."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from pipeline.documents.build import figure, note, row, table
from pipeline.documents.columns import column, words
from pipeline.documents.model import Axis, Block, Chart, Column, Figure, Point, Series, Source, Table, say
from pipeline.documents.parts import PARTS, per_foot, share_of
from pipeline.documents.results import Results
from pipeline.documents.wording import BUILD_UP_METHOD

Record = dict[str, Any]

LABOR_PIECES: dict[str, str] = {
    "prep": "Preparing lines",
    "install": "Installing",
    "drive": "Driving",
    "takedown": "Taking down",
    "storage": "Storing",
    "shop": "Shop hours",
    "training": "Training",
    "weather": "Waiting for weather",
    "not_by_the_hour": "Pay not by the hour",
}
"""Lines of labor, in the order in which a job meets them."""
GOODS_PIECES: dict[str, str] = {
    "light_line": "Light line",
    "bulb": "Bulbs",
    "fastener": "Fasteners",
}
"""Kinds of goods with a piece of their own; the rest stand together."""
OTHER_GOODS = "Other goods"
WHOLE_PIECES: dict[str, str] = {"travel": "Miles", "equipment": "Equipment", "service": "Service calls"}
OVERHEAD_PIECES: dict[str, str] = {"variable": "Overhead that varies", "fixed": "Overhead that is fixed"}


@dataclass(frozen=True)
class Piece:
    """A piece of the season's cost: the part that it belongs to, its key, name and amount in usd."""

    part: str
    key: str
    name: str
    amount: Decimal


def _piece_of(line: Record, kinds: dict[str, str]) -> tuple[str, str]:
    """Key and name of the piece that a line of the standard cost belongs to."""
    part, name = line["part"], line["line"]
    if part == "labor":
        return f"labor.{name}", LABOR_PIECES.get(name, name.replace("_", " ").capitalize())
    if part == "materials":
        kind = kinds.get(name, "")
        return (f"materials.{kind}", GOODS_PIECES[kind]) if kind in GOODS_PIECES else ("materials.other", OTHER_GOODS)
    if part == "overhead":
        return f"overhead.{name}", OVERHEAD_PIECES.get(name, name.capitalize())
    return part, WHOLE_PIECES.get(part, part.capitalize())


def pieces(results: Results) -> list[Piece]:
    """The pieces of the season's cost in the order of the parts; they add up to it to the cent."""
    kinds = {item["item_no"]: item["kind"] for item in results.rows("records.items")}
    sums: dict[tuple[str, str, str], Decimal] = {}
    for line in results.rows("measures.standard_cost"):
        key, name = _piece_of(line, kinds)
        place = (line["part"], key, name)
        sums[place] = sums.get(place, Decimal(0)) + line["amount_usd"]
    parts = [part for part, _ in PARTS]
    orders = [*LABOR_PIECES.values(), *GOODS_PIECES.values(), OTHER_GOODS, *OVERHEAD_PIECES.values()]

    def place_of(piece: Piece) -> tuple[int, int, str]:
        at = orders.index(piece.name) if piece.name in orders else len(orders)
        return parts.index(piece.part), at, piece.key

    return sorted((Piece(*place, amount) for place, amount in sums.items() if amount), key=place_of)


def build_up_blocks(results: Results, season: Record) -> tuple[Block, ...]:
    """The waterfall of a foot's cost and the same as a table; none where the lines are not known."""
    found = pieces(results)
    if not found:
        return ()
    source = Source("measures.standard_cost", f"season={results.season}")
    return (_chart(found, season, source), _table(found, season, source), note(BUILD_UP_METHOD, "method"))


def _chart(found: list[Piece], season: Record, source: Source) -> Chart:
    feet, cost = season["feet"], season["cost_usd_per_ft"]
    points = [
        Point(piece.key, piece.name, per_foot(piece.amount, feet) or Decimal(0), role="part", group=piece.part)
        for piece in found
    ]
    points.append(Point("cost", "Cost", cost, role="total", group="in all"))
    if season["margin_usd"] is not None:
        left = per_foot(season["margin_usd"], feet) or Decimal(0)
        gained = left >= 0
        name = "Left over" if gained else "Lost"
        points.append(Point("margin", name, left, role="good" if gained else "bad", group="in all"))
        points.append(Point("charged", "Charged", season["charged_usd_per_ft"], role="total", group="in all"))
    largest = max(found, key=lambda piece: piece.amount)
    most = Figure("largest_piece_usd_per_ft", f"{largest.name}, per foot", per_foot(largest.amount, feet), "usd_cents",
                  "usd/ft", "the largest piece of a foot's cost: its amount / the season's feet", source)  # fmt: skip
    title = say(
        "{} is the largest single piece of a foot: {} of {}",
        largest.name,
        most,
        figure(
            "cost_usd_per_ft",
            season,
            Source("measures.season_cost", f"season={season['season']}, branch=all"),
            format="usd_cents",
        ),
    )
    return Chart(
        "build_up", "waterfall", title, Axis("dollars per foot", "usd/ft", "usd_per_ft"), "piece of cost",
        (Series("pieces", "A foot", tuple(points)),), "season's amount of each piece / season's feet", source,
    )  # fmt: skip


def _table(found: list[Piece], season: Record, source: Source) -> Table:
    columns = (
        words("part", "Part"),
        words("piece", "Piece"),
        column("amount_usd", heading="Season", unit="usd", format="usd"),
        column("cost_usd_per_ft", heading="Per foot", definition="the amount / the season's feet"),
        Column("share", "Of the price", "share", "share", "the amount / what was charged"),
    )
    feet, charged = season["feet"], season["invoiced_usd"]

    def line(part: str, name: str, amount: Decimal | None, *, key: str, strong: bool = False) -> Any:
        values = {"part": part, "piece": name, "amount_usd": amount, "cost_usd_per_ft": per_foot(amount, feet),
                  "share": share_of(amount, charged)}  # fmt: skip
        return row(values, columns, key, source, strong=strong)

    rows = []
    for part, word in PARTS:
        own = [piece for piece in found if piece.part == part]
        rows += [line(word, piece.name, piece.amount, key=piece.key) for piece in own]
    rows.append(line("", "Cost", season["total_usd"], key="cost", strong=True))
    if season["margin_usd"] is not None:
        rows.append(line("", "Left over", season["margin_usd"], key="margin", strong=True))
        rows.append(line("", "Charged", charged, key="charged", strong=True))
    return table("build_up_lines", "A foot, piece by piece", columns, rows)
