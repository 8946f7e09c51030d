"""Goods in the owner's report: what no job bears, what goods already built will cost, what was used beyond them."""

from __future__ import annotations

from collections import defaultdict
from typing import Any

from pipeline.documents import wording
from pipeline.documents.build import counted, missing, note, row, rows_by, slug, table
from pipeline.documents.columns import prose, words
from pipeline.documents.model import Block, Column, Figure, Section, Source, Table, say
from pipeline.documents.parts import total
from pipeline.documents.results import Results, label_of

Record = dict[str, Any]

MOST_FINDINGS = 15
"""Rows of the table of quantities that cannot be; the store has them all."""

WAYS = (
    ("offcut_usd", "Offcut", "issued to new jobs less returned, less what stands in them, less scrap"),
    ("scrap_usd", "Scrap", "written down as known lost"),
    ("replacement_usd", "Replacement", "net issue to repeat jobs, less scrap"),
    ("service_usd", "Service", "goods moved on service days"),
    ("used_up_usd", "Used up", "zip cord and sundries, which never stand in a job"),
    ("not_told_apart_usd", "Not told apart", "net issue of jobs of which it is not known what stands in them"),
    ("without_job_usd", "No job", "goods moved without a job"),
)
"""How goods are used beyond what stands in the jobs: key, heading and definition."""


def goods_sections(results: Results) -> tuple[Section, ...]:
    """The section on goods; none where the season's records tell nothing of them."""
    blocks = [*_outside(results), *_schedule(results), *_beyond(results), *_findings(results)]
    return (Section("goods", "Goods: what no job bears, and what is still to come", tuple(blocks)),) if blocks else ()


def _amount(key: str, label: str, value: Any, definition: str, results: Results) -> Figure:
    source = Source("measures.goods_outside_jobs", f"season={results.season}")
    return Figure(key, label, value, "usd", "usd", definition, source)


def _outside(results: Results) -> list[Block]:
    records = results.rows("measures.goods_outside_jobs")
    gone = sum(record["kits_gone"] for record in records)
    blocks: list[Block] = []
    if gone:
        kits = Figure(
            "kits_gone", "leased jobs that did not return", gone, "count", "jobs",
            "leased jobs of the season before whose property has no leased repeat work this season",
            Source("measures.goods_outside_jobs", f"season={results.season}"),
        )  # fmt: skip
        lost = _amount("written_down_usd", "written down", total(r["written_down_usd"] for r in records),
                       "value of those kits that later seasons were to bear, less usable goods", results)  # fmt: skip
        kept = _amount("to_stock_usd", "gone to stock", total(r["to_stock_usd"] for r in records),
                       "the part of that value in goods that the records put back into stock", results)  # fmt: skip
        blocks.append(
            note(
                say(
                    "{} of the season before did not return: {} of their goods is written down, {} is usable in stock.",
                    counted(kits, "leased job", "leased jobs"),
                    lost,
                    kept,
                )
            )
        )
    shrinkage = total(record["shrinkage_usd"] for record in records)
    if shrinkage is not None:
        figure = _amount("shrinkage_usd", "shrinkage", shrinkage,
                         "opening + bought - issued less returned - closing, at unit cost", results)  # fmt: skip
        blocks.append(note(say("Stock that should be there and is not: {}.", figure)))
    blocks += [note(wording.OUTSIDE_METHOD, "method")] if blocks else []
    unknown = records and shrinkage is None
    return [*blocks, missing(wording.SHRINKAGE_UNKNOWN)] if unknown else blocks


def _schedule(results: Results) -> list[Block]:
    sums: dict[int, list[Record]] = defaultdict(list)
    for record in results.rows("measures.leased_schedule"):
        sums[record["later_season"]].append(record)
    if not sums:
        return []
    columns = (
        words("season", "Season"),
        Column("borne_usd", "To be borne", "usd", "usd", "share of leased goods already built, if every job returns"),
        Column("remaining_usd", "Left after it", "usd", "usd", "value of those goods that still later seasons bear"),
    )
    rows = [
        row(
            {
                "season": label_of(later),
                "borne_usd": total(record["borne_usd"] for record in records),
                "remaining_usd": total(record["remaining_usd"] for record in records),
            },
            columns,
            slug(later),
            Source("measures.leased_schedule", f"season={results.season}, later_season={later}"),
        )
        for later, records in sorted(sums.items())
    ]
    return [table("leased_schedule", "What leased goods already built will cost", columns, rows)]


def _beyond(results: Results) -> list[Block]:
    by_kind: dict[str, list[Record]] = defaultdict(list)
    for record in results.rows("measures.goods_beyond_built"):
        by_kind[record["kind"] or "not listed"].append(record)
    sums = [
        {"kind": kind, "words": kind.replace("_", " ")}
        | {key: total(record[key] for record in records) for key, _, _ in WAYS}
        for kind, records in sorted(by_kind.items())
    ]
    used = [(key, heading, text) for key, heading, text in WAYS if any(record[key] for record in sums)]
    if not used:
        return []
    columns = (
        words("words", "Kind"),
        *(Column(key, heading, "usd", "usd", text) for key, heading, text in used),
    )
    rows = [
        row(record, columns, slug(record["kind"]),
            Source("measures.goods_beyond_built", f"season={results.season}, kind={record['kind']}"))
        for record in sums
    ]  # fmt: skip
    return [table("beyond_built", "Goods used beyond what stands in the jobs", columns, rows, wording.BEYOND_METHOD)]


def _findings(results: Results) -> list[Block]:
    found = sorted(
        results.rows("audit.goods_findings"), key=lambda r: (-(r["usd"] or 0), r["job_no"] or "", r["item_no"])
    )
    if not found:
        return []
    count = Figure("goods_findings", "quantities that cannot be", len(found), "count", "quantities",
                   "quantities of goods that contradict each other",
                   Source("audit.goods_findings", f"season={results.season}"))  # fmt: skip
    said = say(
        "{} cannot be as written; the largest first.", counted(count, "quantity of goods", "quantities of goods")
    )
    return [note(said), _findings_table(found[:MOST_FINDINGS])]


def _findings_table(found: list[Record]) -> Table:
    columns = (
        words("job_no", "Job"),
        words("item_no", "Item"),
        Column("quantity", "By", "units", "quantity", "by how much it cannot be, in the item's unit"),
        Column("usd", "Worth", "usd", "usd", "the same at the item's unit cost"),
        prose("why", "Why"),
    )
    rows = rows_by(found, columns, "audit.goods_findings", ("season", "branch", "job_no", "item_no", "rule"))
    return table("goods_findings", "Look at these records again", columns, rows)
