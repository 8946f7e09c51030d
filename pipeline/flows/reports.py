"""From the store to the reports' files: the documents of a season, written beside each other."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from concurrent.futures import Future, ThreadPoolExecutor
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING, Any

from pipeline.flows.indexing import write_index
from pipeline.flows.rejects import write_rejects_workbook
from pipeline.flows.stages import SeasonInHand, StageResult, commit
from pipeline.flows.writing import write_bytes_whole, write_whole

if TYPE_CHECKING:
    from pipeline.documents.model import Document
    from pipeline.documents.results import Results
    from pipeline.render import SeasonBook

THIS_SEASON = (
    "measures.job_cost", "measures.season_cost", "measures.segment_cost", "measures.task_hours",
    "measures.service_cost", "measures.crew_hours", "measures.connection_failures", "measures.failure_causes",
    "measures.failure_groups", "measures.failure_weeks", "measures.failure_dispersion", "measures.failure_repeats",
    "measures.call_times", "measures.item_use", "measures.season_level", "facts.job_hours", "facts.closing_stock",
    "measures.missing_costs", "measures.goods_outside_jobs", "measures.goods_beyond_built", "measures.leased_schedule",
    "audit.goods_findings",
    "audit.control", "audit.intake", "audit.findings", "audit.files",
    "audit.corrections", "records.items", "records.offers", "records.service_calls",
    "decisions.offcut", "decisions.cut_list",
    "decisions.crew_comparison", "decisions.crew_contrasts", "decisions.crew_jobs", "decisions.crew_model",
    "decisions.crew_residuals", "decisions.crew_learning", "decisions.hours_multipliers", "measures.crew_hours_mix",
    "decisions.connection_price",
    "measures.standard_cost", "measures.variances", "measures.cash_months", "measures.goods_changes",
    "decisions.season_changes",
    "decisions.cost_function", "decisions.cost_limits", "decisions.cost_by_size",
    "facts.feed_runs", "measures.feed_loads", "measures.circuit_loads", "measures.installation_days",
    "decisions.feed_reach", "decisions.feeds_to_split", "decisions.feed_faults",
    "decisions.connection_ratios", "decisions.failure_terms", "decisions.gap_crossings",
)  # fmt: skip
"""Tables that the documents read, this season's rows."""

NEXT_SEASON = (
    "decisions.order_lines", "decisions.order_drivers", "decisions.order_backtest", "decisions.spool_plan",
    "decisions.price_table", "decisions.rate_card",
    "decisions.break_even", "decisions.cash_plan", "decisions.price_response", "decisions.good_prices",
    "decisions.price_outlook",
    "decisions.cost_forecast", "decisions.price_again", "decisions.card_segments", "decisions.price_moves",
    "decisions.renewals",
)  # fmt: skip
"""Tables that speak of the season after."""

EVERY_SEASON = (
    "measures.season_cost", "measures.segment_cost", "measures.crew_hours", "decisions.crew_comparison",
    "measures.crew_hours_mix", "decisions.offcut", "decisions.order_lines", "audit.intake",
)  # fmt: skip
"""Tables of which the documents read every season."""


def results_of(hand: SeasonInHand) -> Results:
    """All that the documents may speak of, read from the store within the season's transaction."""
    from pipeline.documents.results import Results

    assert hand.checked is not None
    store = hand.open_store
    tables = {name: hand.read(name) for name in THIS_SEASON}
    tables |= {name: store.read(name, hand.season + 1) for name in NEXT_SEASON}
    tables |= {f"all:{name}": hand.read_all(name) for name in EVERY_SEASON}
    level = tables["measures.season_level"].get_column("level")
    return Results(
        season=hand.season,
        firm=hand.checked.settings.text("firm"),
        level=int(level[0]) if len(level) else 1,
        tables=tables,
        settings=hand.checked.settings,
        notes=hand.notes,
    )


def write_documents(
    documents: tuple[Document, ...], folder: Path, *others: Callable[[], dict[str, Path]]
) -> dict[str, Path]:
    """Each document as a page and on paper, every printed figure in figures.json, and what `others` write while the
    papers are being set. Returns the files by name; an error of any of them is raised here."""
    from pipeline.render import pages_beside, start_pdf, write_figures, write_html

    written: dict[str, Path] = {}
    with ThreadPoolExecutor(max_workers=1) as press:
        papers: dict[Path, Future[bytes]] = {}
        for document in documents:
            page, paper = folder / f"{document.name}.html", folder / f"{document.name}.pdf"
            write_whole(page, partial(write_html, document, beside=pages_beside(documents, document)))
            papers[paper] = start_pdf(document, press)
            written |= {document.name: page, f"{document.name}-pdf": paper}
        written["figures"] = folder / "figures.json"
        write_whole(written["figures"], partial(write_figures, documents))
        for write in others:
            written |= write()
        for paper, content in papers.items():
            write_bytes_whole(paper, content.result())
    return written


def season_book(hand: SeasonInHand, results: Results) -> SeasonBook:
    """The season's measures and decisions, read from the store within its transaction where the documents have not
    read them, and what they rest on."""
    from pipeline.documents.season_tables import result_files, season_sheets
    from pipeline.render import SeasonBook

    assert hand.checked is not None
    frames = {
        name: results.tables[name]
        if name in results.tables
        else hand.open_store.read(name, hand.season + (name in NEXT_SEASON))
        for name in result_files()
    }
    return SeasonBook(
        season=hand.season,
        firm=hand.checked.settings.text("firm"),
        sheets=season_sheets(frames),
        documents=hand.documents,
        files=tuple(results.tables["audit.files"].to_dicts()),
        settings=tuple(hand.checked.settings.rows()),
    )


def write_season_book(book: SeasonBook, folder: Path) -> dict[str, Path]:
    """season.xlsx."""
    from pipeline.render import write_season_workbook

    path = folder / "season.xlsx"
    write_whole(path, partial(write_season_workbook, book))
    return {"season": path}


def write_order_workbook(results: Results, folder: Path) -> dict[str, Path]:
    """order.xlsx where something is to be ordered; an older one goes where nothing is."""
    from pipeline.documents.buyer_order import order_book
    from pipeline.render.order_workbook import write_order

    path = folder / "order.xlsx"
    order = order_book(results)
    if order is None:
        path.unlink(missing_ok=True)
        return {}
    write_whole(path, lambda part: write_order(order, part))
    return {"order": path}


def season_folder(out: Path, season: int) -> Path:
    """Where a season's reports go."""
    return out / "reports" / str(season)


def reports(hand: SeasonInHand) -> StageResult:
    """Make the documents, end the season's transaction, and write the files."""
    from pipeline.documents import build_documents

    results = results_of(hand)
    hand.documents = build_documents(results)
    book = season_book(hand, results)
    commit(hand)
    folder = season_folder(hand.request.out, hand.season)
    hand.written = write_documents(
        hand.documents, folder,
        partial(write_season_book, book, folder),
        partial(write_order_workbook, results, folder),
        partial(write_rejects_workbook, hand, folder),
    )  # fmt: skip
    hand.written |= write_index(folder.parent)
    return StageResult(f"{len(hand.written)} files in {season_folder(hand.request.out, hand.season)}")


def summary(documents: tuple[Document, ...], written: dict[str, Path]) -> str:
    """What a person reads in the terminal: each document's answer, its figures, and where its page is."""
    lines = []
    for document in documents:
        lines += ["", f"{document.title}", f"  {document.lead}"]
        lines.append(f"  {written[document.name]}, and {written[f'{document.name}-pdf'].name} to print")
    if "season" in written:
        lines += ["", "Every measure and decision as a table", f"  {written['season']}"]
    if "order" in written:
        lines += ["", "The order by supplier, as a workbook", f"  {written['order']}"]
    if "rejects" in written:
        lines += ["", "Rows to put right: change the marked cells, put the file into the season's folder, run again"]
        lines.append(f"  {written['rejects']}")
    if "index" in written:
        lines += ["", "All seasons", f"  {written['index']}"]
    return "\n".join(lines)


SHEET_KEYS = {
    "source_file": "file",
    "source_sheet": "sheet",
    "part": "part",
    "record_table": "table",
    "rows_read": "read",
    "accepted": "accepted",
    "rejected": "rejected",
    "held": "held",
    "set_aside": "set_aside",
    "note": "why",
}
FINDING_KEYS = {
    "source_file": "file",
    "source_sheet": "sheet",
    "source_row": "row",
    "column_name": "column",
    "value": "value",
    "rule": "rule",
    "severity": "severity",
    "message": "message",
    "remedy": "remedy",
}
"""Keys of `check --json`, by the columns of audit.intake and audit.findings."""


def intake_json(sheets: Iterable[Mapping[str, Any]], findings: Iterable[Mapping[str, Any]]) -> dict[str, Any]:
    """What was read and what was found, for a program: a list of sheets and a list of findings."""
    return {
        "sheets": [{said: sheet[key] for key, said in SHEET_KEYS.items()} for sheet in sheets],
        "findings": [{said: finding[key] for key, said in FINDING_KEYS.items()} for finding in findings],
    }
