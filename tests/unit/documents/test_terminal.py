"""What is said in the terminal fits it, says the worst first, and loses no kind of finding unsaid."""

from __future__ import annotations

from typing import Any

import pytest

from pipeline.documents.guide import look_up
from pipeline.documents.terminal import guide_lines, message_lines


def finding(
    rule: str, severity: str = "error", row: int | None = 7, message: str = "is not a length"
) -> dict[str, Any]:
    return {
        "source_file": "runs.xlsx", "source_sheet": "Runs", "source_row": row,
        "column_name": "column D 'Length'" if row else None, "value": "12O ft", "rule": rule, "severity": severity,
        "message": f'"12O ft" {message}', "remedy": "write feet as 120, 120 ft or 120' 6\"",
    }  # fmt: skip


def test_a_kind_is_said_with_its_count_and_its_first_in_full() -> None:
    assert message_lines([finding("feet_can_be_read")] * 9, width=100, most=20) == [
        "  9 errors, whose rows are rejected",
        "     9  feet can be read",
        "        runs.xlsx, Runs, row 7, column D 'Length': \"12O ft\" is not a length; write feet as 120, 120",
        "        ft or 120' 6\"",
    ]


def test_a_whole_sheet_comes_first_then_errors_by_their_number_then_the_rest() -> None:
    found = [
        finding("a_warning", "warning"),
        *[finding("frequent")] * 3,
        finding("rare"),
        finding("a_sheet_is_certain", row=None),
        *[finding("the_job_was_accepted", "held")] * 50,
    ]
    lines = message_lines(found, width=80, most=40)
    assert [line.split("  ")[-1] for line in lines if line[:8].strip().isdigit()] == [
        "a sheet is certain", "frequent", "rare", "the job was accepted", "a warning",
    ]  # fmt: skip
    assert [line for line in lines if line.startswith("  ") and line[2] != " "] == [
        "  5 errors, whose rows are rejected",
        "  50 findings that hold a row for another's sake",
        "  1 warnings, whose rows are accepted",
    ]


@pytest.mark.parametrize("most", [5, 10, 14, 25])
@pytest.mark.parametrize("kinds", [1, 2, 5, 40])
def test_it_never_takes_more_lines_or_columns_than_there_are(most: int, kinds: int) -> None:
    found = [
        finding(f"rule_{number}", message="is wrong " * 40) for number in range(kinds) for _ in range(kinds - number)
    ]
    lines = message_lines(found, width=72, most=most)
    assert len(lines) <= most
    assert max(map(len, lines)) <= 72
    named = sum(line[:8].strip().isdigit() for line in lines)
    left = [line for line in lines if "in the intake report" in line]
    assert named == kinds or left == [
        f"  and {kinds - named} more {'kind' if kinds - named == 1 else 'kinds'} in the intake report"
    ]


def test_notes_are_left_to_the_report_and_nothing_found_says_nothing() -> None:
    assert message_lines([finding("a_note", "note")], width=80, most=20) == []
    assert message_lines([], width=80, most=20) == []


def test_signs_that_would_move_the_cursor_are_shown_and_not_sent() -> None:
    text = "\n".join(message_lines([finding("feet_can_be_read", message="\x1b[2J\u202e")], width=80, most=20))
    assert "\x1b" not in text
    assert "\u202e" not in text
    assert "\\x1b[2J\\u202e" in text


def test_the_guide_keeps_to_the_width() -> None:
    for name in ("jobs", "job_cost", "jobs.work", "target_margin"):
        assert max(map(len, guide_lines(look_up([name]), width=80))) <= 80
