"""Text to typed records: one schema a table, rules across tables, and a reason for every row that falls out."""

from __future__ import annotations

from collections import defaultdict
from dataclasses import replace

import polars as pl

from pipeline.errors import UsageError
from pipeline.settings import Settings, parse_setting
from pipeline.validation import goods, references
from pipeline.validation.checked import Checked, build, fill_defaults, rejected_share
from pipeline.validation.findings import Findings, column_labels
from pipeline.validation.rows import ROW_CHECKS, check_keys, check_repeats, season_of
from pipeline.validation.schemas import cell_findings
from pipeline.validation.state import State
from pipeline.validation.typing import fold, other_order_only, spellings, type_table
from pipeline.vocabulary import tables
from pipeline.workbook import FolderReading, SheetReading

__all__ = ["Checked", "check_folder", "rejected_share"]


def _by_table(reading: FolderReading) -> dict[str, list[SheetReading]]:
    sheets: dict[str, list[SheetReading]] = defaultdict(list)
    for sheet in reading.sheets:
        if sheet.table is not None:
            sheets[sheet.table].append(sheet)
    return {name: sheets[name] for name in tables() if name in sheets}


def _read_settings(state: State) -> None:
    """The settings that can be read; a row that cannot is rejected with the reason."""
    if not state.has("settings"):
        return
    given = {}
    for row in state.sound("settings").iter_rows(named=True):
        try:
            key, value = parse_setting(row["setting"], row["value"])
            given[key] = value
        except UsageError as error:
            at = state.all("settings").filter(pl.col("rid") == row["rid"])
            state.error("settings", at, "value", "the_setting_can_be_read", str(error), "correct the setting")
    state.settings = Settings(given)


def _report_sheets(reading: FolderReading, found: Findings) -> None:
    for file in reading.files:
        if file.problem:
            found.of_sheet(file.path, "", "the_file_can_be_read", "error", file.problem, "save the file again")
    for sheet in reading.sheets:
        if sheet.problem:
            text = f"this sheet was set aside: {sheet.problem}"
            found.of_sheet(sheet.file, sheet.sheet, "the_table_of_a_sheet_is_certain", "error", text, "name the column")


def _report_dates(sheets: dict[str, list[SheetReading]], found: Findings, order: str) -> None:
    for table, readings in sheets.items():
        dates = [name for name, field in tables()[table].fields.items() if field.kind == "date"]
        for sheet in readings:
            for name in dates:
                column = sheet.column(name)
                if column and other_order_only(sheet.cells[name], order):
                    found.of_sheet(
                        sheet.file,
                        sheet.sheet,
                        "dates_have_one_order",
                        "warning",
                        f"column {column.letter} '{column.heading}' holds a date that only the other order of day and "
                        f"month can read, while date_order is {order}",
                        "write these dates as 2025-11-14, or give the setting date_order",
                    )


def _branch_only(reading: FolderReading, branch: str) -> FolderReading:
    """The reading with the rows of other branches set aside."""
    sheets = []
    for sheet in reading.sheets:
        if sheet.table is None or sheet.column("branch") is None:
            sheets.append(sheet)
            continue
        folded = sheet.cells["branch"].map_elements(fold, return_dtype=pl.String)
        other = (folded != fold(branch)).fill_null(False)
        aside = sheet.cells.filter(other).select("source_row", why=pl.lit("another branch"))
        sheets.append(replace(sheet, cells=sheet.cells.filter(~other), set_aside=pl.concat([sheet.set_aside, aside])))
    return replace(reading, sheets=tuple(sheets))


def check_folder(reading: FolderReading, season: int | None = None, branch: str | None = None) -> Checked:
    """Check every row of a folder.

    `season` is the year in which the season starts; without it most installations decide. With `branch` the rows of
    other branches are set aside. Raises UsageError where no sheet holds jobs or the season cannot be told.
    """
    if branch is not None:
        reading = _branch_only(reading, branch)
    sheets = _by_table(reading)
    found = Findings(column_labels(reading.sheets))
    _report_sheets(reading, found)
    if "jobs" not in sheets:
        raise UsageError(
            f"no sheet in {reading.folder} was recognised as jobs; its headings must include "
            + ", ".join(tables()["jobs"].fields[name].heading for name in tables()["jobs"].required)
            + "."
        )
    canon = spellings([sheet for group in sheets.values() for sheet in group])
    first = {name: type_table(tables()[name], sheets[name], "mdy", canon) for name in ("settings",) if name in sheets}
    state = State(first, found)
    _read_settings(state)
    order = state.settings.text("date_order") or "mdy"
    _report_dates(sheets, found, order)
    for name, group in sheets.items():
        if name not in state.tables:
            state.tables[name] = type_table(tables()[name], group, order, canon)
    state.season = season or season_of(state) or 0
    if not state.season:
        raise UsageError("no installation date could be read, so the season is not known; name it with --season.")
    _check_rows(state)
    _check_across(state, sheets, order, canon)
    checked = build(state, reading)
    if checked.records["jobs"].is_empty():
        raise UsageError(
            f"no job of {reading.folder} was accepted for season {state.season}; `perfoot check` writes why."
        )
    return checked


def _check_rows(state: State) -> None:
    for name, working in state.tables.items():
        state.reject(name, cell_findings(working, state.found))
    fill_defaults(state)
    for name, check in ROW_CHECKS.items():
        if state.has(name):
            check(state)
    goods.check_feet(state)


def _check_across(state: State, sheets: dict[str, list[SheetReading]], order: str, canon: dict) -> None:
    check_keys(state, "jobs")
    references.find_jobs(state)
    for name in state.tables:
        if name != "jobs":
            check_keys(state, name)
            check_repeats(state, name)
    references.find_items(state)
    references.find_workers(state)
    references.hold_bulbs_without_runs(state)
    references.warn_of_near_names(state)
    goods.check_units(state)
    goods.check_scrap(state)
    goods.check_extra_pay(state)
    goods.compare_feet(state)
    goods.compare_line_with_feet(state)
    goods.check_fit(state)
    goods.compare_service(state)
    totals = {
        name: [
            type_table(tables()[name], [replace(sheet, cells=sheet.totals)], order, canon).frame
            for sheet in group
            if sheet.totals.height
        ]
        for name, group in sheets.items()
    }
    goods.check_totals(state, totals)
