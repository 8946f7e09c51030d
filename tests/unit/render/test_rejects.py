"""The workbook of rejected rows as a spreadsheet program shows it."""

from __future__ import annotations

from pathlib import Path

import pytest
from openpyxl import load_workbook

from pipeline.render import rejects as module
from pipeline.render.rejects import RejectedRow, Rejects, RejectsSheet, is_as_written, sheet_names, write_rejects

ORIGIN = ("hours.csv", "ab" * 32, "", "7", "1", "c0 v0")


def row(place: str = "rejected", *cells: str | None, faulty: frozenset[int] = frozenset()) -> RejectedRow:
    return RejectedRow(place, "Hours: is wrong", cells or ("1", "see note"), faulty, ORIGIN)


def written(path: Path, *rows: RejectedRow, unlisted: int = 0) -> Path:
    sheet = RejectsSheet("hours", "hours.csv", ("Job", "Hours"), rows)
    write_rejects(Rejects(2025, (sheet,), unlisted), path)
    return path


def first_words(path: Path) -> str:
    sheet = load_workbook(path).worksheets[0]
    return " ".join(str(cells[0].value) for cells in sheet.iter_rows() if cells[0].value)


def test_a_faulty_cell_has_a_colour_and_a_border_that_black_and_white_shows(tmp_path: Path) -> None:
    sheet = load_workbook(written(tmp_path / "r.xlsx", row(faulty=frozenset({1})))).worksheets[1]
    plain, faulty = sheet["C2"], sheet["D2"]
    assert (plain.border.left.style, plain.font.b) == (None, False)
    assert (faulty.border.left.style, faulty.font.b) == ("thick", True)
    assert faulty.fill.fgColor.rgb == "FFFFE08A"


def test_every_cell_of_a_record_has_the_format_of_text(tmp_path: Path) -> None:
    sheet = load_workbook(written(tmp_path / "r.xlsx", row("rejected", "01042", None))).worksheets[1]
    assert {cell.number_format for cell in sheet[2]} == {"@"}
    assert (sheet["C2"].value, sheet["D2"].value) == ("01042", None)


def test_a_held_row_is_told_by_its_word_and_its_letters(tmp_path: Path) -> None:
    sheet = load_workbook(written(tmp_path / "r.xlsx", row(), row("held"))).worksheets[1]
    assert [(cells[0].value, cells[2].font.i) for cells in sheet.iter_rows(min_row=2)] == [
        ("rejected", False), ("held", True),
    ]  # fmt: skip


def test_the_grey_columns_are_not_printed(tmp_path: Path) -> None:
    sheet = load_workbook(written(tmp_path / "r.xlsx", row())).worksheets[1]
    assert sheet.print_area == "'1 hours'!$A$1:$D$2"
    assert sheet["E1"].value == "Origin file"


def test_the_first_sheet_counts_the_rows_and_says_how_to_put_them_right(tmp_path: Path) -> None:
    words = first_words(written(tmp_path / "r.xlsx", row(), row("held"), row("accepted"), unlisted=4))
    assert "1 rejected and 5 held rows of season 2025 are in no figure" in words
    assert "Change the cells with the thick border" in words
    assert "1 rows marked 'accepted' are corrections that count already" in words
    assert "4 more held rows are not listed" in words
    assert "not counted" not in words


def test_names_of_sheets_are_legal_and_told_apart() -> None:
    names = sheet_names(["Hours [46]:\\/?*", "HOURS 46", "x" * 40, "'", "", "\U0001f4a1" * 20])
    assert names == ["1 Hours 46", "2 HOURS 46", "3 " + "x" * 29, "4", "5", "6 " + "\U0001f4a1" * 14]
    assert all(len(name.encode("utf-16-le")) <= 62 for name in names)


def test_more_rows_than_a_sheet_holds_stand_on_several(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(module, "MOST_SHEET_ROWS", 2)
    book = load_workbook(written(tmp_path / "r.xlsx", row(), row(), row()))
    assert [(sheet.title, sheet.max_row) for sheet in book.worksheets[1:]] == [("1 hours", 3), ("2 hours", 2)]


def test_a_workbook_that_another_program_saved_is_not_as_it_was_written(tmp_path: Path) -> None:
    path = written(tmp_path / "r.xlsx", row())
    assert is_as_written(path)
    load_workbook(path).save(path)
    assert not is_as_written(path)
    path.write_text("no workbook", encoding="utf-8")
    assert not is_as_written(path)
