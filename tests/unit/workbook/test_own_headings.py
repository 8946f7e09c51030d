"""A firm may name its own words for headings, on a sheet or in a headings.toml."""

from __future__ import annotations

from pathlib import Path

import pytest
from support.workbooks import aside, write_xlsx

from pipeline.errors import UsageError
from pipeline.validation import check_folder
from pipeline.workbook import FolderReading, read_folder

WORDS = ("Table", "Field", "Heading")
JOB = ("1042", "C207", "Maple", "new", "sold", 2, 1187.5, "2025-11-14", 164.5)
THEIRS = ("Ticket", "Folder no", "Foreman", "Work", "Terms", "Levels", "Bill", "Up on", "Feet")
SAID = [
    ("jobs", "job_no", "Ticket"),
    ("jobs", "customer_no", "Folder no"),
    ("Jobs", "Crew", "Foreman"),
    ("jobs", "stories", "Levels; Floors up"),
    ("jobs", "invoiced", "Bill"),
    ("jobs", "Install date", "Up on"),
]


def _folder(tmp_path: Path, words: list[tuple[str, ...]] | None, toml: str | None = None) -> FolderReading:
    write_xlsx(tmp_path / "work.xlsx", {"Done": [THEIRS, JOB]})
    if words is not None:
        write_xlsx(tmp_path / "words.xlsx", {"our words": [("What we call things",), WORDS, *words]})
    if toml is not None:
        (tmp_path / "headings.toml").write_text(toml, encoding="utf-8")
    return read_folder(tmp_path)


def test_without_them_a_sheet_in_words_that_nobody_knows_is_set_aside(tmp_path: Path) -> None:
    reading = _folder(tmp_path, None)
    assert [sheet.table for sheet in reading.sheets] == [None]


def test_a_sheet_of_own_headings_lets_a_table_be_recognised(tmp_path: Path) -> None:
    reading = _folder(tmp_path, SAID)
    jobs = next(sheet for sheet in reading.sheets if sheet.file == "work.xlsx")
    assert jobs.table == "jobs"
    assert {column.heading: column.field for column in jobs.columns} == {
        "Ticket": "job_no", "Folder no": "customer_no", "Foreman": "crew", "Work": "work", "Terms": "terms",
        "Levels": "stories", "Bill": "invoiced", "Up on": "install_date", "Feet": "feet",
    }  # fmt: skip
    assert reading.troubles == ()
    assert check_folder(reading).records["jobs"]["job_no"].to_list() == ["1042"]


def test_the_sheet_that_says_them_is_set_aside_row_by_row(tmp_path: Path) -> None:
    words = next(sheet for sheet in _folder(tmp_path, SAID).sheets if sheet.file == "words.xlsx")
    assert words.table is None
    assert aside(words) == dict.fromkeys(range(1, 9), "the firm's own headings")
    assert words.note == "the firm's own headings: 6 for jobs, 1 for Jobs"


def test_a_toml_file_says_the_same(tmp_path: Path) -> None:
    toml = """
        [jobs]
        job_no = "Ticket"
        customer_no = ["Folder no", "Folder"]
        crew = ["Foreman"]
        stories = ["Levels"]
        invoiced = ["Bill"]
        install_date = ["Up on"]
    """
    reading = _folder(tmp_path, None, toml)
    assert [sheet.table for sheet in reading.sheets] == ["jobs"]
    assert [file.path for file in reading.files] == ["headings.toml", "work.xlsx"]


def test_an_own_heading_stands_above_the_words_that_are_known(tmp_path: Path) -> None:
    # `Length` is another word for feet; here it is said to be the drive, and `Feet` stays what it is.
    write_xlsx(tmp_path / "work.xlsx", {"Done": [(*THEIRS, "Length"), (*JOB, 14)]})
    write_xlsx(tmp_path / "w.xlsx", {"w": [WORDS, *SAID, ("jobs", "drive_miles", "Length")]})
    checked = check_folder(read_folder(tmp_path))
    assert checked.records["jobs"].select("feet", "drive_miles").cast(float).rows() == [(164.5, 14.0)]


def test_a_word_for_no_table_and_no_field_is_an_error_with_its_row_and_a_suggestion(tmp_path: Path) -> None:
    reading = _folder(tmp_path, [*SAID, ("job", "crew", "Boss"), ("jobs", "feets", "Len"), ("jobs", "crew", None)])
    assert [(t.sheet, t.row, t.column, t.message) for t in reading.troubles] == [
        ("our words", 9, "column C 'Heading'", '"job" is not a table. Did you mean jobs?'),
        ("our words", 10, "column C 'Heading'", '"feets" is not a field of jobs. Did you mean feet?'),
        ("our words", 11, "column C 'Heading'", "the heading for crew of jobs is blank"),
    ]
    rules = check_folder(reading).findings["rule"].to_list()
    assert rules.count("an_own_heading_names_a_field") == 3


def test_a_word_for_two_fields_of_a_table_counts_for_neither(tmp_path: Path) -> None:
    reading = _folder(tmp_path, [*SAID, ("jobs", "quoted", "Bill")])
    assert [t.message for t in reading.troubles] == [
        '"Bill" is said to be invoiced and quoted of jobs, so it counts for neither'
    ] * 2
    jobs = next(sheet for sheet in reading.sheets if sheet.file == "work.xlsx")
    assert jobs.problem is not None
    assert "has no column for roofline work" in jobs.problem


def test_a_toml_file_that_cannot_be_read_is_named_and_the_rest_is_read(tmp_path: Path) -> None:
    reading = _folder(tmp_path, SAID, "[jobs\n")
    (broken,) = [file for file in reading.files if file.problem]
    assert broken.problem is not None
    assert broken.problem.startswith("headings.toml: it cannot be read as TOML (")
    assert "jobs" in [sheet.table for sheet in reading.sheets]


def test_own_headings_alone_are_no_season(tmp_path: Path) -> None:
    (tmp_path / "headings.toml").write_text('[jobs]\njob_no = "Ticket"\n', encoding="utf-8")
    with pytest.raises(UsageError, match="holds no spreadsheet"):
        read_folder(tmp_path)
