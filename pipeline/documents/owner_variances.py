"""Why a foot did not cost what it cost the season before: prices paid apart from quantities used, to the cent."""

from __future__ import annotations

from collections.abc import Iterable
from decimal import Decimal
from typing import Any

from pipeline.documents.build import listed, missing, note, row, rows_by, table
from pipeline.documents.columns import column, words
from pipeline.documents.model import Axis, Block, Chart, Column, Figure, Point, Row, Series, Source, Table, Text, say
from pipeline.documents.parts import PARTS, per_foot
from pipeline.documents.results import Results, label_of
from pipeline.documents.wording import VARIANCE_CAUTION, VARIANCE_METHOD

Record = dict[str, Any]

REASONS: tuple[tuple[str, str, tuple[str, ...], str], ...] = (
    ("price", "Prices and rates", ("rate", "price"), "this season's quantities at its own price less at that before"),
    ("quantity", "Quantities used", ("efficiency", "usage", "miles", "points"),
     "quantity beyond what the season before took for these feet and kinds of work, at that season's price"),
    ("mix", "Kinds of work", ("mix",), "what other shares of new and repeat, leased and sold work take, at the "
     "price of the season before"),
    ("fixed", "Spread of fixed costs", ("fixed_volume",), "fixed overhead that did not follow the feet"),
    ("spending", "Other amounts", ("spending",), "amounts that have no quantity"),
    ("records", "Kept in one season", ("records",), "parts that only one of the two seasons has a sheet of"),
)  # fmt: skip
"""Why a cost differs: key, name, kinds of measures.variances, and what it is."""
VOLUME = "volume"
MOST_LINES = 12
"""Single variances that are listed, the largest."""
QUANTITY_WORDS = {"price": "price", "rate": "rate", "efficiency": "hours", "usage": "units", "miles": "miles",
                  "points": "faults", "mix": "kinds of work", "spending": "amount", "fixed_volume": "feet it lies on",
                  "records": "kept in one season"}  # fmt: skip
LINE_WORDS = {"not_by_the_hour": "pay not by the hour", "failed_points": "failed points",
              "without_job": "without a job", "all": "all of it"}  # fmt: skip


def variance_blocks(results: Results, season: Record) -> tuple[Block, ...]:
    """What changed since the season before in the store, by reason and by part; else why that cannot be said."""
    rows = results.rows("measures.variances")
    if not rows:
        return (missing(_why_none(results)),)
    base = rows[0]["base_season"]
    lines = [record for record in rows if record["kind"] != VOLUME]
    source = Source("measures.variances", f"season={results.season}")
    said = [note(_said(results, season, lines, base, source))]
    if base != results.season - 1:
        said.append(missing(f"The season before in the store is {label_of(base)}; the ones between are not there."))
    apart = sorted({record["part"] for record in rows if record["kind"] == "records"})
    if apart:
        said.append(
            missing(
                f"Only one of the two seasons has a sheet for {listed(apart)}: that difference is one of records and "
                "not of cost."
            )
        )
    return (
        *said,
        _chart(lines, season, base, source),
        _matrix(rows, results.season, base, source),
        *_largest(lines),
        note(VARIANCE_METHOD, "method"),
        note(VARIANCE_CAUTION, "caution"),
    )


def _why_none(results: Results) -> str:
    if len(results.rows("all:measures.season_cost", branch="all")) > 1:
        return "No earlier season with feet and costs is in the store, so what changed cannot be said."
    return (
        "Only this season is in the store. Close an earlier one as well, and this section says why a foot costs more "
        "or less than it did: prices paid apart from hours and goods used."
    )


def _sum(records: Iterable[Record]) -> Decimal:
    return sum((record["variance_usd"] for record in records), Decimal(0))


def _by_reason(lines: list[Record]) -> dict[str, Decimal]:
    """What each reason comes to, usd; a reason that no line has is left out."""
    found = {}
    for key, _, kinds, _ in REASONS:
        own = [record for record in lines if record["kind"] in kinds]
        if own:
            found[key] = _sum(own)
    return found


def _said(results: Results, season: Record, lines: list[Record], base: int, source: Source) -> Text:
    change = per_foot(_sum(lines), season["feet"])
    assert change is not None
    cost = Figure("cost_usd_per_ft", "a foot cost", season["cost_usd_per_ft"], "usd_cents", "usd/ft",
                  "sum of the jobs' cost / sum of their feet",
                  Source("measures.season_cost", f"season={results.season}, branch=all"))  # fmt: skip
    moved = Figure("change_usd_per_ft", "change of a foot's cost", abs(change), "usd_cents", "usd/ft",
                   "variances other than volume / the season's feet, without its sign", source)  # fmt: skip
    reasons = _by_reason(lines)
    most = max(reasons, key=lambda key: abs(reasons[key]))
    name = next(reason[1] for reason in REASONS if reason[0] == most)
    most_change = per_foot(reasons[most], season["feet"])
    assert most_change is not None
    mattered = Figure("most_usd_per_ft", f"{name}, per foot", abs(most_change), "usd_cents", "usd/ft",
                      "the largest reason's variances / the season's feet, without its sign", source)  # fmt: skip
    if not change:
        return say("A foot cost {}, as much as in {}.", cost, label_of(base))
    return say(
        "A foot cost {}, which is {} {} than in {}. {} moved it most: {} {}.",
        cost,
        moved,
        "more" if change > 0 else "less",
        label_of(base),
        name,
        mattered,
        "up" if most_change > 0 else "down",
    )


def _chart(lines: list[Record], season: Record, base: int, source: Source) -> Chart:
    reasons = _by_reason(lines)
    names = {key: name for key, name, _, _ in REASONS}
    points = []
    for key, amount in reasons.items():
        change = per_foot(amount, season["feet"]) or Decimal(0)
        points.append(Point(key, names[key], change, role="bad" if change > 0 else "good"))
    whole = per_foot(_sum(lines), season["feet"]) or Decimal(0)
    points.append(Point("change", "All together", whole, role="total"))
    dearer, cheaper = _sides(reasons)
    title = say("What made a foot dearer than in {}: {}; cheaper: {}", label_of(base), dearer, cheaper)
    return Chart(
        "variances", "waterfall", title, Axis("dollars per foot, above 0 is dearer", "usd/ft", "usd_per_ft"), "reason",
        (Series("reasons", "Change", tuple(points)),), "variances of this kind over all parts / the season's feet",
        source,
    )  # fmt: skip


def _sides(reasons: dict[str, Decimal]) -> tuple[str, str]:
    names = {key: name.lower() for key, name, _, _ in REASONS}
    dearer = [names[key] for key, amount in reasons.items() if amount > 0]
    cheaper = [names[key] for key, amount in reasons.items() if amount < 0]
    return listed(dearer) or "nothing", listed(cheaper) or "nothing"


def _matrix(rows: list[Record], season: int, base: int, source: Source) -> Table:
    """Parts by reasons, in dollars; each row leads from the season before's cost to this one's."""
    shown = [reason for reason in REASONS if any(record["kind"] in reason[2] for record in rows)]
    columns = (
        words("part", "Part of cost"),
        Column("volume", "More or fewer feet", "usd", "usd", "this season's feet at the season before's cost a foot, "
               "less that season's cost"),
        *(Column(key, name, "usd", "usd", definition) for key, name, _, definition in shown),
        Column("change", "In all", "usd", "usd", "the row's variances together: this season's cost less that of the "
               "season before"),
    )  # fmt: skip
    made: list[Row] = []
    for part, word in (*PARTS, (None, "all parts")):
        own = [record for record in rows if part is None or record["part"] == part]
        if not own:
            continue
        values: Record = {"part": word.capitalize(), "volume": _sum(r for r in own if r["kind"] == VOLUME)}
        values |= {key: _sum(r for r in own if r["kind"] in kinds) for key, _, kinds, _ in shown}
        values["change"] = _sum(own)
        made.append(row(values, columns, part or "all", source, strong=part is None))
    title = f"From the cost of season {label_of(base)} to that of season {label_of(season)}, in dollars"
    return table("variance_matrix", title, columns, made, "Above 0 is dearer. Rows and columns add up to the cent.")


def _largest(lines: list[Record]) -> tuple[Block, ...]:
    chosen = sorted((r for r in lines if r["variance_usd"]), key=lambda r: (-abs(r["variance_usd"]), r["line"]))
    if not chosen:
        return ()
    columns = (
        words("what", "What"),
        words("why", "By its"),
        Column("standard_quantity", "Quantity before", "for these feet", "quantity",
               "what the season before's rates take for this season's feet and kinds of work"),
        Column("quantity", "Quantity now", "", "quantity", "quantity of this season"),
        words("unit", "Unit"),
        Column("standard_usd_per_unit", "Price before", "usd", "usd_cents", "price of the season before"),
        Column("usd_per_unit", "Price now", "usd", "usd_cents", "price of this season"),
        column("amount_usd", heading="Dearer by", format="usd", definition="the variance; below 0 is cheaper"),
    )  # fmt: skip
    records = [
        record
        | {
            "what": f"{record['part'].capitalize()}: {LINE_WORDS.get(record['line'], record['line'])}",
            "why": QUANTITY_WORDS.get(record["kind"], record["kind"]),
            "amount_usd": record["variance_usd"],
        }
        for record in chosen[:MOST_LINES]
    ]
    rows = rows_by(records, columns, "measures.variances", ("season", "part", "line", "kind"))
    said = "An amount without a quantity has no price: a dash."
    return (table("largest_variances", "The largest single differences", columns, rows, said),)
