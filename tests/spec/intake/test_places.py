"""Every row read ends in one of four places, with every reason why, and the four counts add up."""

from __future__ import annotations

from dataclasses import replace

import polars as pl
import pytest
from support.intake import assert_findings, assert_places, check, folder, messages, sheet
from support.tables import assert_table

from pipeline.errors import TooMuchRejected, UsageError
from pipeline.validation import check_folder, rejected_share, require_jobs


def test_a_row_is_accepted_rejected_or_held() -> None:
    checked = check(
        jobs="""
            | job_no | feet |
            | 1      | 100  |
            | 2      | 12O  |
        """,
        hours="""
            | job_no | hours |
            | 1      | 6     |
            | 2      | 6     |
            |        | 2     |
            | 1      | n/a   |
        """,
    )
    assert_places(checked, "jobs", "| job_no | place |\n| 1 | accepted |\n| 2 | rejected |")
    assert_places(
        checked,
        "hours",
        """
            | source_row | place    | why |
            | 2          | accepted |     |
            | 3          | held     | column A 'job_no': job "2" was rejected, so this row is held |
            | 4          | accepted |     |
            | 5          | rejected | column B 'hours': "n/a" is not a duration |
        """,
    )


def test_rows_read_are_accepted_rejected_held_or_set_aside() -> None:
    checked = check(
        jobs="| job_no | feet |\n| 1 | 100 |\n| 2 | 12O |",
        hours="| job_no | hours |\n| 1 | 6 |\n| 2 | 6 |\n| 1 | n/a |",
        totals={"hours": "| hours |\n| 12 |"},
    )
    assert_table(
        checked.intake,
        """
            | record_table | rows_read | accepted | rejected | held | set_aside |
            | jobs         | 3         | 1        | 1        | 0    | 1         |
            | hours        | 5         | 1        | 1        | 1    | 2         |
        """,
    )
    # Two rejected of five records: headings and totals are none.
    assert rejected_share(checked) == pytest.approx(2 / 5)


def test_every_reason_of_a_rejected_row_is_given() -> None:
    checked = check(jobs="| job_no | feet | stories | terms |\n| 1 | 12O | 9 | borrowed |\n| 2 | 100 | 2 | sold |")
    assert_findings(
        checked,
        """
            | column_name       | value    | rule             |
            | column B 'feet'   | 12O      | feet_can_be_read |
            | column C 'stories' | 9       | stories_is_in_range |
            | column D 'terms'  | borrowed | terms_can_be_read |
        """,
    )
    why = checked.refused["jobs"]["why"][0]
    assert all(part in why for part in ('"12O" is not a length', '"9" is out of range', '"borrowed" is not one of'))


def test_a_message_quotes_the_cell_and_the_remedy_says_how_to_write_it() -> None:
    checked = check(jobs="| job_no | feet |\n| 1 | 12O ft |\n| 2 | 100 |")
    assert_findings(
        checked,
        """
            | source_file | source_sheet | source_row | column_name     | message                  |
            | made.xlsx   | jobs         | 2          | column B 'feet' | "12O ft" is not a length |
        """,
    )
    assert checked.findings["remedy"].to_list() == ["write feet as 120, 120 ft or 120' 6\""]


def test_a_long_cell_is_quoted_in_part_and_kept_whole() -> None:
    note = "see the note that the crew lead left on the back of the clipboard by the door of the shop"
    checked = check(jobs=f"| job_no | feet |\n| 1 | {note} |\n| 2 | 100 |")
    assert messages(checked) == [f'"{note[:60]}..." is not a length']
    assert checked.findings["value"].to_list() == [note]


def test_a_needed_cell_must_not_be_blank() -> None:
    checked = check(hours="| worker_no | hours | job_no |\n| | 6 | 1 |\n| W1 | 6 | |")
    assert_places(checked, "hours", "| source_row | place |\n| 2 | rejected |\n| 3 | accepted |")
    assert messages(checked, "error") == ["is blank and is needed"]


def test_a_rejected_row_keeps_its_cells_as_they_were() -> None:
    checked = check(jobs="| job_no | feet |\n| 1 | 12O ft |\n| 2 | 1,250 ft |")
    assert_table(checked.refused_cells["jobs"], "| job_no | feet | place |\n| 1 | 12O ft | rejected |")


def test_an_empty_sheet_means_none_and_a_missing_one_means_unknown() -> None:
    checked = check(service_calls="| call_no | job_no | call_date | cause |")
    assert checked.records["service_calls"].height == 0
    assert "connections" not in checked.records


def test_a_sheet_that_is_no_table_is_set_aside_whole() -> None:
    chores = replace(
        sheet("jobs", "| job_no | feet |\n| 9 | 1 |", name="chores"), table=None, note="no table is like it"
    )
    checked = check_folder(folder(sheet("jobs", "| job_no | feet |\n| 1 | 100 |"), chores))
    assert_table(
        checked.intake,
        """
            | source_sheet | record_table | rows_read | accepted | set_aside | note                |
            | jobs         | jobs         | 2         | 1        | 1         |                     |
            | chores       |              | 2         | 0        | 2         | no table is like it |
        """,
    )


def test_records_carry_their_origin_season_and_branch() -> None:
    checked = check(jobs="| job_no | feet | branch |\n| 1 | 100 | Quillmere |", hours="| job_no | hours |\n| 1 | 6 |")
    assert checked.records["hours"].columns[:3] == ["season", "branch", "work_date"]
    assert_table(
        checked.records["hours"],
        "| season | branch | source_file | source_sheet | source_row |\n| 2025 | Quillmere | made.xlsx | hours | 2 |",
    )
    assert checked.records["hours"].schema["hours"] == pl.Decimal(26, 12)
    assert checked.branches == ("Quillmere",)


def test_a_folder_without_jobs_is_refused() -> None:
    hours = sheet("hours", "| job_no | hours |\n| 1 | 6 |")
    with pytest.raises(UsageError, match="no sheet in made was recognised as jobs; its headings must include Job no"):
        check_folder(folder(hours))


def test_a_season_without_an_accepted_job_is_told_with_the_first_reason() -> None:
    checked = check(jobs="| job_no | feet |\n| 1 | 12O |")
    with pytest.raises(TooMuchRejected, match=r"none of the 1 jobs was accepted .* is not a length"):
        require_jobs(checked)
    with pytest.raises(UsageError, match="no job of season 2025 was read"):
        require_jobs(check(jobs="| job_no | feet |"))
