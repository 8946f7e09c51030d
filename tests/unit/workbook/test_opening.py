"""Files of every format are opened; what cannot be opened says why."""

from __future__ import annotations

import zipfile
from datetime import date, datetime, time, timedelta
from pathlib import Path

import pytest
import xlsxwriter
from support.workbooks import write_ods, write_xlsx

from pipeline.workbook.cells import SheetCells
from pipeline.workbook.looking import Unreadable, filled_extent
from pipeline.workbook.opening import open_sheets


def opened(path: Path) -> dict[str, list[tuple[str | None, ...]]]:
    sheets = list(open_sheets(path, path.read_bytes()))
    return {sheet.name: sheet.cells.rows() for sheet in sheets if isinstance(sheet, SheetCells)}


def test_typed_cells_of_a_workbook_become_text_from_row_one_and_column_a_on(tmp_path: Path) -> None:
    row = [None, date(2025, 11, 14), datetime(2025, 11, 14, 9, 30), time(6, 30), timedelta(hours=31, minutes=5), 1042]
    path = write_xlsx(tmp_path / "a.xlsx", {"one": [[], row], "two": [["x", True, 6.5, -125.0]]})
    assert opened(path) == {
        "one": [(None,) * 6, (None, "2025-11-14", "2025-11-14T09:30:00", "6:30", "31:05", "1042")],
        "two": [("x", "TRUE", "6.5", "-125")],
    }


def test_formulas_give_their_last_value_and_error_cells_their_text(tmp_path: Path) -> None:
    path = tmp_path / "a.xlsx"
    with xlsxwriter.Workbook(path) as book:
        sheet = book.add_worksheet("Hours & miles")
        sheet.write_formula(0, 0, "=1+1", None, 2)
        sheet.write_formula(0, 1, '=A1&"x"', None, "2x")
        sheet.write_formula(0, 2, "=1/0", None, "#DIV/0!")
        sheet.write_formula(1, 3, "=NA()", None, "#N/A")
    assert opened(path) == {"Hours & miles": [("2", "2x", "#DIV/0!", None), (None, None, None, "#N/A")]}


def test_cells_merged_down_a_column_hold_their_value_in_every_row(tmp_path: Path) -> None:
    path = tmp_path / "a.xlsx"
    with xlsxwriter.Workbook(path) as book:
        sheet = book.add_worksheet("a")
        sheet.merge_range(0, 0, 2, 0, "Maple")
        sheet.write_column(0, 1, ["W01", "W02", "W03"])
        sheet.merge_range(4, 0, 4, 1, "a note across")
    assert opened(path)["a"] == [
        ("Maple", "W01"),
        ("Maple", "W02"),
        ("Maple", "W03"),
        (None, None),
        ("a note across", None),
    ]


def test_hidden_sheets_and_filtered_rows_are_read_and_chart_sheets_are_not(tmp_path: Path) -> None:
    path = tmp_path / "a.xlsx"
    with xlsxwriter.Workbook(path) as book:
        sheet = book.add_worksheet("shown")
        sheet.write_column(0, 0, [1, 2])
        sheet.set_row(1, options={"hidden": True})
        hidden = book.add_worksheet("hidden")
        hidden.write(0, 0, "x")
        hidden.hide()
        chart = book.add_chart({"type": "line"})
        chart.add_series({"values": "=shown!$A$1:$A$2"})
        book.add_chartsheet("chart").set_chart(chart)
    assert opened(path) == {"shown": [("1",), ("2",)], "hidden": [("x",)]}


def test_an_open_document_is_read_with_its_merges_and_long_durations(tmp_path: Path) -> None:
    cell = '<table:table-cell office:value-type="{0}" office:{1}="{2}"/>'
    text = '<table:table-cell{1} office:value-type="string"><text:p>{0}</text:p></table:table-cell>'
    rows = [
        text.format("Maple", ' table:number-rows-spanned="2" table:number-columns-spanned="1"')
        + cell.format("date", "date-value", "2025-11-14")
        + cell.format("time", "time-value", "PT06H30M00S"),
        "<table:covered-table-cell/>"
        + cell.format("float", "value", "1042")
        + cell.format("time", "time-value", "PT31H05M00S")
        + '<table:table-cell table:number-columns-repeated="16000"/>',
    ]
    # LibreOffice fills a sheet to its last row with one repeated blank one.
    end = '<table:table-row table:number-rows-repeated="1048000"><table:table-cell/></table:table-row>'
    body = "".join(f"<table:table-row>{row}</table:table-row>" for row in rows)
    path = write_ods(tmp_path / "a.ods", f'<table:table table:name="A">{body}{end}</table:table>')
    assert opened(path) == {"A": [("Maple", "2025-11-14", "6:30"), ("Maple", "1042", "31:05")]}


def test_error_cells_of_an_open_document_keep_their_text(tmp_path: Path) -> None:
    error = (
        '<table:table-cell{0} office:value-type="string" office:string-value="" calcext:value-type="error">'
        "<text:p>#DIV/0!</text:p></table:table-cell>"
    )
    number = '<table:table-cell office:value-type="float" office:value="1"/>'
    rows = number + error.format(' table:number-columns-repeated="2"') + number + error.format("") + number
    row = f"<table:table-row>{rows}</table:table-row>"
    path = write_ods(tmp_path / "a.ods", f'<table:table table:name="A">{row}</table:table>')
    assert opened(path) == {"A": [("1", "#DIV/0!", "#DIV/0!", "1", "#DIV/0!", "1")]}


def test_a_cell_in_the_far_corner_is_refused_before_a_library_opens_the_file(tmp_path: Path) -> None:
    # A library would reserve 1,048,576 x 16,384 cells and abort the whole process.
    path = tmp_path / "a.xlsx"
    with xlsxwriter.Workbook(path) as book:
        sheet = book.add_worksheet("Hours")
        sheet.write(0, 0, "Date")
        sheet.write(1_048_575, 16_383, "x")
    with pytest.raises(Unreadable, match="sheet 'Hours' spans more than 5 million cells"):
        opened(path)


def test_a_filled_row_repeated_a_million_times_is_refused(tmp_path: Path) -> None:
    row = (
        '<table:table-row table:number-rows-repeated="1000000"><table:table-cell table:number-columns-repeated="100" '
        'office:value-type="float" office:value="1"/></table:table-row>'
    )
    path = write_ods(tmp_path / "a.ods", f'<table:table table:name="A">{row}</table:table>')
    with pytest.raises(Unreadable, match="more than 5 million cells"):
        opened(path)


@pytest.mark.parametrize(
    ("xml", "extent"),
    [
        (b'<row r="1"><c r="A1"><v>1</v></c><c r="AMJ1" s="1"/></row><row r="1048576" ht="12"></row>', (1, 1)),
        (b'<row r="7"><c r="B7" s="1"></c><c r="C7" t="inlineStr"><is><t>x</t></is></c></row>', (7, 3)),
        (b'<x:row r="9"><x:c s="1"/><x:c><x:v>1</x:v></x:c></x:row><x:row><x:c><x:v>2</x:v></x:c></x:row>', (10, 2)),
        (b"<row r='1048576'><c><v>1</v></c></row>", (1_048_576, 1)),
    ],
)
def test_blank_rows_and_blank_cells_down_to_the_end_of_the_grid_are_no_extent(
    xml: bytes, extent: tuple[int, int]
) -> None:
    assert filled_extent(xml) == extent


def test_a_zip_that_unpacks_to_more_than_the_limit_is_refused(tmp_path: Path) -> None:
    path = tmp_path / "a.xlsx"
    with zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED) as archive, archive.open("xl/workbook.xml", "w") as part:
        for _ in range(513):
            part.write(b"\0" * 1024 * 1024)
    with pytest.raises(Unreadable, match="unpacks to more than 512 MB"):
        opened(path)


@pytest.mark.parametrize("name", ["a.xlsx", "a.xls", "a.ods"])
def test_a_file_that_is_no_workbook_is_refused_in_a_sentence(tmp_path: Path, name: str) -> None:
    (tmp_path / name).write_bytes(b"this is no workbook at all")
    with pytest.raises(Unreadable, match=r"it cannot be opened as a spreadsheet \(.*\); save it again as .xlsx."):
        opened(tmp_path / name)


def test_a_zip_that_is_no_workbook_is_refused(tmp_path: Path) -> None:
    with zipfile.ZipFile(tmp_path / "a.xlsx", "w") as archive:
        archive.writestr("letter.txt", "hello")
    with pytest.raises(Unreadable, match="it is a zip file but no workbook"):
        opened(tmp_path / "a.xlsx")
