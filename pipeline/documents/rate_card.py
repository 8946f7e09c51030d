"""The rate card on one sheet, to quote from at the house."""

from __future__ import annotations

from typing import Any

from pipeline.documents.build import note, row, table
from pipeline.documents.columns import column, words
from pipeline.documents.model import Block, Document, Figure, Row, Section, Source, say
from pipeline.documents.results import Results, label_of
from pipeline.documents.wording import CARD_CAUTION, LADDER_CAUTION

Record = dict[str, Any]

_TIE = "\N{NO-BREAK SPACE}"
EXAMPLE_FEET = 150
"""Feet of the worked example: a common house."""


def rate_card_document(results: Results) -> Document | None:
    """The sheet; None where there is no rate card."""
    records = sorted(results.rows("decisions.rate_card"), key=lambda record: int(record["line"]))
    if not records:
        return None
    label = label_of(results.season + 1)
    columns = (words("line_words", "What"), column("amount_usd", heading="Price"), words("by", "By"))
    rows: list[Row] = [
        row(record | _in_words(record), columns, str(record["line"]),
            Source("decisions.rate_card", f"season={record['season']}, line={record['line']}"))
        for record in records
    ]  # fmt: skip
    blocks: list[Block] = [table("card", f"Prices of season {label}", columns, rows)]
    example = _example(records)
    blocks += [example] if example else []
    said = [sentence for sentence in results.said("rate_card") if sentence.startswith("Prices a foot are for")]
    blocks += [note(sentence) for sentence in said]
    blocks += [note(CARD_CAUTION, "caution"), note(LADDER_CAUTION, "caution")]
    lead = say("Measure the feet of each surface, take its price a foot with what height and kind of work add, and "
               "add the charge for going there.") if _by_surface(records) else say("Measure the feet and take the "
               "price a foot of the kind of work.")  # fmt: skip
    return Document("rate-card", f"Rate card, season {label}", results.season, results.firm, lead, (),
                    (Section("card", "The card", tuple(blocks)),), layout="sheet")  # fmt: skip


def _in_words(record: Record) -> Record:
    """A line as it is read at the house: short, and on one line."""
    what = str(record["what"]).removesuffix(", on each foot")
    if what != record["what"]:
        what = f"{'add for' if float(record['amount_usd']) >= 0 else 'off for'} {what}"
    return {
        "line_words": what[0].upper() + what[1:],
        "by": str(record["basis"]).removeprefix("usd ").replace(" ", _TIE),
    }


def _by_surface(records: list[Record]) -> bool:
    return any(record.get("term") == "surface" for record in records)


def _example(records: list[Record]) -> Block | None:
    """A house of one surface and two stories, worked through; None where the card has no charge for going there."""
    visit = next((record for record in records if record.get("term") == "visit"), None)
    surface = next((record for record in records if record.get("term") == "surface"), None)
    if visit is None or surface is None:
        return None
    story = next((record for record in records if record.get("term") == "stories"), None)
    more = float(story["amount_usd"]) if story else 0.0
    source = Source("decisions.rate_card", f"season={visit['season']}")

    def amount(key: str, label: str, value: float, what: str, form: str = "usd_cents") -> Figure:
        unit = "ft" if form in ("feet", "count") else "usd"
        return Figure(f"example.{key}", label, value, form, unit, f"in the example: {what}", source)

    a_foot = float(surface["amount_usd"]) + more
    charge = float(visit["amount_usd"]) + EXAMPLE_FEET * a_foot
    least = next((float(record["amount_usd"]) for record in records if record.get("term") == "least"), 0.0)
    heights = f", {story['what'].removesuffix(', on each foot')}" if story else ""
    return note(
        say(
            "For example {} {}{}: {} + {} x {} = {}.",
            amount("feet", "feet", EXAMPLE_FEET, "feet of the house", "feet"),
            surface["what"].removeprefix("each foot ").replace("any surface", "of any surface"),
            heights,
            amount("visit", "going to the house", float(visit["amount_usd"]), "what going to any house is charged at"),
            amount("feet_again", "feet", EXAMPLE_FEET, "feet of the house", "count"),
            amount("a_foot", "price a foot", a_foot, "price of the surface with what its height adds"),
            amount("price", "price of the job", max(charge, least), "going there + feet x price a foot"),
        )
    )
