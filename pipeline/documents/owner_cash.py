"""Cash over the year in the owner's report: when money came in and went out, and what the next season needs at hand."""

from __future__ import annotations

from datetime import date
from typing import Any

from pipeline.documents import wording
from pipeline.documents.build import missing, note, row, slug, table
from pipeline.documents.columns import words
from pipeline.documents.model import Axis, Block, Chart, Column, Figure, Point, Section, Series, Source, Text, say
from pipeline.documents.results import Results, label_of

Record = dict[str, Any]

_MONEY: tuple[tuple[str, str, str], ...] = (
    ("received_usd", "Received", "deposits and balances less refunds and card fees"),
    ("pay_usd", "Pay", "pay and the employer's burden, in the month in which the week ends; not the owner's hours"),
    ("goods_usd", "Goods", "purchases with freight; in the plan the order, on its last day"),
    ("road_usd", "Road", "miles at the mile rate, and equipment"),
    ("overhead_usd", "Overhead", "a twelfth of the season's overheads"),
    ("net_usd", "Left", "received less what went out"),
    ("running_usd", "Since June", "sum of what was left from June on"),
)


def cash_sections(results: Results) -> tuple[Section, ...]:
    """Cash by month; none where receipts were not handed in."""
    months = sorted(results.rows("measures.cash_months"), key=lambda record: record["month"])
    plan = sorted(results.rows("decisions.cash_plan"), key=lambda record: record["month"])
    if not months:
        return ()
    blocks: list[Block] = [note(_lowest(months, "measures.cash_months", results.season))]
    if plan:
        blocks += [note(_needed(plan, results.season + 1)), _chart(plan, results.season + 1)]
    blocks.append(_table("cash_months", f"Season {label_of(results.season)}", months, "measures.cash_months"))
    if plan:
        title = f"Season {label_of(results.season + 1)}, if it is like this one"
        blocks.append(_table("cash_plan", title, plan, "decisions.cash_plan"))
    if any(record["goods_usd"] is None for record in months):
        blocks.append(missing("No purchases were handed in: what was paid for goods in this season is not in it."))
    if any(record["pay_usd"] is None for record in months):
        blocks.append(missing("No hours were handed in: pay is not in it."))
    blocks.append(note(wording.CASH_METHOD, "method"))
    return (Section("cash", "Cash over the year", tuple(blocks)),)


def _month(day: date) -> str:
    return f"{day:%B} {day.year}"


def _low(records: list[Record], name: str, source_table: str, season: int) -> tuple[Record, Figure]:
    """The month at whose end least was left since June, and how far below June's beginning that is."""
    lowest = min(records, key=lambda record: record["running_usd"])
    source = Source(source_table, f"season={season}, month={lowest['month']}")
    below = Figure(
        name, "furthest below where June began", max(-lowest["running_usd"], 0), "usd", "usd",
        "the lowest month's end, counted from the beginning of June", source,
    )  # fmt: skip
    return lowest, below


def _lowest(months: list[Record], source_table: str, season: int) -> Text:
    lowest, below = _low(months, "cash.lowest_usd", source_table, season)
    if not below.value:
        return say("At no month's end had more gone out than had come in since June.")
    return say(
        "At its lowest, at the end of {}, {} more had gone out than had come in since June.",
        _month(lowest["month"]),
        below,
    )


def _needed(plan: list[Record], season: int) -> Text:
    lowest, below = _low(plan, "cash.needed_usd", "decisions.cash_plan", season)
    if not below.value:
        return say("Were the next season like this one, with the order paid on its last day, it would pay its own way.")
    return say(
        "Were the next season like this one, with the order paid on its last day, {} would have to be at hand beside "
        "what comes in, most of all at the end of {}.",
        below,
        _month(lowest["month"]),
    )


def _chart(plan: list[Record], season: int) -> Chart:
    source = Source("decisions.cash_plan", f"season={season}")
    points = tuple(
        Point(
            slug(f"{record['month']:%Y-%m}"), f"{record['month']:%b %Y}", record["running_usd"],
            role="bad" if record["running_usd"] < 0 else "good",
        )
        for record in plan
    )  # fmt: skip
    short = [record for record in plan if record["running_usd"] < 0]
    count = Figure("cash.months_short", "months that end short", len(short), "count", "months",
                   "months at whose end more has gone out than has come in since June", source)  # fmt: skip
    title = say("{} of the 12 months of season {} would end short of where June began", count, label_of(season))
    return Chart(
        "cash", "bars", title, Axis("since June, dollars", "usd", "usd"), "month",
        (Series("running_usd", "Since June", points),), "sum of received less what goes out, from June on", source,
    )  # fmt: skip


def _table(name: str, title: str, records: list[Record], source_table: str) -> Any:
    known = [each for each in _MONEY if any(record[each[0]] is not None for record in records)]
    columns = (
        words("month_words", "Month"),
        *(Column(key, heading, "usd", "usd", definition) for key, heading, definition in known),
    )
    rows = [
        row(
            record | {"month_words": f"{record['month']:%b %Y}"}, columns, slug(f"{record['month']:%Y-%m}"),
            Source(source_table, f"season={record['season']}, month={record['month']}"),
        )
        for record in records
    ]  # fmt: skip
    return table(name, title, columns, rows)
