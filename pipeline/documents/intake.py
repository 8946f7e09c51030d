"""The intake report: what was read, what was refused and why, and whether the season may be trusted."""

from __future__ import annotations

from typing import Any

from pipeline.documents import wording
from pipeline.documents.build import figure, missing, row, rows_by, table, without_empty
from pipeline.documents.closing import closing_section
from pipeline.documents.columns import column, prose, words
from pipeline.documents.compare import intake_changes
from pipeline.documents.corrections import corrections_section
from pipeline.documents.findings import list_section, rule_chart, rules_section, to_fix_first
from pipeline.documents.model import Block, Document, Figure, Section, Source, Text, say
from pipeline.documents.parts import share_of, total
from pipeline.documents.results import Results

Record = dict[str, Any]

PLACES = ("accepted", "rejected", "held", "set_aside")
"""Where a row that was read can be."""
CONTROL = ("read_usd", "on_jobs_usd", "spread_usd", "outside_usd", "refused_usd", "difference_usd")
SHORT_DIGEST = 12
"""Characters of a file's SHA-256 that are printed; the store has them all."""


def intake_document(results: Results) -> Document:
    """The intake report of a season, loaded or only checked."""
    sheets = results.rows("audit.intake")
    sections: list[Section] = []
    chart = rule_chart(results)
    if chart:
        sections.append(Section("pictures", "What stands in the way", (chart,)))
    sections.append(Section("sheets", "Every sheet, every row", _sheets(sheets)))
    sections.append(rules_section(results))
    sections.extend(corrections_section(results))
    sections.extend(intake_changes(results))
    sections.append(Section("control", "Money in, money out", _control(results)))
    sections.append(Section("files", "The files", _files(results)))
    sections.extend(list_section(results))
    sections.extend(_recognised(sheets))
    sections.append(closing_section(results, "intake", (wording.INTAKE_METHOD, wording.CONTROL_METHOD), ()))
    return Document(
        "intake", "What was read, and whether it can be trusted", results.season, results.firm,
        _lead(results, sheets), _figures(results, sheets), tuple(sections),
    )  # fmt: skip


def sums(sheets: list[Record]) -> Record:
    """Rows read and where they are, over all sheets."""
    return {key: total(sheet[key] for sheet in sheets) or 0 for key in ("rows_read", *PLACES)}


def adds_up(record: Record) -> bool:
    """Whether rows read = accepted + rejected + held + set aside."""
    return bool(record["rows_read"] == sum(record[place] for place in PLACES))


def _mark(record: Record) -> str:
    return "\N{CHECK MARK}" if adds_up(record) else "no"


def _sum_figure(key: str, whole: Record, results: Results, label: str = "") -> Figure:
    return figure(key, whole, Source("audit.intake", f"season={results.season}"), label=label or f"rows {key}")


def _figures(results: Results, sheets: list[Record]) -> tuple[Figure, ...]:
    if not sheets:
        return ()
    whole = sums(sheets)
    labels = {
        "rows_read": "rows read",
        "accepted": "accepted",
        "rejected": "rejected",
        "held": "held, since their job was not accepted",
    }
    return tuple(_sum_figure(key, whole, results, label) for key, label in labels.items())


def _lead(results: Results, sheets: list[Record]) -> Text:
    if not sheets:
        return Text(("No sheet with records of a season was found in the folder.",))
    whole = sums(sheets)
    records = whole["accepted"] + whole["rejected"] + whole["held"]
    share = Figure("refused_share", "records refused", share_of(whole["rejected"] + whole["held"], records), "share",
                   "of records", "(rejected + held) / (accepted + rejected + held)",
                   Source("audit.intake", f"season={results.season}"))  # fmt: skip
    return say("{} {}", _verdict(results, sheets, whole, share), to_fix_first(results))


def _verdict(results: Results, sheets: list[Record], whole: Record, share: Figure) -> Text:
    bad = [sheet for sheet in sheets if not adds_up(sheet)]
    if bad:
        return say("The season may not be trusted yet: the rows of {} do not add up.", _sheet_name(bad[0]))
    if any(r["difference_usd"] for r in results.rows("audit.control")):
        return Text(("The season may not be trusted yet: the money read in does not equal the money reported.",))
    limit = results.settings.number("reject_limit")
    rejected = share_of(whole["rejected"], whole["accepted"] + whole["rejected"] + whole["held"])
    if limit is not None and rejected is not None and rejected > limit:
        return say("The season may not be trusted yet: {} of the records are rejected or held.", share)
    totals = ", and every total agrees" if results.rows("audit.control") else "; it has not been loaded"
    if not whole["rejected"] + whole["held"]:
        return say("The season may be trusted: every record was accepted{}.", totals)
    return say("The season may be trusted: {} of the records are rejected or held{}.", share, totals)


def _sheet_name(sheet: Record) -> str:
    return f"{sheet['source_file']}, {sheet['source_sheet']}" if sheet["source_sheet"] else str(sheet["source_file"])


def _sheets(sheets: list[Record]) -> tuple[Block, ...]:
    if not sheets:
        return (missing("No sheet was recognised by its headings."),)
    columns = (
        words("sheet", "File and sheet"),
        words("record_table", "Read as"),
        *map(column, ("rows_read", *PLACES)),
        words("check", "Adds up", "whether rows read = accepted + rejected + held + set aside"),
    )
    shown = [
        s | {"sheet": _sheet_name(s), "check": _mark(s), "record_table": s["record_table"] or "no table"}
        for s in sheets
    ]
    rows = rows_by(shown, columns, "audit.intake", ("season", "source_file", "source_sheet", "record_table"))
    whole = sums(sheets)
    whole |= {"sheet": "All sheets", "record_table": "", "check": _mark(whole)}
    rows = (*rows, row(whole, columns, "all", Source("audit.intake"), strong=True))
    blocks: list[Block] = [table("sheets", "Rows read and where each is", columns, rows)]
    blocks += _left_out(sheets)
    return tuple(blocks)


def _recognised(sheets: list[Record]) -> tuple[Section, ...]:
    """Why each sheet was taken for what it was: those that were taken for nothing come first."""
    shown = [s | {"sheet": _sheet_name(s), "table": s["record_table"] or "no table"} for s in sheets if s.get("note")]
    if not shown:
        return ()
    shown.sort(key=lambda s: s["record_table"] is not None)
    columns = (words("sheet", "File and sheet"), words("table", "Read as"), prose("note", "Why"))
    rows = rows_by(shown, columns, "audit.intake", ("sheet", "part"))
    text = table("recognised", "What each sheet was taken for, by its headings", columns, rows)
    return (Section("recognised", "How each sheet was recognised", (text,)),)


def _left_out(sheets: list[Record]) -> list[Block]:
    shown = [{"sheet": _sheet_name(s), "left_out": s["left_out"]} for s in sheets if s.get("left_out")]
    if not shown:
        return []
    columns = (words("sheet", "File and sheet"), prose("left_out", "Columns left out, and why"))
    rows = rows_by(shown, columns, "audit.intake", ("sheet",))
    return [table("left_out", "Columns that were not read", columns, rows)]


def _control(results: Results) -> tuple[Block, ...]:
    records = results.rows("audit.control")
    if not records:
        return (missing("Nothing was loaded, so there is no money to add up yet."),)
    columns = (words("place", "Branch"), words("part", "Part of cost"), *map(column, CONTROL))
    shown = [r | {"place": "no one branch" if r["branch"] == "all" else r["branch"]} for r in records]
    rows = rows_by(shown, columns, "audit.control", ("season", "branch", "part"))
    whole: Record = {key: total(r[key] for r in records) for key in CONTROL}
    source = Source("audit.control", f"season={results.season}")
    rows = (*rows, row(whole | {"place": "All", "part": ""}, columns, "sum", source, strong=True))
    return (table("control", "Each part of cost, to the cent", columns, rows),)


def _files(results: Results) -> tuple[Block, ...]:
    records = file_records(results)
    if not records:
        return (missing("The files' digests are written down when a season is loaded."),)
    columns = without_empty(
        (words("path", "File"), column("rows_read", heading="Rows"), words("digest", "SHA-256, its start")), records
    )
    rows = rows_by(records, columns, "audit.files", ("path",))
    return (table("files", "Files of this season", columns, rows),)


def file_records(results: Results) -> list[Record]:
    """The files of the season with the start of their digest."""
    return [
        {"path": r["path"], "rows_read": r["rows"], "digest": str(r["sha256"])[:SHORT_DIGEST]}
        for r in sorted(results.rows("audit.files"), key=lambda r: str(r["path"]))
    ]
