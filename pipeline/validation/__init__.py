"""Text to typed records: one schema a table, rules across tables, and a reason for every row that falls out."""

from __future__ import annotations

from collections import defaultdict
from dataclasses import replace

import polars as pl

from pipeline.errors import TooMuchRejected, UsageError
from pipeline.settings import Settings, parse_setting
from pipeline.validation import agreement, goods, references
from pipeline.validation.checked import UNTOUCHED, Checked, build, rejected_share
from pipeline.validation.corrections import homes_of
from pipeline.validation.findings import Findings, column_labels
from pipeline.validation.keys import check_keys, check_repeats
from pipeline.validation.names import warn_of_near_names
from pipeline.validation.rows import ROW_CHECKS, fill_defaults, season_of
from pipeline.validation.schemas import cell_findings
from pipeline.validation.state import State
from pipeline.validation.typing import Spellings, Working, respell, spellings, type_sheets, wrong_order_dates
from pipeline.vocabulary import tables
from pipeline.workbook import FolderReading, SheetReading

__all__ = ["Checked", "check_folder", "rejected_share", "require_jobs"]

Sheets = dict[str, list[SheetReading]]


def check_folder(reading: FolderReading, season: int | None = None, branch: str | None = None) -> Checked:
    """Check every row of a folder.

    `season` is the year in which the season starts; without it most installations decide. With `branch` the rows of
    other branches are set aside. Raises UsageError where no sheet holds jobs or the season cannot be told.
    """
    sheets = _by_table(reading)
    if "jobs" not in sheets:
        raise UsageError(_no_jobs(reading))
    state = State({}, Findings(column_labels(reading.sheets)), homes=homes_of(reading))
    _report_sheets(reading, state.found)
    _read_settings(state, sheets)
    order = state.settings.text("date_order") or "mdy"
    _report_dates(sheets, state.found, order)
    spelled = _type(state, sheets, order)
    references.place_in_branches(state)
    others = references.keep_branch(state, branch) if branch is not None else {}
    state.season = season or season_of(state) or 0
    if not state.season:
        raise UsageError("no installation date could be read, so the season is not known; name it with --season.")
    _check_cells(state)
    _check_across(state)
    _check_totals(state, sheets, order, spelled)
    return build(state, reading, others)


def require_jobs(checked: Checked) -> None:
    """A season needs at least one accepted job. Raises TooMuchRejected where all fell out, UsageError without any."""
    if not checked.records["jobs"].is_empty():
        return
    why = checked.refused["jobs"]["why"]
    if why.is_empty():
        raise UsageError(f"no job of season {checked.season} was read; put the sheets of jobs into the folder.")
    raise TooMuchRejected(
        f"none of the {len(why)} jobs was accepted for season {checked.season}: nothing is loaded. The first fell out "
        f"by {why[0]}."
    )


def _by_table(reading: FolderReading) -> Sheets:
    sheets: Sheets = defaultdict(list)
    for sheet in reading.sheets:
        if sheet.table is not None and not sheet.is_untouched:
            sheets[sheet.table].append(sheet)
    return {name: sheets[name] for name in tables() if name in sheets}


def _no_jobs(reading: FolderReading) -> str:
    fields = tables()["jobs"].fields
    headings = ", ".join(fields[name].heading for name in tables()["jobs"].required)
    problems = [f"{sheet.file} {sheet.sheet}: {sheet.problem}" for sheet in reading.sheets if sheet.problem]
    blank = [sheet for sheet in reading.sheets if sheet.table == "jobs" and sheet.is_untouched]
    problems += [f"{sheet.file} {sheet.sheet}: {UNTOUCHED} jobs." for sheet in blank]
    problems += [file.problem for file in reading.files if file.problem]
    found = " " + " ".join(problems[:3]) if problems else ""
    return f"no sheet in {reading.folder} was recognised as jobs; its headings must include {headings}.{found}"


def _report_sheets(reading: FolderReading, found: Findings) -> None:
    found.of_reading(reading.troubles)
    for file in reading.files:
        if file.problem:
            found.of_sheet(file.path, "", "the_file_can_be_read", "error", file.problem, "save the file again")
    for sheet in reading.sheets:
        if sheet.problem:
            text = f"this sheet was set aside: {sheet.problem}"
            found.of_sheet(sheet.file, sheet.sheet, "the_table_of_a_sheet_is_certain", "error", text, "name the column")


def _read_settings(state: State, sheets: Sheets) -> None:
    """The settings that can be read; a row that cannot is rejected with the reason. They say how dates are read."""
    if "settings" not in sheets:
        return
    table = tables()["settings"]
    state.tables["settings"] = Working.of(table, type_sheets(table, sheets["settings"], "mdy"))
    state.reject("settings", cell_findings(state.tables["settings"], state.found))
    values, names = {}, {}
    for row in state.sound("settings").iter_rows(named=True):
        try:
            names[row["rid"]], values[row["rid"]] = parse_setting(row["setting"], row["value"])
        except UsageError as error:
            at = state.all("settings").filter(pl.col("rid") == row["rid"])
            state.error("settings", at, "value", "the_setting_can_be_read", str(error), "correct the setting")
    named = pl.col("rid").replace_strict(names, default=pl.col("setting"), return_dtype=pl.String)
    state.replace("settings", state.all("settings").with_columns(setting=named))
    check_keys(state, "settings")
    state.settings = Settings({names[rid]: values[rid] for rid in state.sound("settings")["rid"]})


def _report_dates(sheets: Sheets, found: Findings, order: str) -> None:
    """A column that mixes the two orders of day and month is reported: which of its other dates are meant is open."""
    for table, readings in sheets.items():
        dates = [name for name, field in tables()[table].fields.items() if field.kind == "date"]
        for sheet, name in ((sheet, name) for sheet in readings for name in dates):
            column = sheet.column(name)
            if column is None or not wrong_order_dates(column, sheet.words(name), order)[0]:
                continue
            # The texts that are known need not all stand in rows of this table.
            wrong, both = wrong_order_dates(column, sheet.cells[name], order)
            if wrong:
                text = (
                    f"column {column.letter} '{column.heading}' holds dates that only the other order of day and month "
                    f"can read ({wrong}; rejected), while date_order is {order}; {both} of its dates could be read in "
                    "either order"
                )
                how = "write these dates as 2025-11-14, or give the setting date_order"
                found.of_sheet(sheet.file, sheet.sheet, "dates_have_one_order", "warning", text, how)


def _type(state: State, sheets: Sheets, order: str) -> Spellings:
    """All tables typed, names in one spelling."""
    frames = {name: type_sheets(tables()[name], group, order) for name, group in sheets.items() if name != "settings"}
    spelled = spellings(frames)
    for name, frame in frames.items():
        state.tables[name] = Working.of(tables()[name], respell(tables()[name], frame, spelled))
    return spelled


def _check_cells(state: State) -> None:
    for name, working in state.tables.items():
        if name != "settings":
            state.reject(name, cell_findings(working, state.found))
    fill_defaults(state)
    # Rows kept twice go before a worker's day is added up.
    for name in state.tables:
        if name != "settings":
            check_keys(state, name)
            check_repeats(state, name)
    for name, check in ROW_CHECKS.items():
        if state.has(name):
            check(state)
    agreement.check_feet(state)


def _check_across(state: State) -> None:
    references.find_jobs(state)
    references.find_items(state)
    references.find_workers(state)
    if state.has("run_bulbs"):
        references.check_run_bulbs(state)
    goods.check_units(state)
    goods.check_scrap(state)
    if state.has("pay"):
        agreement.check_extra_pay(state)
    agreement.compare_feet(state)
    goods.compare_line_with_feet(state)
    goods.check_fit(state)
    agreement.compare_service(state)
    warn_of_near_names(state)


def _check_totals(state: State, sheets: Sheets, order: str, spelled: Spellings) -> None:
    for name, group in sheets.items():
        totals = [replace(sheet, cells=sheet.totals) for sheet in group if sheet.totals.height]
        if totals:
            agreement.check_totals(
                state, name, respell(tables()[name], type_sheets(tables()[name], totals, order), spelled)
            )
