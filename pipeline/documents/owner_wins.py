"""Quotes in the owner's report: how many jobs a rise may lose, and what the quotes say of prices."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

from pipeline.documents import wording
from pipeline.documents.build import missing, note, rows_by, slug, table, with_capital
from pipeline.documents.columns import words
from pipeline.documents.model import Axis, Block, Chart, Column, Figure, Point, Section, Series, Source, Text, join, say
from pipeline.documents.results import Results, label_of

Record = dict[str, Any]

WORK_WORDS = {"all": "all work", "new": "new work", "repeat": "renewals", "not said": "quotes without a kind of work"}
MOST_POINTS = 9
"""Prices drawn in a chart; the store has every step."""


def wins_sections(results: Results) -> tuple[Section, ...]:
    """Winning and losing; none where neither jobs nor quotes say anything."""
    spoken = results.rows("decisions.good_prices")
    blocks: list[Block] = []
    for record in spoken:
        blocks.append(note(_sentence(record)))
        blocks += [note(said) for said in (_crew_hours(record),) if said]
        if shows_a_loss(record):
            blocks.append(_chart(results, record))
    if spoken:
        blocks += [note(wording.QUOTES_CAUTION, "caution"), note(wording.QUOTES_METHOD, "method")]
    blocks += [missing(sentence) for sentence in results.said("quotes")]
    even = results.rows("decisions.break_even")
    blocks += _break_even(even) if even else []
    return (Section("quotes", "What a dearer quote would cost", tuple(blocks)),) if blocks else ()


def shows_a_loss(record: Record) -> bool:
    """Whether the quotes show that a dearer one is won less often; else there is no best price to draw."""
    return record["lost_low"] is not None and record["lost_low"] > 0


def _figure(record: Record, key: str, label: str, form: str, unit: str, definition: str) -> Figure:
    source = Source("decisions.good_prices", f"season={record['season']}, work={record['work']}")
    return Figure(
        f"good_prices.{slug(record['work'])}.{key}", f"{WORK_WORDS[record['work']]}: {label}", record[key], form, unit,
        definition, source,
    )  # fmt: skip


def _sentence(record: Record) -> Text:
    quotes = _figure(record, "quotes", "quotes", "count", "quotes", "quotes won or lost that the response is fitted to")
    won = _figure(record, "won", "won", "count", "quotes", "of these quotes those that were won")
    first = say("{}: {} of {} quotes were won.", with_capital(WORK_WORDS[record["work"]]), won, quotes)
    return join(first, _dearer(record), _where(record))


def _dearer(record: Record) -> Text:
    """What prices 5 % higher would do, no more than the quotes show."""
    if record["lost_share"] is None:
        return say("Like houses were never quoted as much as 5 % apart, so what a rise of 5 % would do is not known.")
    lost = replace(
        _figure(record, "lost_share", "share lost at 5 % more", "percent", "of quotes",
                "share of the quotes that all prices 5 % higher would lose beside"),
        low=record["lost_low"], high=record["lost_high"],
    )  # fmt: skip
    if not shows_a_loss(record):
        most = replace(lost, name=f"{lost.name}.high", value=record["lost_high"], low=None, high=None)
        return (
            say("The quotes do not show that a rise of 5 % loses any; it may lose as much as {} of them.", most)
            if record["lost_high"] > 0
            else say("The quotes do not show that a rise of 5 % loses any.")
        )
    return say("A rise of 5 % would lose another {} of them ({}).", lost, lost.shown_interval or "")


def _where(record: Record) -> Text:
    """Where most is left, as far as the quotes reach."""
    low = _figure(record, "good_low", "lower end of good prices", "usd_cents", "usd/ft", wording.GOOD_PRICE_DEFINITION)
    high = _figure(
        record, "good_high", "upper end of good prices", "usd_cents", "usd/ft", wording.GOOD_PRICE_DEFINITION
    )
    quoted = _figure(record, "quoted_usd_per_ft", "price quoted", "usd_cents", "usd/ft", "quoted price / quoted feet")
    if record["best_end"] is not None:
        return say(
            "Which price leaves most they do not settle: as they stand it is at the {} that were tried for like "
            "houses, {} a foot on average, or beyond; {} was quoted.",
            "highest prices" if record["best_end"] == "high" else "lowest prices",
            high if record["best_end"] == "high" else low,
            quoted,
        )
    between = say(
        "The price that leaves most lies, four times in five, between {} and {} a foot; {} was quoted.",
        low,
        high,
        quoted,
    )
    if record["best_usd_per_ft"] is None:
        return between
    best = _figure(
        record, "best_usd_per_ft", "best price", "usd_cents", "usd/ft", "price at which most is expected to be left"
    )
    return join(between, say("The best single guess is {}.", best))


def _crew_hours(record: Record) -> Text | None:
    """How many crew hours are left for this work, and from which price on what is won can be done."""
    if record["fits"] is None:
        return None
    most = _figure(record, "most_hours", "crew hours of a season", "hours", "h", wording.MOST_HOURS_DEFINITION)
    left = _figure(record, "left_hours", "crew hours left", "hours", "h", "crew hours of a season less those that this "
                   "season's other work took")  # fmt: skip
    whose = "as the setting crew_hours says"
    if record["busiest"] is not None:
        whose = f"as in season {label_of(record['busiest'])}, the busiest in the store; give crew_hours if it is not so"
    first = say("The crews have {} in a season ({}), and beside other work {} of them are left.", most, whose, left)
    if record["fits"] == "all":
        return join(first, "What is won at any of these prices can be done in them.")
    if record["fits"] == "none":
        return join(first, "More would be won than can be done in them, whichever of these prices is asked: find more "
                    "hands, or take on less.")  # fmt: skip
    fits = _figure(record, "fits_from_usd_per_ft", "price that fits the crew hours", "usd_cents", "usd/ft",
                   "lowest price from which on the quotes won take no more crew hours than are left")  # fmt: skip
    return join(first, say("At prices under {} a foot more would be won than can be done in them, so no good price "
                           "lies below it.", fits))  # fmt: skip


def _key(row: Record) -> str:
    return slug(f"{row['factor']:.3f}")


def _chart(results: Results, record: Record) -> Chart:
    """What the season's quotes would leave at each price, with its limits."""
    rows = sorted(results.rows("decisions.price_response", work=record["work"]), key=lambda row: row["factor"])
    step = max(1, -(-len(rows) // MOST_POINTS))
    now = next(place for place, row in enumerate(rows) if row["factor"] == 1)
    drawn = rows[now % step :: step]
    points = tuple(
        Point(
            _key(row), f"${row['price_usd_per_ft']:.2f} a foot", row["contribution_usd"],
            row["contribution_low"], row["contribution_high"], role="total" if row["factor"] == 1 else "plain",
        )
        for row in drawn
    )  # fmt: skip
    source = Source("decisions.price_response", f"season={record['season']}, work={record['work']}")
    ends = [
        Figure(f"price_response.{slug(record['work'], _key(row))}.won_share", "share won",
               row["won_share"], "percent", "of quotes", "share of the quotes won with all prices moved to this one",
               source)
        for row in (drawn[0], drawn[-1])
    ]  # fmt: skip
    title = say(
        "{}: {} won at the lowest of these prices, {} at the highest", with_capital(WORK_WORDS[record["work"]]), *ends
    )
    return Chart(
        f"price_response.{slug(record['work'])}", "dots", title,
        Axis("left after direct cost, dollars", "usd", "usd"), "average price quoted",
        (Series("left", "Left over", points),),
        "sum over the season's quotes of the chance of winning x (price - next season's direct cost of its feet)",
        source,
    )  # fmt: skip


def _break_even(records: list[Record]) -> list[Block]:
    columns = (
        words("work_words", "Work"),
        Column("rise", "Rise", "of price", "percent", "rise of all prices; below 0 a cut"),
        Column("price_usd_per_ft", "Price", "usd/ft", "usd_per_ft", "this season's charge a foot after the rise"),
        Column("lose_share", "May lose", "of jobs", "share", "share of the jobs that may be lost before less is left "
               "than before; below 0: to be won beside"),
    )  # fmt: skip
    shown = [record | {"work_words": with_capital(WORK_WORDS[record["work"]])} for record in records]
    rows = rows_by(shown, columns, "decisions.break_even", ("season", "work", "rise"))
    return [table("break_even", "How many jobs a rise may lose", columns, rows, wording.BREAK_EVEN_METHOD)]
