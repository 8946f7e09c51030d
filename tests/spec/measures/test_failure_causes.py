"""measures.failure_causes, facts.call_waits, facts.failure_costs: what went wrong, how long it took, what it cost."""

from support.tables import Season, assert_table

JOBS = """
    | job_no | branch | feet |
    | 1      | North  | 100  |
    | 2      | South  | 100  |
"""
CALLS = """
    | call_no | job_no | branch | call_date  | fixed_date | cause     | points |
    | S1      | 1      | North  | 2025-12-01 | 2025-12-01 | plug      | 2      |
    | S2      | 1      | North  | 2025-12-01 | 2025-12-03 | water     | 1      |
    | S3      | 2      | South  | 2025-12-01 | 2025-12-05 | plug      | 1      |
    | S4      | 2      | South  | 2025-12-01 |            | dead_bulb | 4      |
"""


def test_causes_are_counted_by_calls_and_by_points() -> None:
    assert_table(
        Season(jobs=JOBS, service_calls=CALLS).measure("measures.failure_causes"),
        """
            | branch | cause     | calls | points | share |
            | North  | plug      | 1     | 2      | 2/3   |
            | North  | water     | 1     | 1      | 1/3   |
            | South  | plug      | 1     | 1      | 1/5   |
            | South  | dead_bulb | 1     | 4      | 4/5   |
            | all    | plug      | 2     | 3      | 3/8   |
            | all    | water     | 1     | 1      | 1/8   |
            | all    | dead_bulb | 1     | 4      | 4/8   |
        """,
    )


def test_a_call_waits_until_it_is_mended_and_an_open_one_to_the_last_day_of_the_records() -> None:
    # The last day that any call shows is S3's mending on 5 December; S4 was still open then.
    assert_table(
        Season(jobs=JOBS, service_calls=CALLS).measure("facts.call_waits"),
        """
            | branch | call_no | days | is_mended |
            | North  | S1      | 0    | yes       |
            | North  | S2      | 2    | yes       |
            | South  | S3      | 4    | yes       |
            | South  | S4      | 4    | no        |
        """,
    )


def test_an_open_call_waits_no_longer_than_its_job_stands() -> None:
    season = Season(
        jobs="""
            | job_no | feet | takedown_date |
            | 1      | 100  | 2025-12-03    |
            | 2      | 100  | 2026-01-10    |
        """,
        service_calls="""
            | call_no | job_no | call_date  | fixed_date |
            | S1      | 1      | 2025-12-01 |            |
            | S2      | 1      | 2025-12-05 |            |
            | S3      | 2      | 2025-12-08 | 2025-12-08 |
        """,
    )
    # S1: to takedown, 2 days. S2 came after takedown: 0.
    assert_table(
        season.measure("facts.call_waits"),
        """
            | call_no | days | is_mended |
            | S1      | 2    | no        |
            | S2      | 0    | no        |
            | S3      | 0    | yes       |
        """,
    )


def test_an_empty_sheet_means_no_calls() -> None:
    season = Season(jobs=JOBS, service_calls="| call_no |")
    assert season.measure("measures.failure_causes").is_empty()
    assert_table(
        season.measure("facts.call_counts"),
        """
            | branch | calls | open_calls |
            | North  | 0     | 0          |
            | South  | 0     | 0          |
            | all    | 0     | 0          |
        """,
    )


def test_open_calls_are_counted_by_branch() -> None:
    assert_table(
        Season(jobs=JOBS, service_calls=CALLS).measure("facts.call_counts"),
        """
            | branch | calls | open_calls |
            | North  | 2     | 0          |
            | South  | 2     | 1          |
            | all    | 4     | 1          |
        """,
    )


def test_a_missing_sheet_means_that_calls_are_unknown() -> None:
    assert Season(jobs=JOBS).measure("facts.call_counts").is_empty()


def test_a_fault_s_cost_is_that_of_its_job_s_service() -> None:
    """2 h of service at $20 on job 1 with three points; an hour at job 2 without a call; job 3 has neither."""
    season = Season(
        jobs="""
            | job_no | feet |
            | 1      | 100  |
            | 2      | 100  |
            | 3      | 100  |
        """,
        workers="""
            | worker_no | hourly_wage |
            | W1        | 20          |
        """,
        hours="""
            | work_date  | job_no | task    | hours |
            | 2025-11-10 | 3      | install | 4     |
            | 2025-12-02 | 1      | service | 2     |
            | 2025-12-03 | 2      | service | 1     |
        """,
        service_calls="""
            | call_no | job_no | points |
            | S1      | 1      | 1      |
            | S2      | 1      | 2      |
        """,
        settings={"social_security": "0", "medicare": "0", "futa": "0"},
    )
    assert_table(
        season.measure("facts.failure_costs"),
        """
            | job_no | calls | points | service_usd |
            | 1      | 2     | 3      | 40          |
            | 2      | 0     | 0      | 20          |
        """,
    )
