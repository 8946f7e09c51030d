"""What to charge: the price by chance and by kind of work, the rate card, and this season again at it."""

from __future__ import annotations

import re
from typing import Any

from pipeline.decisions.policy import BEYOND_LUCK, SEGMENT_ERROR
from pipeline.documents.build import figure, missing, note, row, rows_by, table
from pipeline.documents.columns import column, estimate, prose, words
from pipeline.documents.model import Block, Column, Figure, Row, Source, Table, Text, say
from pipeline.documents.parts import PARTS, more_than
from pipeline.documents.results import Results, label_of
from pipeline.documents.wording import CARD_CAUTION

Record = dict[str, Any]

MOST_MOVED = 8
"""Customers listed at each end of the changes."""
_COST = {"usd_per_ft": "next_usd_per_ft", "low": "low", "high": "high"}
VIEW_WORDS = {"all": "all", "size_band": "size"}


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


def rate_card_table(results: Results) -> Table | None:
    """The rate card: what is charged, by what."""
    records = results.rows("decisions.rate_card")
    if not records:
        return None
    columns = (
        words("what", "What"),
        words("basis", "By"),
        estimate("amount_usd", "low", "high", format="price", definition="the price to charge for it"),
    )
    rows = rows_by(records, columns, "decisions.rate_card", ("season", "line"))
    return table("rate_card", f"Rate card for season {label_of(results.season + 1)}", columns, rows)


def card_blocks(results: Results) -> tuple[Block, ...]:
    """The rate card, and the season again at it: in all, by kind of work, and whom it would move most."""
    card = rate_card_table(results)
    blocks: list[Block] = [card] if card else []
    blocks += [note(sentence) for sentence in results.said("rate_card")]
    segments = results.rows("decisions.card_segments")
    again = results.rows("decisions.price_again")
    whole = next((record for record in segments if record["view"] == "all"), None)
    if whole is None or not again:
        return tuple(blocks)
    blocks += [note(_said_again(whole)), _again_table(whole), _kinds_table(segments)]
    off = [record for record in segments if abs(record["error_share"]) > SEGMENT_ERROR]
    if off:
        blocks.append(
            missing(_said_off(max(off, key=lambda record: (_beyond_luck(record), abs(record["error_share"])))))
        )
    blocks += _moved_tables(again)
    return (*blocks, note(CARD_CAUTION, "caution"))


def _again_figure(record: Record, key: str, label: str, form: str = "usd") -> Figure:
    source = Source("decisions.card_segments", f"season={record['season']}, view=all, segment=all")
    unit = "jobs" if form == "count" else "usd"
    return Figure(f"again.{key}", label, record[key], form, unit, label, source)


def _said_again(whole: Record) -> Text:
    more = whole["card_usd"] - whole["charged_usd"]
    change = Figure("again.change_usd", "card less charged", abs(more), "usd", "usd", "what the card asks for all jobs "
                    "less what they were charged, without its sign",
                    Source("decisions.card_segments", f"season={whole['season']}, view=all, segment=all"))  # fmt: skip
    return say(
        "This season's jobs again at the new card: {} in place of {}, {} {}; {} would have cost more than they "
        "brought, against {}.",
        _again_figure(whole, "card_usd", "asked by the card"),
        _again_figure(whole, "charged_usd", "charged"),
        change,
        "more" if more >= 0 else "less",
        _again_figure(whole, "card_losing", "jobs at a loss at the card", "count"),
        _again_figure(whole, "charged_losing", "jobs at a loss as charged", "count"),
    )


def _again_table(whole: Record) -> Table:
    columns = (
        words("what", "This season"),
        column("invoiced_usd", heading="Revenue", definition="what all jobs bring"),
        column("total_usd"),
        column("margin_usd"),
        column("margin_share"),
        column("losing_jobs"),
    )
    rows: list[Row] = []
    source = Source("decisions.card_segments", f"season={whole['season']}, view=all, segment=all")
    for key, name in (("charged", "As it was charged"), ("card", "At the new card")):
        money = whole[f"{key}_usd"]
        left = money - whole["cost_usd"]
        values = {"what": name, "invoiced_usd": money, "total_usd": whole["cost_usd"], "margin_usd": left,
                  "margin_share": left / money if money else None, "losing_jobs": whole[f"{key}_losing"]}  # fmt: skip
        rows.append(row(values, columns, key, source))
    return table("season_again", "This season as it was charged, and at the new card", columns, rows)


def _kinds_table(segments: list[Record]) -> Table:
    columns = (
        words("view_word", "By"),
        words("segment_word", "Kind"),
        column("jobs"),
        column("invoiced_usd", heading="Charged"),
        Column("card_usd", "At the card", "usd", "usd", "what the card asks for these jobs"),
        Column("error_share", "Off by", "of what is needed", "share", "what the card asks / what the kind's forecast "
               "cost takes at the card's mean price over cost, less 1"),
        Column("error_se", "By luck", "standard error", "share", "how far the luck of as many houses moves what is "
               "needed: a standard error"),
        Column("charged_losing", "At a loss", "as charged", "count", "jobs that cost more than was charged"),
        Column("card_losing", "At a loss", "at the card", "count", "jobs that cost more than the card asks"),
    )  # fmt: skip
    records = [
        record
        | {
            "view_word": VIEW_WORDS.get(record["view"], record["view"]),
            "segment_word": "all jobs" if record["view"] == "all" else _segment_word(record),
            "invoiced_usd": record["charged_usd"],
        }
        for record in segments
    ]
    rows = rows_by(records, columns, "decisions.card_segments", ("season", "view", "segment"))
    return table("card_segments", "How the card fits each kind of work", columns, rows)


def _segment_word(record: Record) -> str:
    if record["view"] == "stories":
        return f"{record['segment']} {'story' if record['segment'] == '1' else 'stories'}"
    return str(record["segment"])


def _beyond_luck(record: Record) -> bool:
    """Whether the card is off by more than the luck of the kind's houses explains."""
    return record["error_se"] is not None and abs(record["error_share"]) > BEYOND_LUCK * record["error_se"]


def _said_off(worst: Record) -> Text:
    source = Source("decisions.card_segments", f"season={worst['season']}, view={worst['view']}, "
                    f"segment={worst['segment']}")  # fmt: skip
    by = Figure("card_worst_error", "card off by", abs(worst["error_share"]), "share", "of what is needed",
                "largest share by which the card is off in a kind of work, without its sign", source)  # fmt: skip
    asks = say(
        "The card asks {} {} than needed of {}",
        by,
        "more" if worst["error_share"] > 0 else "less",
        f"{VIEW_WORDS.get(worst['view'], worst['view'])} {_segment_word(worst)}",
    )
    if _beyond_luck(worst):
        return say("{}: prices by the foot bend where costs do not. Look at these quotes by hand.", asks)
    if worst["error_se"] is None:
        return say("{}, of which there was a single job.", asks)
    luck = Figure("card_worst_luck", "standard error of it", worst["error_se"], "share", "of what is needed",
                  "how far the luck of as many houses moves it", source)  # fmt: skip
    jobs = Figure("card_worst_jobs", "jobs of that kind", worst["jobs"], "count", "jobs", "jobs of that kind", source)
    return say("{}; the luck of {} houses alone moves that by {} either way, so chance may have done it.", asks, jobs,
               luck)  # fmt: skip


def _moved_tables(again: list[Record]) -> list[Block]:
    columns = (
        words("customer_no", "Customer"),
        words("property_no", "Property"),
        words("job_no", "Job"),
        column("feet"),
        column("invoiced_usd", heading="Charged"),
        Column("card_usd", "At the card", "usd", "usd", "what the card asks for the job"),
        Column("change_usd", "Change", "usd", "usd", "card less charged"),
        Column("change_share", "Change", "of what was charged", "share", "(card - charged) / charged"),
    )
    blocks: list[Block] = []
    shown = [r | {"invoiced_usd": r["charged_usd"], "change_share": more_than(r["card_usd"], r["charged_usd"])}
             for r in again]  # fmt: skip
    for name, title, sign in (("rises", "The largest rises", 1), ("cuts", "The largest cuts", -1)):
        own = sorted(
            (r for r in shown if r["change_usd"] * sign > 0), key=lambda r: (-r["change_usd"] * sign, r["job_no"])
        )
        if own:
            rows = rows_by(own[:MOST_MOVED], columns, "decisions.price_again", ("season", "branch", "job_no"))
            blocks.append(table(f"card_{name}", title, columns, rows))
    return blocks


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
