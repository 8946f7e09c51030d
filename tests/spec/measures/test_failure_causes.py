"""measures.failure_causes and measures.call_times: what went wrong, and how long customers waited."""

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


def test_days_from_call_to_repair_are_those_of_the_mended_calls() -> None:
    # All: 0, 2 and 4 days; the median is 2; P90 lies at 0.9 x 2 = 1.8 steps: 2 + 0.8 x (4 - 2) = 3.6.
    # North: 0 and 2 days: median 1, P90 0.9 x 2 = 1.8. South: one mended call of 4 days, one open.
    assert_table(
        Season(jobs=JOBS, service_calls=CALLS).measure("measures.call_times"),
        """
            | branch | calls | open_calls | median_days | p90_days |
            | North  | 2     | 0          | 1           | 1.8      |
            | South  | 2     | 1          | 4           | 4        |
            | all    | 4     | 1          | 2           | 3.6      |
        """,
    )


def test_an_empty_sheet_means_no_calls() -> None:
    season = Season(jobs=JOBS, service_calls="| call_no |")
    assert season.measure("measures.failure_causes").is_empty()
    assert_table(
        season.measure("measures.call_times"),
        """
            | branch | calls | open_calls | median_days |
            | North  | 0     | 0          |             |
            | South  | 0     | 0          |             |
            | all    | 0     | 0          |             |
        """,
    )


def test_a_missing_sheet_means_that_calls_are_unknown() -> None:
    assert Season(jobs=JOBS).measure("measures.call_times").is_empty()
