"""Every kind of cell of a workbook becomes a text that says its value, or one that no field can be read from."""

from __future__ import annotations

from datetime import date, datetime
from pathlib import Path

import openpyxl
import pytest
import xlsxwriter

from pipeline.workbook.cells import SheetCells
from pipeline.workbook.opening import open_sheets
from pipeline.workbook.silent_cells import WITHOUT_A_RESULT


def first_row(path: Path) -> tuple[str | None, ...]:
    sheets = list(open_sheets(path, path.read_bytes()))
    assert isinstance(sheets[0], SheetCells)
    return sheets[0].cells.row(0)


@pytest.mark.parametrize("counts_from_1904", [False, True])
def test_dates_and_clocks_are_the_same_from_either_epoch(tmp_path: Path, counts_from_1904: bool) -> None:
    path = tmp_path / "a.xlsx"
    with xlsxwriter.Workbook(path, {"date_1904": counts_from_1904}) as book:
        sheet = book.add_worksheet()
        cells = [
            (date(2025, 11, 14), "yyyy-mm-dd"),
            (datetime(2025, 11, 14, 9, 30), "m/d/yy h:mm"),
            # 31 h 5 min is 1865 of a day's 1440 minutes.
            (1865 / 1440, "[h]:mm"),
            (1865 / 1440, "h:mm"),
            (6.5 / 24, "h:mm"),
            (24 / 24, "[h]:mm"),
            (100.25 / 24, "[h]:mm:ss"),
            (-5 / 24, "[h]:mm"),
        ]
        for column, (value, form) in enumerate(cells):
            sheet.write(0, column, value, book.add_format({"num_format": form}))
    clocks = ("31:05", "31:05", "6:30", "24:00", "100:15", "-5:00")
    assert first_row(path) == ("2025-11-14", "2025-11-14T09:30:00", *clocks)


def test_a_formula_that_was_never_calculated_is_not_taken_for_a_blank_cell(tmp_path: Path) -> None:
    path = tmp_path / "a.xlsx"
    book = openpyxl.Workbook()
    book.active.append(["=1+1", 7, "=A1&B1", None])
    book.save(path)
    assert first_row(path)[:3] == (WITHOUT_A_RESULT, "7", WITHOUT_A_RESULT)


def test_errors_beyond_the_last_other_cell_are_rows_and_columns_of_the_sheet(tmp_path: Path) -> None:
    path = tmp_path / "a.xlsx"
    with xlsxwriter.Workbook(path) as book:
        for name, places in (("one", [(0, 2), (3, 1)]), ("two", [(1, 1)])):
            sheet = book.add_worksheet(name)
            for row, column in places:
                sheet.write_formula(row, column, "=NA()", None, "#N/A")
            if name == "one":
                sheet.write(0, 0, "Feet")
    one, two = (cells.cells.rows() for cells in open_sheets(path, path.read_bytes()) if isinstance(cells, SheetCells))
    assert one == [("Feet", None, "#N/A"), (None,) * 3, (None,) * 3, (None, "#N/A", None)]
    assert two == [(None, None), (None, "#N/A")]


def test_numbers_kept_as_text_and_truths_stay_what_they_are(tmp_path: Path) -> None:
    path = tmp_path / "a.xlsx"
    with xlsxwriter.Workbook(path) as book:
        sheet = book.add_worksheet()
        for column, text in enumerate(["0042", "1,250", "12.50", " 7 "]):
            sheet.write_string(0, column, text)
        sheet.write_boolean(0, 4, True)
        sheet.write_boolean(0, 5, False)
        sheet.write_number(0, 6, 1)
    assert first_row(path) == ("0042", "1,250", "12.50", "7", "TRUE", "FALSE", "1")
