"""Settings, one branch of several, and totals rows."""

from __future__ import annotations

from decimal import Decimal

import pytest
from support.intake import assert_findings, assert_places, check, folder, messages, sheet
from support.tables import assert_table

from pipeline.errors import UsageError
from pipeline.validation import check_folder

TWO_BRANCHES = """
    | job_no | feet | branch    |
    | 1      | 100  | Quillmere |
    | 2      | 100  | Tarnholt  |
    | 3      | 100  | Tarnholt  |
"""


def test_settings_are_read_by_name_and_a_wrong_one_is_rejected() -> None:
    checked = check(
        settings="""
            | setting       | value   |
            | Target margin | 40 %    |
            | firm          | Example |
            | target_margn  | 0.4     |
            | price_step    | cheap   |
        """
    )
    assert checked.settings.number("target_margin") == Decimal("0.4")
    assert checked.settings.text("firm") == "Example"
    assert_places(
        checked,
        "settings",
        """
            | source_row | setting       | place    |
            | 2          | target_margin | accepted |
            | 3          | firm          | accepted |
            | 4          | target_margn  | rejected |
            | 5          | price_step    | rejected |
        """,
    )
    assert '"target_margn" is not a setting. Did you mean target_margin?' in messages(checked, "error")


def test_a_setting_given_twice_with_two_values_is_not_in_force() -> None:
    checked = check(settings="| setting | value |\n| target_margin | 0.3 |\n| Target-Margin | 0.4 |")
    assert_places(checked, "settings", "| source_row | place |\n| 2 | rejected |\n| 3 | rejected |")
    assert checked.settings.number("target_margin") == Decimal("0.35")


def test_with_one_branch_the_rows_of_others_are_set_aside() -> None:
    checked = check(
        branch="quillmere",
        jobs=TWO_BRANCHES,
        hours="| job_no | hours |\n| 1 | 6 |\n| 2 | 6 |\n| 3 | 12O |\n| | 2 |",
        overheads="| what | branch | amount |\n| rent | Tarnholt | 100 |\n| insurance | | 200 |",
    )
    assert checked.branches == ("Quillmere",)
    assert_table(
        checked.intake,
        """
            | record_table | rows_read | accepted | rejected | held | set_aside |
            | jobs         | 4         | 1        | 0        | 0    | 3         |
            | hours        | 5         | 2        | 0        | 0    | 3         |
            | overheads    | 3         | 1        | 0        | 0    | 2         |
        """,
    )
    assert messages(checked, "error") == []


def test_a_branch_that_no_job_is_of_is_an_error_that_names_the_branches() -> None:
    with pytest.raises(UsageError, match="no job is of branch Elm; the branches are Quillmere, Tarnholt"):
        check(branch="Elm", jobs=TWO_BRANCHES)


def test_a_totals_row_that_agrees_says_nothing() -> None:
    checked = check(hours="| job_no | hours |\n| 1 | 6:30 |\n| 2 | 1h20 |", totals={"hours": "| hours |\n| 7:50 |"})
    assert messages(checked, "warning") == []


def test_a_totals_row_that_differs_is_a_warning() -> None:
    checked = check(hours="| job_no | hours |\n| 1 | 6:30 |\n| 2 | 1h20 |", totals={"hours": "| hours |\n| 8 |"})
    assert_findings(
        checked,
        """
            | source_row | column_name      | value | message                                              |
            | 4          | column B 'hours' | 8     | "8" differs from the sum of the rows above it, 7.83  |
        """,
        severity="warning",
    )


def test_a_total_that_differs_because_a_cell_could_not_be_read_says_so() -> None:
    checked = check(hours="| job_no | hours |\n| 1 | 6 |\n| 2 | n/a |", totals={"hours": "| hours |\n| 8 |"})
    assert messages(checked, "warning") == [
        '"8" differs from the sum of the rows above it, 6.00; 1 of their cells could not be read'
    ]


def test_a_subtotal_is_of_the_rows_since_the_last_one_and_a_grand_total_of_all() -> None:
    one = sheet("hours", "| job_no | hours |\n| 1 | 6 |\n| 2 | 2 |\n| 1 | 3 |", totals="| hours |\n| 3 |\n| 11 |")
    # The first total stands in row 4, between the second and the third row of hours.
    rows = one.cells["source_row"].replace({4: 5})
    totals = one.totals["source_row"].replace({5: 4})
    moved = type(one)(
        **{**vars(one), "cells": one.cells.with_columns(rows), "totals": one.totals.with_columns(totals, hours="hours")}
    )
    jobs = sheet("jobs", "| job_no | feet |\n| 1 | 100 |\n| 2 | 100 |")
    checked = check_folder(folder(jobs, moved))
    # 6 + 2 = 8 is not 3; 6 + 2 + 3 = 11 is the grand total.
    assert messages(checked, "warning") == ['"3" differs from the sum of the rows above it, 8.00']
