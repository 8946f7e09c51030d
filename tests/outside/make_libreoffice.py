"""Makes tests/outside/libreoffice/: the small season saved by LibreOffice in every format that we read.

    PYTHONPATH=tests:. python tests/outside/make_libreoffice.py

needs `soffice` (Debian: libreoffice-calc). The tests read the files that are kept; nothing in them needs LibreOffice.
"""

from __future__ import annotations

import shutil
import subprocess
from datetime import datetime
from pathlib import Path
from tempfile import TemporaryDirectory

import xlsxwriter
from support.sheets import Grid, grid, summed, typed
from support.small_season import Season, small_season
from support.workbooks import FORMATS
from xlsxwriter.workbook import Workbook
from xlsxwriter.worksheet import Worksheet

from pipeline.vocabulary import Field

OUT = Path(__file__).parent / "libreoffice"
IN_1904 = ("trips", "purchases", "quotes")
"""Tables of the workbook that counts its epoch."""
HIDDEN, FILTERED, MERGED = "settings", "trips", "runs"
FOREIGN: Grid = [["Menu for the party"], ["Soup", 12], ["Bread", True], ["Left over", "=1/0"]]
CREATED = datetime(2026, 3, 1)
EVERY_SHEET_AS_SHOWN = "csv:Text - txt - csv (StarCalc):44,34,76,1,,0,false,true,true,false,false,-1"
"""Commas, double quotes, UTF-8, from the first row on, cells as shown, a file a sheet."""
UNITS = {"spacing_in": "Spacing [in]", "drive_miles": "Drive (miles)", "watts": "Watts each [W]"}


def heading(field: Field) -> str:
    """The field's heading, some with their unit."""
    return UNITS.get(field.name, field.heading)


def cells_of(name: str, season: Season) -> Grid:
    """A table under a title; a column that is not ours with errors in it; hours with a total past a day."""
    rows = season[name]
    head, *body = grid(name, rows, heading=heading, cell=typed)
    if name == "stock":
        # Numbers that somebody stored as text.
        body = [[str(cell) if isinstance(cell, float) else cell for cell in row] for row in body]
    if name == "materials":
        # A quantity that a formula no longer finds: this row cannot be read, and every format must say so.
        body.append([*body[0][:4], "=#REF!", *body[0][5:]])
    if name == "hours":
        body.append(grid(name, [summed(name, rows, "hours")], cell=typed)[1])
    title: Grid = [[f"Made Up Lights (invented): {name}"], []]
    errors = ["=1/0", "=NA()", None]
    return [*title, [*head, "Checked"], *([*row, errors[place % 3]] for place, row in enumerate(body))]


def write_sheet(book: Workbook, sheet: Worksheet, cells: Grid) -> None:
    """The cells, a text that begins with `=` as a formula."""
    formats = {kind: book.add_format({"num_format": text}) for kind, text in FORMATS.items()}
    for at, row in enumerate(cells):
        for column, value in enumerate(row):
            if isinstance(value, str) and not value.startswith("="):
                sheet.write_string(at, column, value)
            elif isinstance(value, str):
                sheet.write_formula(at, column, value, None, {"=1/0": "#DIV/0!", "=NA()": "#N/A"}.get(value, "#REF!"))
            elif value is not None:
                sheet.write(at, column, value, formats.get(type(value)))


def merge_runs(sheet: Worksheet, cells: Grid) -> None:
    """The two runs of a job share one cell with its number, as people merge it."""
    for at in range(3, len(cells) - 1, 2):
        sheet.merge_range(at, 0, at + 1, 0, cells[at][0])


def write_workbook(path: Path, season: Season, names: list[str], *, is_1904: bool, is_merged: bool) -> None:
    """A workbook of some tables, with a foreign sheet, a hidden one and filtered rows."""
    with xlsxwriter.Workbook(path, {"date_1904": is_1904}) as book:
        book.set_properties({"created": CREATED})
        for name in names:
            sheet, cells = book.add_worksheet(name), cells_of(name, season)
            write_sheet(book, sheet, cells)
            if name == MERGED and is_merged:
                merge_runs(sheet, cells)
            if name == HIDDEN:
                sheet.hide()
            if name == FILTERED:
                sheet.autofilter(2, 0, len(cells) - 1, 1)
                sheet.filter_column(1, "x == Maple")
                for at in range(3, len(cells)):
                    sheet.set_row(at, options={"hidden": cells[at][1] != "Maple"})
        write_sheet(book, book.add_worksheet("party"), FOREIGN)


def convert(source: Path, kind: str, folder: Path, profile: Path) -> None:
    """Have LibreOffice save a workbook in a format."""
    words = ["soffice", f"-env:UserInstallation={profile.as_uri()}", "--headless", "--convert-to", kind]
    subprocess.run([*words, "--outdir", str(folder), str(source)], check=True, capture_output=True)


def main() -> None:
    """Write every format anew."""
    season = small_season()
    rest = [name for name in season if name not in IN_1904]
    shutil.rmtree(OUT, ignore_errors=True)
    with TemporaryDirectory() as temporary:
        made = Path(temporary)
        for kind in ("xlsx", "xls", "ods", EVERY_SHEET_AS_SHOWN):
            # A CSV file cannot say which cells are merged.
            is_csv = kind.startswith("csv")
            write_workbook(made / "season.xlsx", season, rest, is_1904=False, is_merged=not is_csv)
            write_workbook(made / "epoch.xlsx", season, list(IN_1904), is_1904=True, is_merged=False)
            for name in ("season", "epoch"):
                convert(made / f"{name}.xlsx", kind, OUT / kind.partition(":")[0], made / "profile")


if __name__ == "__main__":
    main()
