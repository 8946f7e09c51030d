"""Rows that belong to a job: held where the job is unknown, rejected, or not certain."""

from __future__ import annotations

from support.intake import JOBS, assert_findings, assert_places, check, messages


def test_a_row_of_an_unknown_job_is_held_with_a_suggestion_where_one_number_is_near() -> None:
    checked = check(
        jobs="""
            | job_no | feet |
            | 1042   | 100  |
            | 2077   | 100  |
        """,
        hours="""
            | job_no | hours |
            | 1024   | 2     |
            | 142    | 2     |
            | 1043   | 2     |
            | 10422  | 2     |
            | 9999   | 2     |
        """,
    )
    assert_findings(
        checked,
        """
            | severity | message                                                                  |
            | held     | "1024" is in no row of jobs; did you mean 1042?; this row is held        |
            | held     | "142" is in no row of jobs; did you mean 1042?; this row is held         |
            | held     | "1043" is in no row of jobs; did you mean 1042?; this row is held        |
            | held     | "10422" is in no row of jobs; did you mean 1042?; this row is held       |
            | held     | "9999" is in no row of jobs; this row is held                            |
        """,
        severity="held",
    )


def test_no_number_is_suggested_where_several_are_near() -> None:
    checked = check(hours="| job_no | hours |\n| 3 | 2 |")
    assert messages(checked, "held") == ['"3" is in no row of jobs; this row is held']


def test_rejecting_a_job_holds_its_rows_in_every_table() -> None:
    checked = check(
        jobs="| job_no | feet |\n| 1 | 100 |\n| 2 | 12O |",
        runs="| job_no | run_no | feet |\n| 2 | 1 | 100 |",
        run_bulbs="| job_no | run_no | share |\n| 2 | 1 | 1 |",
        connections="| job_no | count |\n| 2 | 3 |",
        hours="| job_no | hours |\n| 2 | 6 |",
        pay="| job_no | amount | kind |\n| 2 | 100 | subcontract |",
        materials="| job_no | quantity |\n| 2 | 10 |",
        service_calls="| call_no | job_no |\n| S1 | 2 |",
        receipts="| job_no | amount |\n| 2 | 50 |",
        equipment="| job_no | amount |\n| 2 | 50 |",
        quotes="| quote_no | job_no |\n| Q1 | 2 |",
    )
    for table, frame in checked.refused.items():
        if table != "jobs":
            assert frame["place"].to_list() == ["held"], table


def test_a_row_takes_the_branch_of_its_job() -> None:
    checked = check(
        jobs="| job_no | feet | branch |\n| 1 | 100 | A |\n| 2 | 100 | B |",
        hours="| job_no | hours |\n| 2 | 6 |\n| | 2 |",
    )
    assert_places(checked, "hours", "| job_no | branch |\n| 2 | B |\n|  |  |")


def test_a_row_whose_number_two_branches_have_is_held_until_it_names_one() -> None:
    checked = check(
        jobs="| job_no | feet | branch |\n| 1 | 100 | A |\n| 1 | 100 | B |",
        hours="| job_no | branch | hours |\n| 1 | | 6 |\n| 1 | B | 6 |",
    )
    assert_places(checked, "hours", "| source_row | place |\n| 2 | held |\n| 3 | accepted |")
    assert messages(checked, "held") == ['job "1" is in several branches, so this row is held']


def test_a_row_does_not_go_to_the_other_branch_because_its_own_job_was_rejected() -> None:
    checked = check(
        jobs="| job_no | feet | branch |\n| 1 | 100 | A |\n| 1 | 12O | B |",
        hours="| job_no | hours |\n| 1 | 6 |",
    )
    assert_places(checked, "hours", "| place |\n| held |")


def test_a_row_that_names_another_branch_than_its_job_is_held() -> None:
    checked = check(
        jobs="| job_no | feet | branch |\n| 1 | 100 | A |\n| 2 | 100 | B |",
        hours="| job_no | branch | hours |\n| 1 | B | 6 |",
    )
    assert messages(checked, "held") == ['job "1" is not in branch B, so this row is held']


def test_a_job_without_a_branch_is_of_the_main_one() -> None:
    assert_places(check(jobs=JOBS), "jobs", "| job_no | branch |\n| 1 | main |\n| 2 | main |")


def test_a_job_needs_feet_or_runs() -> None:
    checked = check(
        jobs="| job_no | feet |\n| 1 | 100 |\n| 2 | |\n| 3 | |",
        runs="| job_no | run_no | feet |\n| 2 | 1 | 80 |",
    )
    assert_places(
        checked, "jobs", "| job_no | feet | place |\n| 1 | 100 | accepted |\n| 2 | | accepted |\n| 3 | | rejected |"
    )


def test_feet_agree_with_the_runs_within_two_per_cent() -> None:
    # 2 % of 100 ft is 2 ft: 98 and 102 agree, 97.9 and 102.1 do not.
    checked = check(
        jobs="| job_no | feet |\n| 1 | 100 |\n| 2 | 100 |\n| 3 | 100 |\n| 4 | 100 |",
        runs="""
            | job_no | run_no | feet  |
            | 1      | 1      | 50    |
            | 1      | 2      | 48    |
            | 2      | 1      | 102   |
            | 3      | 1      | 97.9  |
            | 4      | 1      | 102.1 |
        """,
    )
    assert_findings(
        checked,
        """
            | source_row | rule                     | message                                          |
            | 4          | feet_agree_with_the_runs | "100" is more than 2 % off the 97.9 ft of its runs |
            | 5          | feet_agree_with_the_runs | "100" is more than 2 % off the 102.1 ft of its runs |
        """,
        severity="warning",
    )


def test_feet_that_disagree_because_a_run_was_rejected_say_so() -> None:
    checked = check(
        jobs="| job_no | feet |\n| 1 | 100 |",
        runs="| job_no | run_no | feet |\n| 1 | 1 | 60 |\n| 1 | 2 | 4O |",
    )
    assert messages(checked, "warning") == [
        '"100" is more than 2 % off the 60.0 ft of its runs (1 of its rows rejected)'
    ]


def test_repeat_work_is_on_lines_of_an_earlier_season() -> None:
    checked = check(
        jobs="""
            | job_no | feet | work   | built_season |
            | 1      | 100  | repeat | 2024         |
            | 2      | 100  | repeat | 2025         |
            | 3      | 100  | new    | 2025         |
        """
    )
    assert_findings(checked, "| source_row | severity |\n| 3 | warning |")


def test_the_alternating_bulbs_of_a_run_sum_to_one() -> None:
    checked = check(
        jobs=JOBS,
        runs="| job_no | run_no | feet |\n| 1 | 1 | 50 |\n| 1 | 2 | 50 |\n| 2 | 1 | 1OO |",
        run_bulbs="""
            | job_no | run_no | bulb_item | share |
            | 1      | 1      | RD        | 33.3% |
            | 1      | 1      | GN        | 33.3% |
            | 1      | 1      | WW        | 33.3% |
            | 1      | 2      | RD        | 0.5   |
            | 1      | 2      | GN        | 0.4   |
            | 2      | 1      | RD        | 1     |
            | 1      | 9      | RD        | 1     |
        """,
    )
    assert_places(
        checked,
        "run_bulbs",
        """
            | source_row | place    |
            | 2          | accepted |
            | 3          | accepted |
            | 4          | accepted |
            | 5          | rejected |
            | 6          | rejected |
            | 7          | held     |
            | 8          | held     |
        """,
    )


def test_a_share_beside_one_that_was_rejected_is_held() -> None:
    checked = check(
        run_bulbs="""
            | job_no | run_no | bulb_item | share |
            | 1      | 1      | RD        | half  |
            | 1      | 1      | GN        | 0.5   |
        """,
    )
    assert_places(checked, "run_bulbs", "| bulb_item | place |\n| RD | rejected |\n| GN | held |")
