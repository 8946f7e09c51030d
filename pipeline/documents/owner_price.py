"""What to charge: the price by chance and by kind of work, and what a foot is expected to cost."""

from __future__ import annotations

import re
from typing import Any

from pipeline.documents.build import figure, row, rows_by, table
from pipeline.documents.columns import column, estimate, prose, words
from pipeline.documents.model import Column, Figure, Source, Table
from pipeline.documents.parts import PARTS, more_than
from pipeline.documents.results import Results, label_of

Record = dict[str, Any]

_COST = {"usd_per_ft": "next_usd_per_ft", "low": "low", "high": "high"}


def price_rows(results: Results) -> list[Record]:
    """The price table of the whole season, from the least chance to the greatest."""
    records = results.rows("decisions.price_table")
    segments = [record["segment"] for record in records]
    whole = "all" if "all" in segments else (segments[0] if segments else None)
    return sorted((r for r in records if r["segment"] == whole), key=lambda r: r["chance"])


def price_table(records: list[Record]) -> Table:
    """Price per foot against the chance of reaching the target margin; margin and markup of each price."""
    shown = [record | {"markup_share": more_than(record["price_usd_per_ft"], record["cost_usd_per_ft"])}
             for record in records]  # fmt: skip
    columns = (
        column("chance"),
        estimate("price_usd_per_ft", "low", "high"),
        column("cost_usd_per_ft", heading="Expected cost", definition="expected cost per foot of next season"),
        Column("margin", "Margin", "of price", "share", "(price - expected cost) / price"),
        column("markup_share", definition="(price - expected cost) / expected cost"),
    )
    rows = rows_by(shown, columns, "decisions.price_table", ("season", "segment", "chance"))
    return table("price_table", "Price per foot, by the chance of reaching the target margin", columns, rows)


def _place(record: Record) -> tuple[int, float, bool, str]:
    """All work first, then new and repeat, leased and sold, stories, sizes from small to large, branches."""
    name = record["segment"]
    first = ("all", "new", "repeat", "leased", "sold")
    if name in first:
        return (first.index(name), 0.0, False, name)
    kind = 5 if "stor" in name else 7 if name.startswith("branch ") else 6
    number = re.search(r"\d+", name) if kind < 7 else None
    return (kind, float(number[0]) if number else 0.0, not name.startswith("under"), name)


def segment_price_table(results: Results) -> Table | None:
    """For each kind of work: what it was charged at, what that promises, and the prices for each chance."""
    outlook = results.rows("decisions.price_outlook")
    if len(outlook) < 2:
        return None
    prices: dict[tuple[str, float], Any] = {
        (record["segment"], record["chance"]): record["price_usd_per_ft"]
        for record in results.rows("decisions.price_table")
    }
    chances = sorted({chance for _, chance in prices})
    costs = {record["segment"]: record for record in results.rows("decisions.cost_forecast", part="all")}
    columns = (
        words("what", "Kind of work"),
        column("jobs"),
        column("charged_usd_per_ft", heading="Charged now"),
        Column("chance_at_charged", "Its chance", "of the target", "whole_chance", "chance that next season reaches "
               "the target margin at the price charged now"),
        Column("next_usd_per_ft", "Expected cost", "usd/ft", "usd_per_ft", "expected cost of next season, and the "
               "limits within which it lies 95 times in 100", "next_low", "next_high"),
        *(Column(f"price_{chance * 100:.0f}", f"At {chance * 100:.0f} %", "usd/ft", "usd_per_ft", "price per foot that "
                 f"reaches the target margin with a chance of {chance * 100:.0f} %") for chance in chances),
        Column("at_stake_usd", "At stake", "usd", "usd", "(price at 80 % - price charged) x this season's feet"),
    )  # fmt: skip
    records = [
        record
        | {f"price_{chance * 100:.0f}": prices.get((record["segment"], chance)) for chance in chances}
        | {f"next_{key}": costs.get(record["segment"], {}).get(name) for key, name in _COST.items()}
        | {"what": "all work" if record["segment"] == "all" else record["segment"]}
        for record in sorted(outlook, key=_place)
    ]
    rows = rows_by(records, columns, "decisions.price_outlook", ("season", "segment"))
    said = "Kinds of work priced apart: each price leaves the target margin on that kind alone."
    return table("segment_prices", "Prices by kind of work", columns, rows, said)


def forecast_table(results: Results) -> Table | None:
    """Each part of a foot of all work now and next season."""
    records = results.rows("decisions.cost_forecast", segment="all")
    if not records:
        return None
    names = dict(PARTS) | {"all": "cost"}
    records.sort(key=lambda record: list(names).index(record["part"]))
    columns = (
        words("part_name", "Part of cost"),
        column("cost_usd_per_ft", heading="Now", definition="the season that was closed, final jobs"),
        Column("rise_share", "Change", "of it", "share", "expected change of the part a foot"),
        Column(
            "next_usd_per_ft",
            "Next season",
            "usd/ft",
            "usd_per_ft",
            "expected cost of next season, and of the whole the limits within which it lies 95 times in 100",
            "low",
            "high",
        ),
        prose("why", "Where the change comes from"),
    )
    rows = [
        row(
            record | {"part_name": names[record["part"]].capitalize(), "cost_usd_per_ft": record["now_usd_per_ft"]},
            columns,
            record["part"],
            Source("decisions.cost_forecast", f"season={record['season']}, segment=all, part={record['part']}"),
            strong=record["part"] == "all",
        )
        for record in records
    ]
    return table("cost_forecast", "What a foot is expected to cost next season", columns, rows)


def advised_price(results: Results, chance: Any) -> Figure | None:
    """The price of a chance as a figure of a sentence; None where there is none."""
    for record in price_rows(results):
        if float(record["chance"]) == float(chance) and record["price_usd_per_ft"] is not None:
            source = Source(
                "decisions.price_table", f"season={record['season']}, segment={record['segment']}, chance={chance}"
            )
            label = f"a foot to charge in {label_of(results.season + 1)}"
            return figure("price_usd_per_ft", record, source, label=label, low=record["low"], high=record["high"])
    return None
