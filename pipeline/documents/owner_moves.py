"""What moves the price, and what a property is worth over its seasons."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

from pipeline.documents.build import missing, note, rows_by, table
from pipeline.documents.columns import column, words
from pipeline.documents.model import Axis, Block, Chart, Column, Figure, Point, Section, Series, Source, Text, say
from pipeline.documents.results import Results
from pipeline.documents.wording import MOVES_METHOD, RENEWALS_METHOD

Record = dict[str, Any]

UNIT_DECIMALS = {"usd/h": "usd_cents", "usd/ft": "usd_cents", "h/ft": "number", "h/job": "number", "share": "percent"}


def moves_section(results: Results, price: Figure | None) -> tuple[Section, ...]:
    """The causes that move the price over the range in which they lay; no section without a price."""
    records = sorted(results.rows("decisions.price_moves"), key=_reach, reverse=True)
    if not records or price is None:
        return ()
    ranged = [record for record in records if record["price_at_low"] is not None]
    blocks: list[Block] = []
    if ranged:
        blocks.append(_tornado(ranged, price))
    else:
        blocks.append(missing("The ranges of what moves the price take four weeks with five jobs each."))
    return (Section("moves", "What moves the price", (*blocks, _table(records), note(MOVES_METHOD, "method"))),)


def _reach(record: Record) -> float:
    """How far a cause moves the price over its range; less than nothing where the range is not known."""
    if record["price_at_low"] is None:
        return -1.0
    return abs(record["price_at_high"] - record["price_at_low"])


def _tornado(records: list[Record], price: Figure) -> Chart:
    ends: dict[str, list[Point]] = {"lower": [], "higher": []}
    for record in records:
        key, label = record["cause"].replace(" ", "_"), record["cause"].capitalize()
        both = sorted((record["price_at_low"], record["price_at_high"]))
        for points, end in zip(ends.values(), both, strict=True):
            points.append(Point(key, label, end))
    first = records[0]
    source = Source("decisions.price_moves", f"season={first['season']}")
    low, high = (
        Figure(f"moves_most_{name}", f"price at the {name} end", points[0].value, "usd_cents", "usd/ft", "price "
               "advised with the cause that moves it most at that end of its range", source)
        for name, points in zip(("low", "high"), ends.values(), strict=True)
    )  # fmt: skip
    return Chart(
        "moves", "pairs", say("The price depends most on {}: {} to {}", first["cause"], low, high),
        Axis("price advised, dollars per foot", "usd/ft", "usd_per_ft"), "cause",
        tuple(Series(name, f"{name} price", tuple(points)) for name, points in ends.items()),
        "price advised with one cause at each end of its range, all else as it is", source,
        references=(replace(price, label="advised"),),
    )  # fmt: skip


def _table(records: list[Record]) -> Any:
    columns = (
        words("cause", "If"),
        words("unit", "Unit"),
        Column("now", "Now", "", "rate", "the cause over the whole season"),
        Column("low", "Low", "1 in 10 below", "rate", "its P10 over the season's weeks"),
        Column("high", "High", "1 in 10 above", "rate", "its P90 over the season's weeks"),
        column("price_usd_per_ft", heading="Price at low"),
        Column("price_at_high", "Price at high", "usd/ft", "usd_per_ft", "price advised with the cause at its P90"),
        Column(
            "price_at_tenth_more", "Price, 10 % more", "usd/ft", "usd_per_ft", "price advised with a tenth more of it"
        ),
    )
    shown = [record | {"price_usd_per_ft": record["price_at_low"]} for record in records]
    rows = rows_by(shown, columns, "decisions.price_moves", ("season", "cause"))
    return table("price_moves", "If ... then the price must be", columns, rows)


def renewals_section(results: Results) -> tuple[Section, ...]:
    """First and later seasons beside each other by terms; no section where nothing can be said of them."""
    records = results.rows("decisions.renewals")
    said = tuple(missing(sentence) for sentence in results.said("renewals"))
    if not records:
        return (Section("renewals", "First season and later ones", said),) if said else ()
    blocks: list[Block] = [note(_said(record)) for record in records]
    columns = (
        words("terms", "Goods"),
        Column("first_jobs", "New", "jobs", "count", "new jobs that are final"),
        Column("first_charged_usd", "Charged first", "usd a job", "usd", "mean charged for a new job"),
        Column("first_cost_usd", "Cost first", "usd a job", "usd", "mean cost of a new job"),
        Column("first_goods_usd", "Goods carried on", "usd a job", "usd", "leased goods that later seasons bear"),
        Column("later_jobs", "Repeat", "jobs", "count", "repeat jobs that are final"),
        Column("later_charged_usd", "Charged later", "usd a job", "usd", "mean charged for a repeat job"),
        Column("later_cost_usd", "Cost later", "usd a job", "usd", "mean cost of a repeat job"),
        Column("return_rate", "Come back", "next season", "percent", "properties that came back the next season",
               "low", "high"),
        Column("later_seasons", "Later seasons", "on average", "number", "rate / (1 - rate)"),
        Column("worth_usd", "Worth", "usd", "usd", "what the first season leaves + later seasons x what one leaves",
               "worth_low", "worth_high"),
        Column("paid_back_seasons", "Goods paid for", "in seasons", "number", "seasons until what is left has paid "
               "for the goods carried on"),
    )  # fmt: skip
    rows = rows_by(records, columns, "decisions.renewals", ("season", "terms"))
    blocks.append(table("renewals", "A property's first season and its later ones", columns, rows))
    return (Section("renewals", "First season and later ones", (*blocks, *said, note(RENEWALS_METHOD, "method"))),)


def _said(record: Record) -> Text:
    source = Source("decisions.renewals", f"season={record['season']}, terms={record['terms']}")

    def money(key: str, label: str, value: float, low: float | None = None, high: float | None = None) -> Figure:
        name = f"renewals.{record['terms']}.{key}"
        return Figure(name, label, value, "usd", "usd", label, source, low, high)

    first = money("first_left_usd", "left by a first season", record["first_charged_usd"] - record["first_cost_usd"])
    later = money("later_left_usd", "left by a later season", record["later_charged_usd"] - record["later_cost_usd"])
    head = say(
        "On {} goods a property leaves {} in its first season and {} in each later one", record["terms"], first, later
    )
    if record["worth_usd"] is None:
        return say("{}.", head)
    worth = money("worth_usd", "worth of a property", record["worth_usd"], record["worth_low"], record["worth_high"])
    rate = Figure(f"renewals.{record['terms']}.return_rate", "come back", record["return_rate"], "percent", "of "
                                                                                                            "properties",
                  "properties that came back the next season", source, record["low"], record["high"])  # fmt: skip
    return say("{}; with {} coming back each season it is worth {} over its life.", head, rate, worth)
