"""Hours, workers, wages and other pay."""

from __future__ import annotations

from support.intake import assert_findings, assert_places, check, messages


def test_a_worker_s_day_has_at_most_24_hours_and_over_14_is_a_warning() -> None:
    checked = check(
        hours="""
            | worker_no | job_no | hours |
            | W1        | 1      | 14    |
            | W2        | 1      | 7     |
            | W2        | 2      | 7:01  |
            | W3        | 1      | 12    |
            | W3        | 2      | 12    |
            | W4        | 1      | 12    |
            | W4        | 2      | 12:01 |
        """
    )
    assert_places(
        checked,
        "hours",
        """
            | worker_no | hours           | place    |
            | W1        | 14              | accepted |
            | W2        | 7               | accepted |
            | W2        | 7.016666666667  | accepted |
            | W3        | 12              | accepted |
            | W3        | 12              | accepted |
            | W4        | 12              | rejected |
            | W4        | 12.016666666667 | rejected |
        """,
    )
    assert checked.findings.filter(checked.findings["severity"] == "warning")["source_row"].to_list() == [3, 4, 5, 6]
    assert messages(checked, "error")[0] == "worker W4 has 24.02 hours on 2025-11-14"


def test_a_task_left_blank_is_installation() -> None:
    checked = check(hours="| job_no | task | hours |\n| 1 | | 6 |\n| 1 | hanging | 1 |\n| 1 | lunch | 1 |")
    assert_places(checked, "hours", "| task | place |\n| install | accepted |\n| install | accepted |\n| | rejected |")


def test_a_day_outside_the_season_is_a_warning() -> None:
    checked = check(hours="| work_date | hours | job_no |\n| 2024-11-14 | 6 | 1 |\n| 2025-11-14 | 6 | 1 |")
    assert_findings(checked, "| source_row | rule |\n| 2 | work_date_is_in_the_season |", severity="warning")


def test_hours_of_a_worker_without_a_row_are_rejected_with_a_suggestion() -> None:
    checked = check(
        hours="| worker_no | hours | job_no |\n| W70 | 6 | 1 |\n| W07 | 6 | 1 |",
        workers="| worker_no | hourly_wage |\n| W07 | 20 |",
    )
    assert_places(checked, "hours", "| worker_no | place |\n| W70 | rejected |\n| W07 | accepted |")
    assert messages(checked, "error") == ['"W70" is in no row of workers; did you mean W07?']


def test_a_worker_written_in_other_case_spaces_or_as_a_number_is_that_one() -> None:
    checked = check(
        hours="| worker_no | hours | job_no |\n| w-07 | 6 | 1 |\n| W 07 | 6 | 1 |\n| 7.0 | 6 | 1 |\n| 007 | 6 | 2 |",
        workers="| worker_no | hourly_wage |\n| W07 | 20 |\n| 7 | 20 |",
    )
    assert checked.refused["hours"].is_empty()
    assert checked.records["hours"]["worker_no"].value_counts().sort("worker_no").rows() == [("7", 2), ("W07", 2)]


def test_seven_and_seventy_are_two_workers() -> None:
    checked = check(hours="| worker_no | hours | job_no |\n| 7.0 | 13 | 1 |\n| 70 | 13 | 1 |")
    assert checked.records["hours"]["worker_no"].to_list() == ["7", "70"]


def test_hours_without_any_sheet_of_workers_are_accepted_with_a_note() -> None:
    checked = check(hours="| job_no | hours |\n| 1 | 6 |")
    assert_findings(checked, "| rule | severity | source_row |\n| workers_are_listed | note | |")


def test_hours_before_the_first_day_of_a_wage_are_rejected() -> None:
    checked = check(
        hours="""
            | work_date  | worker_no | hours | job_no |
            | 2025-08-31 | W1        | 6     | 1      |
            | 2025-09-01 | W1        | 6     | 1      |
            | 2025-08-31 | W2        | 6     | 1      |
            | 2025-08-31 | W3        | 6     | 1      |
        """,
        workers="""
            | worker_no | hourly_wage | from_date  | engaged |
            | W1        | 20          | 2025-09-01 |         |
            | W1        | 21          | 2025-11-01 |         |
            | W2        | 20          |            |         |
            | W2        | 21          | 2025-11-01 |         |
            | W3        |             | 2025-09-01 | owner   |
        """,
    )
    assert_findings(checked, "| source_row | message |\n| 2 | worker W1 has no wage before 2025-09-01 |")


def test_a_raise_inherits_role_and_engagement() -> None:
    checked = check(
        workers="""
            | worker_no | hourly_wage | from_date  | role    | engaged     |
            | W1        | 21          | 2025-11-01 |         |             |
            | W1        | 20          | 2025-09-01 | climber | subcontract |
            | W2        | 20          |            |         |             |
        """
    )
    assert_places(
        checked,
        "workers",
        """
            | worker_no | from_date  | role    | engaged     |
            | W1        | 2025-09-01 | climber | subcontract |
            | W1        | 2025-11-01 | climber | subcontract |
            | W2        |            |         | employee    |
        """,
    )


def test_an_employee_has_a_wage_and_an_owner_need_not() -> None:
    checked = check(
        workers="""
            | worker_no | hourly_wage | engaged     |
            | W1        |             |             |
            | W2        |             | owner       |
            | W3        |             | subcontract |
            | W4        | 0           |             |
        """
    )
    assert_places(
        checked,
        "workers",
        "| worker_no | place |\n| W1 | rejected |\n| W2 | accepted |\n| W3 | accepted |\n| W4 | rejected |",
    )


def test_a_bonus_goes_over_hours_and_without_any_is_rejected() -> None:
    checked = check(
        hours="| work_date | worker_no | job_no | hours |\n| 2025-11-10 | W1 | 1 | 6 |",
        pay="""
            | worker_no | from_date  | to_date    | kind        | amount | job_no |
            | W1        | 2025-11-10 | 2025-11-16 | bonus       | 50     |        |
            | W1        | 2025-11-11 | 2025-11-16 | bonus       | 50     |        |
            | W1        | 2025-11-10 | 2025-11-16 | piece       | 50     | 1      |
            | W1        | 2025-11-10 | 2025-11-16 | piece       | 50     | 2      |
            |           | 2025-11-10 | 2025-11-16 | subcontract | 50     | 2      |
            |           | 2025-11-10 | 2025-11-16 | day         | 50     |        |
            | W1        | 2025-11-16 | 2025-11-10 | subcontract | 50     |        |
        """,
    )
    assert_places(
        checked,
        "pay",
        """
            | source_row | place    |
            | 2          | accepted |
            | 3          | rejected |
            | 4          | accepted |
            | 5          | rejected |
            | 6          | accepted |
            | 7          | rejected |
            | 8          | rejected |
        """,
    )
    assert "nobody is paid for 2025-11-10 to 2025-11-16, with no hours there" in messages(checked, "error")


def test_service_hours_and_calls_go_together() -> None:
    checked = check(
        jobs="| job_no | feet |\n| 1 | 100 |\n| 2 | 100 |\n| 3 | 100 |",
        hours="""
            | job_no | task    | hours |
            | 1      | service | 1     |
            | 2      | service | 1     |
            | 2      | service | 2     |
            | 3      | drive   | 1     |
        """,
        service_calls="| call_no | job_no |\n| S1 | 1 |\n| S2 | 3 |",
    )
    assert_findings(
        checked,
        """
            | source_sheet  | source_row | message                                        |
            | hours         | 3          | job 2 has service hours and no service call    |
            | service_calls | 3          | job 3 has a service call and no service hours  |
        """,
        severity="warning",
    )


def test_a_fault_mended_before_it_was_reported_is_a_warning() -> None:
    checked = check(
        service_calls="""
            | call_no | job_no | call_date  | fixed_date |
            | S1      | 1      | 2025-12-02 | 2025-12-02 |
            | S2      | 1      | 2025-12-02 | 2025-12-01 |
        """
    )
    assert_findings(checked, "| source_row | severity |\n| 3 | warning |")


def test_a_crew_in_other_case_or_punctuation_is_that_one() -> None:
    checked = check(
        jobs="| job_no | feet | crew |\n| 1 | 100 | Red Maple |\n| 2 | 100 | Red Maple |",
        hours="| job_no | crew | hours |\n| 1 | red-maple | 6 |\n| 2 | RED  MAPLE | 6 |",
    )
    assert checked.records["hours"]["crew"].to_list() == ["Red Maple", "Red Maple"]


def test_a_near_miss_of_a_crew_is_a_warning_and_is_not_changed() -> None:
    checked = check(
        jobs="| job_no | feet | crew |\n| 1 | 100 | Badger |\n| 2 | 100 | Badger |",
        hours="| job_no | crew | hours |\n| 1 | Bager | 6 |\n| 2 | Yard | 6 |",
    )
    assert_findings(
        checked,
        '| source_row | message |\n| 2 | "Bager" leads no job; did you mean Badger? |',
        severity="warning",
    )
    assert checked.records["hours"]["crew"].to_list() == ["Bager", "Yard"]


def test_numbered_crews_are_not_slips_of_each_other() -> None:
    checked = check(
        jobs="| job_no | feet | crew |\n| 1 | 100 | Crew 1 |",
        hours="| job_no | crew | hours |\n| 1 | Crew 2 | 6 |",
    )
    assert messages(checked, "warning") == []


def test_a_crew_or_branch_of_one_job_beside_a_near_one_of_many_is_a_warning() -> None:
    # Ten times as many jobs is the least that makes the rare spelling a likely slip.
    jobs = "\n".join(f"| {job} | 100 | Badger | Quillmere |" for job in range(1, 11))
    head = "| job_no | feet | crew | branch |"
    checked = check(jobs=f"{head}\n{jobs}\n| 90 | 100 | Bagder | Quilmere |")
    assert_findings(
        checked,
        """
            | source_row | message                                                |
            | 12         | "Bagder" is rare among the jobs; did you mean Badger?  |
            | 12         | "Quilmere" is rare among the jobs; did you mean Quillmere? |
        """,
    )
    fewer = "\n".join(jobs.splitlines()[:9])
    assert messages(check(jobs=f"{head}\n{fewer}\n| 90 | 100 | Bagder | Quilmere |")) == []
