"""Kinds of work beside each other: what a foot of each cost and was charged at, this season and in those before."""

from __future__ import annotations

import re
from dataclasses import replace
from datetime import date
from typing import Any

from pipeline.documents.build import missing, note, row, rows_by, slug, table
from pipeline.documents.columns import column, words
from pipeline.documents.model import Block, Row, Source, Table
from pipeline.documents.parts import share_of
from pipeline.documents.results import Results, label_of
from pipeline.documents.wording import CREW_SEGMENT_CAUTION, SEGMENT_CAUTION, SPREAD_HOURS

Record = dict[str, Any]

OWNER_VIEWS: tuple[tuple[str, str], ...] = (
    ("work", "work"),
    ("terms", "terms"),
    ("stories", "stories"),
    ("slope", "slope"),
    ("surface", "surface"),
    ("size_band", "size"),
    ("branch", "branch"),
    ("crew", "crew"),
    ("week", "week"),
)
"""Views of the season, each with its word."""
MOST_SEASONS = 3
"""Seasons beside each other: more do not fit on a page."""
FEW_JOBS = 8
"""Jobs under which a row says more about its houses than about its kind of work."""


def with_markup(record: Record) -> Record:
    """A record with its markup beside its margin."""
    return record | {"markup_share": share_of(record.get("margin_usd"), record.get("total_usd"))}


def segment_records(results: Results) -> list[Record]:
    """Rows of the owner's views in their order, each with the view's word. Views of one row say nothing new."""
    out: list[Record] = []
    for view, word in OWNER_VIEWS:
        rows = results.rows("measures.segment_cost", branch="all", view=view)
        rows.sort(key=lambda r: _by_size(str(r["segment"])))
        if len(rows) > 1:
            out += [
                with_markup(record) | {"view_word": word, "kind": in_words(view, str(record["segment"]))}
                for record in rows
            ]
    return out


def in_words(view: str, segment: str) -> str:
    """A segment as it is printed: a week by the day on which it began."""
    if view != "week":
        return segment
    day = date.fromisoformat(segment)
    return f"from {day.day} {day:%b}"


def _by_size(segment: str) -> tuple[float, bool, str]:
    """Bands in the order of their numbers, `under 100 ft` before `100 to 149 ft`; words by the alphabet."""
    number = re.search(r"\d+", segment)
    return (float(number[0]) if number else 0.0, not segment.startswith("under"), segment)


def segment_blocks(results: Results, records: list[Record], *, has_own_hours: bool) -> tuple[Block, ...]:
    """Kinds of work this season and over the seasons of the store, with what to mind; none without kinds of work."""
    if not records:
        return ()
    over = over_seasons_table(results, records)
    crews = any(record["view"] == "crew" for record in records)
    return (
        segment_table(records),
        note(SEGMENT_CAUTION, "caution"),
        *([note(CREW_SEGMENT_CAUTION, "caution")] if crews else []),
        *([] if has_own_hours else [missing(SPREAD_HOURS)]),
        *([over] if over else []),
    )


def segment_table(records: list[Record]) -> Table:
    """Cost, price and margin of every kind of work."""
    columns = (
        words("view_word", "By"),
        words("kind", "Kind"),
        column("jobs"),
        column("feet"),
        column("cost_usd_per_ft"),
        column("charged_usd_per_ft"),
        column("margin_share"),
        column("markup_share"),
        column("losing_jobs"),
    )
    rows = rows_by(records, columns, "measures.segment_cost", ("season", "branch", "view", "segment"))
    rows = tuple(Row(r.key.removeprefix("all."), r.cells, r.source, r.strong) for r in rows)
    few = any(record["jobs"] < FEW_JOBS for record in records)
    footnote = f"A row of fewer than {FEW_JOBS} jobs says more about those houses than about its kind." if few else None
    return table("segment_cost", "Kinds of work beside each other", columns, rows, footnote)


def _match(view: str, segment: str) -> str:
    """What a segment is called in any season: a week by its number in the calendar (ISO 8601)."""
    return str(date.fromisoformat(segment).isocalendar().week) if view == "week" else segment


def over_seasons_table(results: Results, records: list[Record]) -> Table | None:
    """Cost of a foot and margin of every kind of work in the store's last seasons; None where there is one."""
    every = results.rows("all:measures.segment_cost", branch="all")
    seasons = sorted({record["season"] for record in every if record["season"] <= results.season})[-MOST_SEASONS:]
    if len(seasons) < 2:
        return None
    known = {(r["season"], r["view"], _match(r["view"], str(r["segment"]))): r for r in every}
    columns = [words("view_word", "By"), words("kind", "Kind")]
    columns += [
        replace(column(key, heading=f"{what} {label_of(season)}"), key=f"{key}_{season}")
        for key, what in (("cost_usd_per_ft", "Cost"), ("margin_share", "Margin"))
        for season in seasons
    ]
    rows = []
    for record in records:
        values: Record = {"view_word": record["view_word"], "kind": record["kind"]}
        for season in seasons:
            own = known.get((season, record["view"], _match(record["view"], str(record["segment"]))), {})
            values |= {f"{key}_{season}": own.get(key) for key in ("cost_usd_per_ft", "margin_share")}
        source = Source("measures.segment_cost", f"view={record['view']}, segment={record['segment']}")
        rows.append(row(values, columns, slug(record["view"], record["segment"]), source))
    title = "The same kinds of work over the seasons in the store"
    said = "A dash: no such job in that season. Weeks are matched by their number in the calendar."
    return table("segments_over_seasons", title, columns, rows, said)
