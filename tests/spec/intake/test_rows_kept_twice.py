"""Rows that are there twice: keys, repeats, and blocks that another sheet repeats."""

from __future__ import annotations

from support.intake import assert_findings, assert_places, check, messages

DAYS = [f"| 2025-11-{day:02d} | 1 | W1 | 6 |" for day in range(3, 15)]
"""Twelve days of one worker."""


def hours(*rows: str) -> str:
    return "\n".join(["| work_date | job_no | worker_no | hours |", *rows])


def test_two_rows_with_one_key_are_both_rejected_each_naming_the_other() -> None:
    checked = check(
        jobs="""
            | job_no | feet |
            | 1      | 100  |
            | 2      | 100  |
            | 2      | 120  |
        """
    )
    assert_places(checked, "jobs", "| source_row | place |\n| 2 | accepted |\n| 3 | rejected |\n| 4 | rejected |")
    assert_findings(
        checked,
        """
            | source_row | message                                                                    |
            | 3          | job no "2" is also used in made.xlsx, sheet 'jobs', row 4, with other cells |
            | 4          | job no "2" is also used in made.xlsx, sheet 'jobs', row 3, with other cells |
        """,
    )


def test_of_keyed_rows_that_are_the_same_in_every_cell_the_first_is_kept() -> None:
    checked = check(
        jobs=[
            "| job_no | feet |\n| 1 | 100 |\n| 2 | 100 |",
            "| job_no | feet |\n| 2 | 100 |",
        ]
    )
    assert_places(
        checked,
        "jobs",
        """
            | source_sheet | source_row | place    |
            | jobs 1       | 2          | accepted |
            | jobs 1       | 3          | accepted |
            | jobs 2       | 2          | rejected |
        """,
    )
    assert messages(checked) == ["job no \"2\" is a repeat of made.xlsx, sheet 'jobs 1', row 3, the same in every cell"]


def test_the_same_value_written_two_ways_is_the_same_cell() -> None:
    checked = check(jobs="| job_no | feet |\n| 1 | 1,250 ft |\n| 01 | 1250 |")
    assert_places(checked, "jobs", "| source_row | place |\n| 2 | accepted |\n| 3 | rejected |")
    assert_findings(checked, "| rule |\n| a_row_is_kept_once |")


def test_one_number_in_two_branches_is_two_jobs() -> None:
    checked = check(jobs="| job_no | feet | branch |\n| 1 | 100 | A |\n| 1 | 120 | B |")
    assert_places(checked, "jobs", "| branch | place |\n| A | accepted |\n| B | accepted |")


def test_a_key_that_cannot_be_read_takes_no_other_row_with_it() -> None:
    # A raise whose day cannot be read is not a second wage without a first day.
    checked = check(
        workers="""
            | worker_no | hourly_wage | from_date |
            | W1        | 20          |           |
            | W1        | 22          | in spring |
        """
    )
    assert_places(checked, "workers", "| source_row | place |\n| 2 | accepted |\n| 3 | rejected |")
    assert_findings(checked, "| rule |\n| from_date_can_be_read |")


def test_equal_rows_of_one_sheet_are_both_counted_with_a_warning() -> None:
    checked = check(hours=hours(DAYS[0], DAYS[0]))
    assert_places(checked, "hours", "| source_row | place |\n| 2 | accepted |\n| 3 | accepted |")
    assert_findings(
        checked,
        """
            | source_row | message                                                          |
            | 3          | is the same as made.xlsx, sheet 'hours', row 2; both are counted |
        """,
        severity="warning",
    )


def test_a_block_of_ten_rows_that_another_sheet_repeats_is_rejected() -> None:
    checked = check(hours=[hours(*DAYS), hours("| 2025-12-01 | 1 | W1 | 6 |", *DAYS[:10])])
    assert checked.records["hours"].height == 13
    assert checked.refused["hours"]["source_row"].to_list() == list(range(3, 13))
    assert messages(checked, "error")[0] == (
        "repeats made.xlsx, sheet 'hours 1', row 2, among a block of rows that does so"
    )


def test_nine_rows_that_another_sheet_repeats_are_counted_with_a_warning() -> None:
    checked = check(hours=[hours(*DAYS), hours("| 2025-12-01 | 1 | W1 | 6 |", *DAYS[:9])])
    assert checked.refused["hours"].is_empty()
    assert len(messages(checked, "warning")) == 9


def test_a_whole_sheet_that_another_repeats_is_rejected_however_short() -> None:
    checked = check(hours=[hours(*DAYS), hours(*DAYS[4:7])])
    assert checked.records["hours"].height == 12
    assert checked.refused["hours"]["source_sheet"].unique().to_list() == ["hours 2"]


def test_a_repeated_row_counts_as_often_as_the_other_sheet_has_it() -> None:
    # The first sheet has the row once, the second twice: only one of the two can be its repeat.
    checked = check(hours=[hours(DAYS[0], DAYS[1]), hours(DAYS[0], DAYS[0])])
    assert checked.refused["hours"].is_empty()
    assert checked.records["hours"].height == 4


def test_hours_kept_in_two_files_do_not_make_a_day_too_long() -> None:
    # 16 h a day in one file; with the copy it would be 32 h.
    rows = [row.replace("| 6 |", "| 16 |") for row in DAYS]
    checked = check(hours=[hours(*rows), hours(*rows)])
    assert checked.records["hours"].height == 12
    assert set(checked.refused["hours"]["source_sheet"]) == {"hours 2"}
    assert checked.findings.filter(checked.findings["rule"] == "a_day_has_at_most_24_hours").is_empty()
