"""Dates: as people write them, and what happens where day and month could be swapped."""

from __future__ import annotations

from support.intake import assert_findings, assert_places, assert_read, check, messages


def test_a_date() -> None:
    # 45975 days after 30 December 1899 is 14 November 2025: 45658 is 1 January 2025, as any spreadsheet shows,
    # and 14 November is the 318th day of that year (45658 + 317).
    assert_read(
        "jobs",
        "install_date",
        """
            | written             | value      |
            | 2025-11-14          | 2025-11-14 |
            | 2025-11-14T07:30:00 | 2025-11-14 |
            | 2025/11/14          | 2025-11-14 |
            | 11/14/2025          | 2025-11-14 |
            | 11/14/25            | 2025-11-14 |
            | 11-14-2025          | 2025-11-14 |
            | 14-Nov-25           | 2025-11-14 |
            | 14 November 2025    | 2025-11-14 |
            | Nov 14, 2025        | 2025-11-14 |
            | Friday, November 14, 2025 | 2025-11-14 |
            | 45975               | 2025-11-14 |
            | 11/31/2025          | -          |
            | 2025-02-30          | -          |
            | 11/14               | -          |
            | next week           | -          |
            | 14                  | -          |
        """,
    )


def test_the_month_comes_first_unless_the_settings_say_otherwise() -> None:
    jobs = """
        | job_no | feet | install_date |
        | 1      | 100  | 11/12/2025   |
    """
    assert_places(check(jobs=jobs), "jobs", "| install_date |\n| 2025-11-12 |")
    other = "| setting | value |\n| date_order | dmy |"
    assert_places(check(jobs=jobs, settings=other), "jobs", "| install_date |\n| 2025-12-11 |")


def test_a_heading_that_names_the_order_decides_for_its_column() -> None:
    jobs = """
        | job_no | feet | install_date [dd/mm/yyyy] |
        | 1      | 100  | 11/12/2025                |
        | 2      | 100  | 25/11/2025                |
    """
    checked = check(jobs=jobs)
    assert_places(checked, "jobs", "| install_date |\n| 2025-12-11 |\n| 2025-11-25 |")
    assert checked.findings.is_empty()


def test_a_date_that_only_the_other_order_can_read_is_rejected_and_its_column_reported() -> None:
    checked = check(
        jobs="""
            | job_no | feet | install_date |
            | 1      | 100  | 11/12/2025   |
            | 2      | 100  | 25/11/2025   |
        """
    )
    assert_places(
        checked,
        "jobs",
        """
            | job_no | place    | install_date |
            | 1      | accepted | 2025-11-12   |
            | 2      | rejected |              |
        """,
    )
    assert_findings(
        checked,
        """
            | rule                     | severity | source_row |
            | install_date_can_be_read | error    | 3          |
            | dates_have_one_order     | warning  |            |
        """,
    )
    assert "1 of its dates could be read in either order" in messages(checked, "warning")[0]


def test_an_impossible_date_is_not_taken_for_the_other_order() -> None:
    checked = check(
        jobs="""
            | job_no | feet | install_date |
            | 1      | 100  | 11/12/2025   |
            | 2      | 100  | 11/31/2025   |
        """
    )
    assert_findings(checked, "| rule | severity |\n| install_date_can_be_read | error |")


def test_installation_and_takedown_lie_between_august_and_may() -> None:
    checked = check(
        jobs="""
            | job_no | feet | install_date | takedown_date |
            | 1      | 100  | 2025-07-31   | 2026-01-10    |
            | 2      | 100  | 2025-08-01   | 2026-05-31    |
            | 3      | 100  | 2025-12-01   | 2026-06-01    |
            | 4      | 100  | 2025-12-01   | 2025-11-30    |
            | 5      | 100  | 2025-12-01   | 2025-12-01    |
        """
    )
    assert_places(
        checked,
        "jobs",
        """
            | job_no | place    |
            | 1      | rejected |
            | 2      | accepted |
            | 3      | rejected |
            | 4      | rejected |
            | 5      | accepted |
        """,
    )


def test_the_season_is_that_of_most_installations() -> None:
    jobs = """
        | job_no | feet | install_date |
        | 1      | 100  | 2024-11-01   |
        | 2      | 100  | 2024-12-01   |
        | 3      | 100  | 2025-03-01   |
        | 4      | 100  | 2025-11-01   |
    """
    checked = check(season=None, jobs=jobs)
    assert checked.season == 2024
    assert_places(
        checked, "jobs", "| job_no | place |\n| 1 | accepted |\n| 2 | accepted |\n| 3 | accepted |\n| 4 | rejected |"
    )


def test_lights_burn_until_takedown_else_until_the_fifth_of_january() -> None:
    # 1 December to 11 January is 41 days, to 5 January 35.
    checked = check(
        jobs="""
            | job_no | feet | install_date | takedown_date | lit_nights |
            | 1      | 100  | 2025-12-01   | 2026-01-11    |            |
            | 2      | 100  | 2025-12-01   |               |            |
            | 3      | 100  | 2025-12-01   | 2026-01-11    | 30         |
        """
    )
    assert_places(checked, "jobs", "| job_no | lit_nights |\n| 1 | 41 |\n| 2 | 35 |\n| 3 | 30 |")
