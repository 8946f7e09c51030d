"""The rate card on the owner's page, and the season again at it: how well it fits, and whom it would move."""

from __future__ import annotations

import re
from math import pi, sqrt
from typing import Any

from pipeline.decisions.policy import BEYOND_LUCK, SEGMENT_ERROR
from pipeline.documents.build import note, row, rows_by, table, with_capital
from pipeline.documents.columns import column, estimate, words
from pipeline.documents.model import Block, Column, Figure, Row, Source, Table, Text, say
from pipeline.documents.parts import more_than
from pipeline.documents.results import Results, label_of
from pipeline.documents.wording import CARD_CAUTION

Record = dict[str, Any]

MOST_MOVED = 8
"""Customers listed at each end of the changes."""
VIEW_WORDS = {"size_band": "size"}
IN_A_SENTENCE = {
    "work": "{} work", "terms": "work with goods {}", "stories": "houses of {}", "size_band": "jobs of {}",
    "branch": "branch {}",
}  # fmt: skip
VIEWS = ("work", "terms", "stories", "size_band", "surface", "branch")
"""In which order a table has them."""


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
    kinds = [record for record in segments if record["view"] != "all"]
    blocks += [note(_said_again(whole)), _again_table(whole)]
    blocks += [_kinds_table(kinds), note(_said_least(kinds)), *_said_luck(kinds)] if kinds else []
    off = [record for record in kinds if abs(record["error_share"]) > SEGMENT_ERROR]
    if off:
        blocks.append(note(_said_off(max(off, key=lambda record: (_beyond_luck(record), abs(record["error_share"]))))))
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


def _place(record: Record) -> tuple[int, float, str]:
    """By view; sizes from small to large."""
    number = re.search(r"\d+", record["segment"]) if record["view"] == "size_band" else None
    size = float(number[0]) - record["segment"].startswith("under") if number else 0.0
    return (VIEWS.index(record["view"]), size, record["segment"])


def _kinds_table(kinds: list[Record]) -> Table:
    columns = (
        words("view_word", "By"),
        words("segment_word", "Kind"),
        column("jobs"),
        column("invoiced_usd", heading="Charged"),
        Column("card_usd", "At the card", "usd", "usd", "what the card asks for these jobs"),
        Column("error_share", "Off by", "of what is needed", "share", "what the card asks / what the kind's forecast "
               "cost takes at the card's mean price over cost, less 1"),
        Column("error_se", "By luck", "this season", "share", "standard error of that by the luck of the jobs: of the "
               "houses themselves, and of the jobs that the card is told from"),
        Column("later_se", "By luck", "another season", "share", "standard error of the same in another season with as "
               "many jobs like these"),
        Column("charged_losing", "At a loss", "as charged", "count", "jobs that cost more than was charged"),
        Column("card_losing", "At a loss", "at the card", "count", "jobs that cost more than the card asks"),
    )  # fmt: skip
    records = [
        record
        | {
            "view_word": VIEW_WORDS.get(record["view"], record["view"]),
            "segment_word": _segment_word(record),
            "invoiced_usd": record["charged_usd"],
        }
        for record in sorted(kinds, key=_place)
    ]
    rows = rows_by(records, columns, "decisions.card_segments", ("season", "view", "segment"))
    return table("card_segments", "How the card fits each kind of work", columns, rows)


def _segment_word(record: Record) -> str:
    if record["view"] == "stories":
        return f"{record['segment']} {'story' if record['segment'] == '1' else 'stories'}"
    return str(record["segment"])


def _kind_word(record: Record) -> str:
    """A kind of work in a sentence: `jobs of under 100 ft`."""
    return IN_A_SENTENCE.get(record["view"], "{}").format(_segment_word(record))


def _source_of(record: Record) -> Source:
    return Source(
        "decisions.card_segments",
        f"season={record['season']}, view={record['view']}, segment={record['segment']}",
    )


def _beyond_luck(record: Record) -> bool:
    """Whether the card is off by more than the luck of the kind's houses explains."""
    return record["error_se"] is not None and abs(record["error_share"]) > BEYOND_LUCK * record["error_se"]


def _said_least(kinds: list[Record]) -> Text:
    """The kind of work on which the card leaves least, and whether that is under water."""
    worst = min(kinds, key=lambda record: 1 - record["cost_usd"] / record["card_usd"])
    left = Figure("card_least_margin", "least margin at the card", 1 - worst["cost_usd"] / worst["card_usd"], "share",
                  "of price", "of the kinds of work, the least margin that the card leaves at this season's cost",
                  _source_of(worst))  # fmt: skip
    if worst["cost_usd"] > worst["card_usd"]:
        return say(
            "{} would still cost more than the card asks: a margin of {}.", with_capital(_kind_word(worst)), left
        )
    return say(
        "At the card every kind of work as a whole brings more than it costs; least is left on {}: a margin of {}.",
        _kind_word(worst),
        left,
    )


def _said_luck(kinds: list[Record]) -> list[Block]:
    """How far the card is off in the kinds of work, and how much of that their houses' luck alone would make.

    The mean distance of a normal value from its middle is sqrt(2 / pi) of its standard error.
    """
    known = [record for record in kinds if record["error_se"] is not None]
    if not known:
        return []
    source = Source("decisions.card_segments", f"season={known[0]['season']}")

    def mean(name: str, key: str, label: str, times: float) -> Figure:
        value = times * sum(abs(record[key]) for record in known) / len(known)
        each = label if times == 1 else f"{label}, which is sqrt(2 / pi) x its standard error"
        return Figure(name, label, value, "share", "of what is needed", f"mean over kinds of work of: {each}", source)

    luck = sqrt(2 / pi)
    return [
        note(
            say(
                "In these kinds of work the card is off by {} on average, up or down; the luck of the houses alone "
                "would make that {}. In another season with as many houses like these it would make it {}.",
                mean("card_mean_error", "error_share", "how far the card is off, without its sign", 1.0),
                mean("card_mean_luck", "error_se", "how far luck alone puts it off", luck),
                mean("card_later_luck", "later_se", "how far luck alone will put it off in another season", luck),
            )
        )
    ]


def _said_off(worst: Record) -> Text:
    source = _source_of(worst)
    by = Figure("card_worst_error", "card off by", abs(worst["error_share"]), "share", "of what is needed",
                "largest share by which the card is off in a kind of work, without its sign", source)  # fmt: skip
    asks = say(
        "The card asks {} {} than needed of {}",
        by,
        "more" if worst["error_share"] > 0 else "less",
        _kind_word(worst),
    )
    if worst["error_se"] is None:
        return say("{}, of which there was a single job.", asks)
    luck = Figure("card_worst_luck", "standard error of it", worst["error_se"], "share", "of what is needed",
                  "standard error of it by the luck of the jobs", source)  # fmt: skip
    jobs = Figure("card_worst_jobs", "jobs of that kind", worst["jobs"], "count", "jobs", "jobs of that kind", source)
    if _beyond_luck(worst):
        return say("{}, more than twice the {} that the luck of {} houses makes of it: look at these quotes by hand.",
                   asks, luck, jobs)  # fmt: skip
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
