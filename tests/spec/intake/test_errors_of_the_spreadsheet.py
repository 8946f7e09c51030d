"""An error of the spreadsheet, or a formula that was never calculated, names nothing: its row is rejected."""

from __future__ import annotations

import pytest
from support.intake import assert_places, check, messages


def test_an_error_names_no_crew_no_worker_and_no_job() -> None:
    checked = check(
        hours="""
            | job_no | crew                     | worker_no | hours                    |
            | 1      | #N/A                     | W1        | 2                        |
            | #REF!  | Maple                    | W1        | 2                        |
            | 1      | formula without a result | W2        | 3                        |
            | 1      | Maple                    | #NAME?    | 3                        |
            | 1      | Maple                    | W1        | formula without a result |
            | 1      | Maple                    | W1        | 2                        |
        """,
    )
    assert_places(checked, "hours", """
            | source_row | place    |
            | 2          | rejected |
            | 3          | rejected |
            | 4          | rejected |
            | 5          | rejected |
            | 6          | rejected |
            | 7          | accepted |
    """)  # fmt: skip
    assert messages(checked, "error") == [
        '"#N/A" is an error of the spreadsheet',
        '"#REF!" is an error of the spreadsheet',
        '"formula without a result" stands here: it was never calculated',
        '"#NAME?" is an error of the spreadsheet',
        '"formula without a result" stands here: it was never calculated',
    ]


@pytest.mark.parametrize("branch", [None, "West"])
def test_a_branch_that_could_not_be_read_is_not_taken_for_a_blank_one(branch: str | None) -> None:
    checked = check(
        branch=branch,
        jobs="""
            | job_no | branch | feet |
            | 1      | West   | 100  |
            | 2      | #REF!  | 100  |
        """,
        hours="""
            | job_no | branch | hours |
            | 1      |        | 2     |
            | 1      | #N/A   | 3     |
        """,
    )
    assert_places(checked, "jobs", """
            | source_row | place    |
            | 2          | accepted |
            | 3          | rejected |
    """)  # fmt: skip
    assert_places(checked, "hours", """
            | source_row | branch | place    |
            | 2          | West   | accepted |
            | 3          |        | rejected |
    """)  # fmt: skip
