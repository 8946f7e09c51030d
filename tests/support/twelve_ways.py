"""Twelve ways in which people write one season down."""

from __future__ import annotations

import random
from collections.abc import Callable
from datetime import date
from decimal import Decimal
from pathlib import Path

from support import sheets
from support.sheets import Grid, Merge
from support.small_season import Record, Season, Value

from pipeline.vocabulary import Field, tables

TOTALS = {"jobs": "invoiced", "hours": "hours", "runs": "feet", "overheads": "amount", "receipts": "amount",
          "trips": "miles", "purchases": "paid", "pay": "amount"}  # fmt: skip
"""A measure of each table that people sum up under it."""


def one_csv_a_table(season: Season, folder: Path) -> None:
    """A plain CSV file a table, under the fields' own headings."""
    for name, rows in season.items():
        sheets.write_csv(folder / f"{name}.csv", sheets.grid(name, rows))


def semicolons_and_european_dates(season: Season, folder: Path) -> None:
    """Windows-1252 with semicolons, the day first, and a setting that says so."""
    given = season | {"settings": [*season["settings"], {"setting": "date_order", "value": "dmy"}]}
    for name, rows in given.items():
        cells = sheets.grid(name, rows, cell=sheets.dated(sheets.european))
        sheets.write_csv(folder / f"{name} 2025.csv", cells, delimiter=";", encoding="cp1252")


def tabs_and_utf_16(season: Season, folder: Path) -> None:
    """UTF-16 with tabs, as a spreadsheet saves `Unicode text`; the month first; a folder a table."""
    for name, rows in season.items():
        (folder / name).mkdir()
        cells = sheets.grid(name, rows, cell=sheets.dated(sheets.american))
        sheets.write_csv(folder / name / "Unicode text.csv", cells, delimiter="\t", encoding="utf-16", end="\n")


def one_workbook(season: Season, folder: Path) -> None:
    """One workbook with a sheet a table; numbers, dates, durations and Booleans are a spreadsheet's own."""
    book = {
        f"Sheet {place}": sheets.grid(name, rows, cell=sheets.typed)
        for place, (name, rows) in enumerate(season.items())
    }
    sheets.write_book(folder / "season.xlsx", book)


def _dressed(name: str, rows: list[Record]) -> tuple[Grid, list[Merge]]:
    """A table with titles above, blank columns and rows, subtotals, a total, and a note under it."""
    cells: Grid = [["Made Up Lights (invented)"], [f"All {name}, checked by the office"], []]
    summed = TOTALS.get(name)
    head, *body = sheets.grid(name, rows, cell=sheets.typed)
    cells.append([None, *head[:2], None, *head[2:]])
    merges = []
    for place, row in enumerate(body):
        if place and place % 9 == 0:
            cells.append([])
        cells.append([None, *row[:2], None, *row[2:]])
        half = len(rows) // 2
        if summed and place + 1 in (half, len(rows)):
            part = rows[:half] if place + 1 == half else rows[half:]
            total = sheets.grid(name, [sheets.summed(name, part, summed)], cell=sheets.typed)[1]
            total[0] = "Sub-total"
            cells.append([None, *total[:2], None, *total[2:]])
        if name == "runs" and place % 2 and cells[-2][1:2] == row[:1]:
            merges.append((len(cells) - 2, 1, len(cells) - 1, 1))
    if summed:
        total = sheets.grid(name, [sheets.summed(name, rows, summed)], cell=sheets.typed)[1]
        cells.append([None, *total[:2], None, *total[2:]])
    return [*cells, [], [None, "Ask the office before changing anything here."]], merges


def titles_notes_and_totals(season: Season, folder: Path) -> None:
    """Workbooks as they are printed; the two runs of a job share one merged cell with its number."""
    for name, rows in season.items():
        cells, merges = _dressed(name, rows)
        sheets.write_book(folder / f"{name}.xlsx", {"Print": cells}, {"Print": merges})


def _synonym(field: Field) -> str:
    return field.also[0].title() if field.also else field.heading


def _other_word(field: Field, value: Value) -> object:
    words = (field.words or {}).get(str(value), ())
    return words[0].upper() if words and field.kind == "choice" else sheets.plain(field, value)


def synonyms_in_another_order(season: Season, folder: Path) -> None:
    """Another word for every heading and for every choice; the columns from right to left; UTF-8 with a mark."""
    for name, rows in season.items():
        order = list(tables()[name].fields)[::-1]
        cells = sheets.grid(name, rows, heading=_synonym, cell=_other_word, order=order)
        sheets.write_csv(folder / f"{name}.csv", cells, encoding="utf-8-sig")


UNIT_IN_HEADING = {"hours": "min", "inches": "ft", "share": "%"}


def _heading_with_unit(field: Field) -> str:
    if field.name == "feet" and field.example == "164.5":
        return "Feet (in)"
    unit = UNIT_IN_HEADING.get(field.kind)
    return f"{field.heading.removesuffix(' in')} [{unit}]" if unit else field.heading


def _with_unit(field: Field, value: Value) -> object:
    """The value in the unit of its heading, else with its unit behind it."""
    if isinstance(value, date):
        return f"{value.day}-{value:%b}-{value:%y}"
    if not isinstance(value, Decimal | int) or isinstance(value, bool) or field.kind == "season":
        return sheets.plain(field, value)
    number = f"{Decimal(value).normalize():f}"
    if field.name == "feet" and field.example == "164.5":
        return f"{(value * 12).normalize():f}"
    forms: dict[str, Callable[[], str]] = {
        "money": lambda: f"${value:,.2f}",
        "feet": lambda: sheets.feet_and_inches(Decimal(value)),
        "hours": lambda: f"{round(Decimal(value) * 60, 6).normalize():f}",
        "inches": lambda: f"{(Decimal(value) / 12).normalize():f}",
        "slope": lambda: f"{number}/12",
        "share": lambda: f"{(Decimal(value) * 100).normalize():f}",
        "miles": lambda: f"{number} mi",
    }
    if form := forms.get(field.kind):
        return form()
    return f"{number} {field.unit}" if field.unit else number


def _moved_with_unit(row: Record) -> Record:
    quantity = sheets.plain(tables()["materials"].fields["quantity"], row["quantity"])
    return row | {"quantity": f"{quantity} {row['unit']}", "unit": None}


def other_units(season: Season, folder: Path) -> None:
    """Feet in inches or as 120' 6\", hours in minutes, spacings in feet, shares in per cent, units behind numbers."""
    given = season | {"materials": [_moved_with_unit(row) for row in season["materials"]]}
    book = {name: sheets.grid(name, rows, heading=_heading_with_unit, cell=_with_unit) for name, rows in given.items()}
    sheets.write_book(folder / "in other units.xlsx", book)


SHEETS = ((("hours", "trips", "pay"), ("jobs", "workers"), ("overheads", "settings")),
          (("runs", "connections", "run_bulbs"), ("materials", "stock"), ("items",)),
          (("service_calls", "quotes"), ("receipts", "equipment", "purchases", "offers")))  # fmt: skip
"""Tables by sheet, by band from top to bottom, from left to right."""


def beside(grids: list[Grid]) -> Grid:
    """Grids side by side, a blank column between them."""
    height = max(map(len, grids))
    rows: Grid = [[] for _ in range(height)]
    for cells in grids:
        width = max(map(len, cells))
        for at in range(height):
            row = cells[at] if at < len(cells) else []
            rows[at] += [*row, *[None] * (width - len(row) + 1)]
    return rows


def side_by_side_and_below(season: Season, folder: Path) -> None:
    """Several tables on a sheet: side by side, and others below them."""
    book: dict[str, Grid] = {}
    for place, bands in enumerate(SHEETS):
        cells: Grid = [["All that we keep"], []]
        for names in bands:
            cells += beside([sheets.grid(name, season[name], cell=sheets.typed) for name in names])
            cells += [[], []]
        book[f"Page {place + 1}"] = cells
    sheets.write_book(folder / "pages.xlsx", book)


def open_document(season: Season, folder: Path) -> None:
    """An OpenDocument workbook of typed cells."""
    book = {name: sheets.grid(name, rows, cell=sheets.typed) for name, rows in season.items()}
    sheets.write_open_document(folder / "season.ods", book)


def _two_rows(name: str, rows: list[Record]) -> tuple[Grid, list[Merge]]:
    """Headings in two rows: `Install` over `date`; a band over columns whose headings are one word."""
    (head, *body), upper, lower = sheets.grid(name, rows, cell=sheets.typed), [], []
    merges: list[Merge] = []
    for at, heading in enumerate(map(str, head)):
        first, _, rest = heading.partition(" ")
        if rest:
            upper.append(first)
            lower.append(rest)
            continue
        starts = not upper or (upper[-1] is not None and lower[-1] != head[at - 1])
        upper.append("Details" if starts else None)
        lower.append(heading)
        if not starts:
            left = max(place for place in range(at) if upper[place] == "Details")
            merges = [merge for merge in merges if merge[1] != left] + [(0, left, 0, at)]
    return [upper, lower, *body], merges


def headings_in_two_rows(season: Season, folder: Path) -> None:
    """Headings in two rows, the upper one merged over several columns."""
    for name, rows in season.items():
        cells, merges = _two_rows(name, rows)
        sheets.write_book(folder / f"{name}.xlsx", {"Sheet1": cells}, {"Sheet1": merges})


def _split_by(name: str, row: Record) -> str:
    if name == "hours":
        return f"week {row['work_date'].isocalendar().week}"  # type: ignore[union-attr]
    return str(row.get("crew") or row.get("branch") or "all")


def many_files(season: Season, folder: Path) -> None:
    """A file a week of hours, a crew, a branch; rows in any order; headings printed again after the tenth row."""
    rng = random.Random(2025)
    for name, rows in season.items():
        parts: dict[str, list[Record]] = {}
        for row in rows:
            parts.setdefault(_split_by(name, row), []).append(row)
        for part, own in parts.items():
            # A raise stands below the wage that it raises, and inherits from it.
            some = own if name == "workers" else rng.sample(own, len(own))
            head, *body = sheets.grid(name, some)
            cells = [head, *body[:10], *([head, *body[10:]] if len(body) > 10 else [])]
            (folder / part).mkdir(exist_ok=True)
            sheets.write_csv(folder / part / f"{name}.csv", cells)


def _as_text(field: Field, value: Value) -> object:
    """Everything as text: serial dates, leading zeros, curly quotes, non-breaking spaces, letters of the other case."""
    if isinstance(value, date):
        return sheets.serial(value)
    if isinstance(value, bool):
        return "TRUE" if value else "FALSE"
    if field.kind == "feet" and isinstance(value, Decimal):
        return sheets.feet_and_inches(value).replace("'", "\u2019").replace('"', "\u201d").replace(" ", "\u00a0")
    text = sheets.plain(field, value)
    if text is None or field.kind in ("text", "name"):
        return text
    if field.kind == "code":
        return f"000{text}.0" if text.isdigit() else f" {text.lower()}\u00a0"
    return text.replace("_", " ").upper() if field.kind == "choice" else f"\u00a0{text}"


def all_as_text(season: Season, folder: Path) -> None:
    """A workbook in which every cell is text."""

    def heading(field: Field) -> str:
        return field.heading.upper().replace(" ", "\u00a0\n")

    book = {name: sheets.grid(name, rows, heading=heading, cell=_as_text) for name, rows in season.items()}
    sheets.write_book(folder / "text.xlsx", book)


WAYS = (one_csv_a_table, semicolons_and_european_dates, tabs_and_utf_16, one_workbook, titles_notes_and_totals,
        synonyms_in_another_order, other_units, side_by_side_and_below, open_document, headings_in_two_rows,
        many_files, all_as_text)  # fmt: skip
