"""The next workbook carries on what was corrected: it may take the place of the older one or lie beside it."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest
from support.put_right import HOURS, Book, check, counts, errors, hours, made, rejects

SOUND = ("2025-11-10", "install", 3.0)
MENDED = ("2025-11-10", "install", 6.0)
DRIVE = ("2025-11-11", "drive", 2.0)


def first(tmp_path: Path, **cells: str) -> Path:
    """A folder with a first workbook in which `see_note` and `about` were given other hours."""
    folder = made(tmp_path / "in", hours=HOURS)
    book = rejects(folder)
    for name, text in {"see_note": "see note", "about": "~2"}.items():
        if name in cells:
            book.row(text)["Hours"] = cells[name]
    book.save(folder / "rejects.xlsx")
    return folder


def put_back(folder: Path, book: Book, where: str) -> None:
    """Put a later workbook in the place of the first, or beside it, before or behind it by name."""
    book.save(folder / {"instead": "rejects.xlsx", "behind": "rejects 2.xlsx", "before": "a later one.xlsx"}[where])


WHERE = pytest.mark.parametrize("where", ["instead", "behind", "before"])


@WHERE
def test_what_is_still_wrong_comes_back_as_it_was_corrected(tmp_path: Path, where: str) -> None:
    folder = first(tmp_path, see_note="six", about="2")
    book = rejects(folder)
    assert book.places() == {"rejected": 1, "accepted": 1}
    row = book.row("six")
    assert (row["Origin file"], row["Origin row"]) == ("hours.csv", "2")
    row["Hours"] = "6"
    put_back(folder, book, where)
    checked = check(folder)
    assert hours(checked) == [SOUND, MENDED, DRIVE]
    assert counts(checked) == {"accepted": 5, "rejected": 0, "held": 0}
    assert errors(checked) == []


@WHERE
def test_put_back_untouched_it_changes_nothing(tmp_path: Path, where: str) -> None:
    folder = first(tmp_path, see_note="6")
    put_back(folder, rejects(folder), where)
    checked = check(folder)
    assert hours(checked) == [SOUND, MENDED]
    assert counts(checked) == {"accepted": 4, "rejected": 1, "held": 0}
    assert errors(checked) == []


@WHERE
def test_a_correction_that_counts_may_be_corrected_again(tmp_path: Path, where: str) -> None:
    folder = first(tmp_path, see_note="6")
    book = rejects(folder)
    book.row("6")["Hours"] = "7"
    put_back(folder, book, where)
    checked = check(folder)
    assert hours(checked) == [SOUND, ("2025-11-10", "install", 7.0)]
    assert checked.corrections.select("old_value", "new_value").rows() == [("see note", "7")]


@WHERE
def test_a_correction_taken_back_leaves_the_row_of_origin(tmp_path: Path, where: str) -> None:
    folder = first(tmp_path, see_note="6")
    book = rejects(folder)
    book.row("6")["Hours"] = "see note"
    put_back(folder, book, where)
    checked = check(folder)
    assert hours(checked) == [SOUND]
    assert checked.corrections.is_empty()
    assert errors(checked) == []


def test_what_was_taken_back_stays_so_with_an_older_workbook_beside_it(tmp_path: Path) -> None:
    folder = first(tmp_path, see_note="6")
    book = rejects(folder)
    book.row("6")["Hours"] = "see note"
    put_back(folder, book, "behind")
    put_back(folder, rejects(folder), "behind")
    checked = check(folder)
    assert hours(checked) == [SOUND]
    assert errors(checked) == []


def test_many_generations_beside_each_other_count_as_the_last_one_says(tmp_path: Path) -> None:
    folder = first(tmp_path, see_note="5")
    for number, (old, new) in enumerate([("5", "6"), ("6", "5"), ("5", "7"), ("7", "6")]):
        book = rejects(folder)
        book.row(old)["Hours"] = new
        book.save(folder / f"rejects {number}.xlsx")
    assert hours(check(folder)) == [SOUND, MENDED]
    (folder / "rejects 1.xlsx").unlink()
    (folder / "rejects 2.xlsx").unlink()
    checked = check(folder)
    assert hours(checked) == [SOUND, MENDED]
    assert errors(checked) == []


def test_the_same_workbook_twice_counts_once(tmp_path: Path) -> None:
    folder = first(tmp_path, see_note="6")
    shutil.copy(folder / "rejects.xlsx", folder / "rejects (copy).xlsx")
    checked = check(folder)
    assert hours(checked) == [SOUND, MENDED]
    assert errors(checked) == []


def test_two_that_differ_are_both_reported_and_neither_counts(tmp_path: Path) -> None:
    folder = first(tmp_path, see_note="6")
    book = Book(folder / "rejects.xlsx")
    book.row("6")["Hours"] = "7"
    book.save(folder / "rejects of the office.xlsx")
    checked = check(folder)
    assert hours(checked) == [SOUND]
    assert counts(checked)["rejected"] == 2
    found = checked.findings.filter(checked.findings["rule"] == "corrections_of_a_row_agree")
    assert found["source_file"].to_list() == ["rejects of the office.xlsx", "rejects.xlsx"]
    assert found["message"][0].startswith(
        "corrects hours.csv, row 2 otherwise than rejects.xlsx, sheet '1 hours', row 2"
    )


@WHERE
def test_what_two_disputed_is_settled_by_correcting_the_row_once_more(tmp_path: Path, where: str) -> None:
    folder = first(tmp_path, see_note="6")
    book = Book(folder / "rejects.xlsx")
    book.row("6")["Hours"] = "7"
    book.save(folder / "rejects of the office.xlsx")
    book = rejects(folder)
    assert book.places() == {"rejected": 2, "not counted": 2}
    book.row("see note")["Hours"] = "6"
    put_back(folder, book, where)
    checked = check(folder)
    assert hours(checked) == [SOUND, MENDED]
    assert errors(checked) == []


def test_what_two_disputed_stays_disputed_while_nobody_settles_it(tmp_path: Path) -> None:
    folder = first(tmp_path, see_note="6")
    book = Book(folder / "rejects.xlsx")
    book.row("6")["Hours"] = "7"
    book.save(folder / "rejects of the office.xlsx")
    late = rejects(folder)
    (folder / "rejects of the office.xlsx").unlink()
    put_back(folder, late, "instead")
    assert errors(check(folder)) == ["corrections_of_a_row_agree"] * 2
    late = rejects(folder)
    (wrong,) = [line for line in late if line["Hours"] == "7"]
    for lines in late.lines.values():
        if wrong in lines:
            lines.remove(wrong)
    put_back(folder, late, "instead")
    assert hours(check(folder)) == [SOUND, MENDED]


def test_an_older_workbook_changed_again_is_reported_rather_than_lost(tmp_path: Path) -> None:
    folder = first(tmp_path, see_note="6")
    put_back(folder, rejects(folder), "behind")
    old = Book(folder / "rejects.xlsx")
    old.row("6")["Hours"] = "7"
    old.save(folder / "rejects.xlsx")
    checked = check(folder)
    assert hours(checked) == [SOUND]
    assert errors(checked) == ["corrections_of_a_row_agree"] * 2
