"""A folder of spreadsheets is read whole, in a fixed order."""

from __future__ import annotations

import hashlib
from pathlib import Path

import pytest
from support.workbooks import write_xlsx

from pipeline.errors import UsageError
from pipeline.workbook import read_folder

TRIPS = [["Date", "Crew", "Miles"], ["2025-11-14", "Maple", 38]]


def test_files_are_read_in_the_order_of_their_paths_with_their_checksum(tmp_path: Path) -> None:
    (tmp_path / "north").mkdir()
    write_xlsx(tmp_path / "north" / "b.xlsx", {"one": TRIPS, "two": TRIPS})
    (tmp_path / "a.CSV").write_text("Date,Crew,Miles\n2025-11-14,Maple,38\n", encoding="utf-8")
    for other in ("notes.txt", "~$b.xlsx", ".hidden.csv", "photo.jpg"):
        (tmp_path / other).write_bytes(b"x")
    reading = read_folder(tmp_path)
    assert [(file.path, file.rows, file.problem) for file in reading.files] == [
        ("a.CSV", 2, None),
        ("north/b.xlsx", 4, None),
    ]
    assert reading.files[0].sha256 == hashlib.sha256((tmp_path / "a.CSV").read_bytes()).hexdigest()
    assert [(sheet.file, sheet.sheet, sheet.table) for sheet in reading.sheets] == [
        ("a.CSV", "", "trips"),
        ("north/b.xlsx", "one", "trips"),
        ("north/b.xlsx", "two", "trips"),
    ]


def test_a_broken_file_is_named_and_the_rest_is_read(tmp_path: Path) -> None:
    (tmp_path / "a.xlsx").write_bytes(b"broken")
    write_xlsx(tmp_path / "b.xlsx", {"one": TRIPS})
    reading = read_folder(tmp_path)
    assert reading.files[0].problem is not None
    assert reading.files[0].problem.startswith("a.xlsx: it cannot be opened as a spreadsheet")
    assert [sheet.file for sheet in reading.sheets] == ["b.xlsx"]


def test_a_missing_folder_and_one_without_spreadsheets_are_wrong_usage(tmp_path: Path) -> None:
    with pytest.raises(UsageError, match="there is no folder"):
        read_folder(tmp_path / "nowhere")
    with pytest.raises(UsageError, match="holds no spreadsheet"):
        read_folder(tmp_path)
