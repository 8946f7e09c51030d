"""Rejected rows come back in a workbook; put right there and put back, they count in the place of those at origin."""

from __future__ import annotations

from pathlib import Path

import polars as pl
from support.put_right import HOURS, check, counts, errors, hours, made, rejects, without_formats, write
from support.tables import assert_table

from pipeline.workbook import read_folder

SOUND = ("2025-11-10", "install", 3.0)
MENDED = ("2025-11-10", "install", 6.0)


def test_the_rows_come_back_as_they_were_written_with_the_reason_beside_them(tmp_path: Path) -> None:
    book = rejects(made(tmp_path / "in", hours=HOURS))
    row = book.row("see note")
    assert [row[name] for name in ("Work date", "Job #", "Crew", "Worker", "Task", "Hours")] == [
        "2025-11-10", "1", "Maple", "W1", "install", "see note",
    ]  # fmt: skip
    assert row["Why it is here"] == ('Hours: "see note" is not a duration; write hours as 6.5, 6:30, 6h30 or 390 min')
    assert [row[f"Origin {name}"] for name in ("file", "sheet", "row", "part")] == ["hours.csv", "", "2", "1"]


def test_a_corrected_row_takes_the_place_of_the_one_at_its_origin(tmp_path: Path) -> None:
    folder = made(tmp_path / "in", hours=HOURS)
    book = rejects(folder)
    book.row("see note")["Hours"] = "6"
    book.save(folder / "rejects.xlsx")
    checked = check(folder)
    assert hours(checked) == [SOUND, MENDED]
    assert counts(checked) == {"accepted": 4, "rejected": 1, "held": 0}
    origin = checked.records["hours"].filter(pl.col("hours") == 6).select("source_file", "source_sheet", "source_row")
    assert origin.rows() == [("rejects.xlsx", "1 hours", 2)]
    (sheet,) = [one for one in read_folder(folder).sheets if one.file == "hours.csv"]
    assert dict(sheet.set_aside.rows())[2] == "corrected in rejects.xlsx, sheet '1 hours', row 2"
    assert_table(checked.corrections, """
        | origin_file | origin_row | source_file  | source_row | column_name      | old_value | new_value | place    |
        | hours.csv   | 2          | rejects.xlsx | 2          | column H 'Hours' | see note  | 6         | accepted |
    """)  # fmt: skip


def test_rows_left_as_they_are_stand_for_themselves(tmp_path: Path) -> None:
    folder = made(tmp_path / "in", hours=HOURS)
    before = check(folder)
    rejects(folder).save(folder / "rejects.xlsx")
    assert counts(check(folder)) == counts(before)
    assert check(folder).corrections.is_empty()
    assert check(folder).findings.equals(before.findings)


def test_formats_that_a_program_lost_change_no_value(tmp_path: Path) -> None:
    folder = made(tmp_path / "in", hours=HOURS)
    book = rejects(folder)
    book.row("see note")["Hours"] = "6"
    book.row("~2")["Hours"] = "2"
    book.save(folder / "rejects.xlsx", without_formats)
    assert hours(check(folder)) == [SOUND, MENDED, ("2025-11-11", "drive", 2.0)]


def test_sorted_moved_and_with_a_column_of_ones_own_it_is_still_read(tmp_path: Path) -> None:
    folder = made(tmp_path / "in", hours=HOURS)
    book = rejects(folder)
    book.row("see note")["Hours"] = "6"
    book.lines["1 hours"].reverse()
    book.headings["1 hours"] = ["Asked whom", *reversed(book.headings["1 hours"])]
    for line in book:
        line["Asked whom"] = "the crew"
    book.headings["Any name"] = book.headings.pop("1 hours")
    book.lines["Any name"] = book.lines.pop("1 hours")
    book.save(folder / "looked after.xlsx")
    checked = check(folder)
    assert hours(checked) == [SOUND, MENDED]
    assert len(checked.corrections) == 1
    left = checked.intake.filter(pl.col("source_file") == "looked after.xlsx", pl.col("record_table") == "hours")
    assert left["left_out"].to_list() == ["A 'Asked whom': not a heading of the sheet of origin"]


def test_it_may_come_back_as_csv(tmp_path: Path) -> None:
    folder = made(tmp_path / "in", hours=HOURS)
    book = rejects(folder)
    book.row("see note")["Hours"] = "6"
    book.save_csv(folder / "put right.csv", "1 hours")
    assert hours(check(folder)) == [SOUND, MENDED]


def test_a_deleted_column_keeps_the_cells_of_the_origin(tmp_path: Path) -> None:
    folder = made(tmp_path / "in", hours=HOURS)
    book = rejects(folder)
    book.row("see note")["Hours"] = "6"
    book.headings["1 hours"].remove("Crew")
    book.save(folder / "rejects.xlsx")
    assert check(folder).records["hours"]["crew"].to_list() == ["Maple", "Maple"]


def test_a_held_row_counts_by_itself_once_its_job_is_put_right(tmp_path: Path) -> None:
    jobs = "Job #,Customer,Crew,Work,Terms,Stories,Invoiced,Installed,Feet\n1,C1,Maple,new,sold,1,700,2025-11-10,1OO\n"
    jobs += "2,C2,Maple,new,sold,2,800,2025-11-11,120\n"
    sheet = "Work date,Job #,Crew,Worker,Task,Hours\n2025-11-10,1,Maple,W1,install,4\n"
    folder = made(tmp_path / "in", jobs=jobs, hours=sheet)
    book = rejects(folder)
    assert book.places() == {"held": 1, "rejected": 1}
    book.row("1OO")["Feet"] = "100"
    book.save(folder / "rejects.xlsx")
    checked = check(folder)
    assert counts(checked) == {"accepted": 3, "rejected": 0, "held": 0}
    assert checked.records["hours"]["source_file"].to_list() == ["hours.csv"]


def test_a_row_whose_every_cell_was_deleted_stays_refused_and_this_is_said(tmp_path: Path) -> None:
    folder = made(tmp_path / "in", hours=HOURS)
    book = rejects(folder)
    row = book.row("see note")
    row.update({name: None for name in row if not name.startswith("Origin")})
    book.save(folder / "rejects.xlsx")
    checked = check(folder)
    assert counts(checked) == {"accepted": 3, "rejected": 2, "held": 0}
    said = checked.findings.filter(pl.col("rule") == "a_row_is_not_dropped_here")
    assert said.select("severity", "source_file", "source_row").rows() == [("warning", "rejects.xlsx", 2)]
    assert "hours.csv, row 2 stands" in said["message"][0]


def test_where_the_grey_columns_were_deleted_nothing_is_loaded_twice(tmp_path: Path) -> None:
    folder = made(tmp_path / "in", hours=HOURS)
    book = rejects(folder)
    book.row("see note")["Hours"] = "6"
    book.headings["1 hours"] = [name for name in book.headings["1 hours"] if not name.startswith("Origin")]
    book.save(folder / "rejects.xlsx")
    checked = check(folder)
    assert hours(checked) == [SOUND]
    assert errors(checked) == ["a_correction_names_its_origin"] * 2


def test_a_row_that_someone_added_is_reported_and_not_loaded(tmp_path: Path) -> None:
    folder = made(tmp_path / "in", hours=HOURS)
    book = rejects(folder)
    added = dict.fromkeys(book.headings["1 hours"]) | {"Work date": "2025-11-12", "Hours": "5"}
    book.lines["1 hours"].append(type(book.row("see note"))(added))
    book.save(folder / "rejects.xlsx")
    assert hours(check(folder)) == [SOUND]
    assert errors(check(folder)) == ["a_correction_names_its_origin"]


def test_a_correction_whose_file_was_changed_since_is_reported_and_carried_on(tmp_path: Path) -> None:
    folder = made(tmp_path / "in", hours=HOURS)
    book = rejects(folder)
    book.row("see note")["Hours"] = "6"
    book.save(folder / "rejects.xlsx")
    made(folder, hours=HOURS + "2025-11-12,2,Maple,W1,install,4\n")
    checked = check(folder)
    assert hours(checked) == [SOUND, ("2025-11-12", "install", 4.0)]
    assert errors(checked) == ["the_origin_of_a_correction_is_in_the_folder"]
    said = checked.findings.filter(pl.col("rule") == "the_origin_of_a_correction_is_in_the_folder")
    assert said["message"][0].startswith("corrects hours.csv, row 2, but no file in the folder has its SHA-256, ")
    book = rejects(folder)
    assert book.places() == {"rejected": 2, "not counted": 1}
    (kept,) = [line for line in book if line["Rejected or held"] == "not counted"]
    assert kept["Hours"] == "6"
    book.save(folder / "rejects.xlsx")
    assert errors(check(folder)) == ["the_origin_of_a_correction_is_in_the_folder"]


def test_a_file_that_was_renamed_is_still_the_origin(tmp_path: Path) -> None:
    folder = made(tmp_path / "in", hours=HOURS)
    book = rejects(folder)
    book.row("see note")["Hours"] = "6"
    book.save(folder / "rejects.xlsx")
    (folder / "hours.csv").rename(folder / "week 46.csv")
    assert hours(check(folder)) == [SOUND, MENDED]
    assert errors(check(folder)) == []


def test_without_anything_refused_there_is_no_workbook(tmp_path: Path) -> None:
    assert not write(made(tmp_path / "in"), tmp_path / "rejects.xlsx")
