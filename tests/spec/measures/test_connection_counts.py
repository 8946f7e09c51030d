"""facts.connection_exposure and facts.connection_counts: what failure points per connection is made of."""

from support.tables import Season, assert_table

JOBS = """
    | job_no | crew  | feet | install_date | takedown_date |
    | 1      | Maple | 100  | 2025-11-20   | 2026-01-09    |
    | 2      | Birch | 100  | 2025-12-01   | 2025-12-31    |
"""
CONNECTIONS = """
    | job_no | kind   | count |
    | 1      | plug   | 3     |
    | 1      | plug   | 1     |
    | 1      | splice | 2     |
    | 2      | plug   | 5     |
"""


def test_a_point_is_down_from_its_call_to_its_repair() -> None:
    season = Season(
        jobs=JOBS,
        connections=CONNECTIONS,
        service_calls="""
            | call_no | job_no | call_date  | fixed_date | connection_kind | points |
            | S1      | 1      | 2025-12-02 | 2025-12-05 | plug            | 2      |
        """,
    )
    # Job 1 is lit from 20 Nov to 9 Jan, 50 nights. Plugs: 4 x 50 - 2 x 3 = 194; splices: 2 x 50.
    # Job 2 is lit from 1 to 31 Dec, 30 nights: 5 x 30.
    assert_table(
        season.measure("facts.connection_exposure"),
        """
            | job_no | crew  | kind   | connections | lit_nights | nights_down | connection_nights | failed_points |
            | 1      | Maple | plug   | 4           | 50         | 6           | 194               | 2             |
            | 1      | Maple | splice | 2           | 50         | 0           | 100               | 0             |
            | 2      | Birch | plug   | 5           | 30         | 0           | 150               | 0             |
        """,
    )


def test_nights_are_lost_only_while_the_job_is_lit() -> None:
    season = Season(
        jobs=JOBS,
        connections=CONNECTIONS,
        service_calls="""
            | call_no | job_no | call_date  | fixed_date | connection_kind |
            | S1      | 1      | 2026-01-07 | 2026-01-20 | plug            |
            | S2      | 2      | 2025-12-29 |            | plug            |
        """,
    )
    # Lit to 9 Jan: 2 nights lost of the 13. The open call: 29 to 31 Dec, 2 nights.
    assert_table(
        season.measure("facts.connection_exposure"),
        """
            | job_no | kind   | nights_down | connection_nights |
            | 1      | plug   | 2           | 198               |
            | 1      | splice | 0           | 100               |
            | 2      | plug   | 2           | 148               |
        """,
    )


def test_counts_are_given_by_branch_and_kind_and_for_all() -> None:
    season = Season(
        jobs="""
            | job_no | branch | feet | lit_nights |
            | 1      | North  | 100  | 10         |
            | 2      | South  | 100  | 20         |
        """,
        connections="""
            | job_no | branch | kind  | count |
            | 1      | North  | plug  | 4     |
            | 1      | North  | timer | 1     |
            | 2      | South  | plug  | 3     |
        """,
        service_calls="""
            | call_no | job_no | branch | call_date  | fixed_date | connection_kind |
            | S1      | 2      | South  | 2025-11-12 | 2025-11-12 | plug            |
        """,
    )
    assert_table(
        season.measure("facts.connection_counts"),
        """
            | branch | kind  | connections | connection_nights | failed_points | unknown_kind_points |
            | North  | plug  | 4           | 40                | 0             | 0                   |
            | North  | timer | 1           | 10                | 0             | 0                   |
            | North  | all   | 5           | 50                | 0             | 0                   |
            | South  | plug  | 3           | 60                | 1             | 0                   |
            | South  | all   | 3           | 60                | 1             | 0                   |
            | all    | plug  | 7           | 100               | 1             | 0                   |
            | all    | timer | 1           | 10                | 0             | 0                   |
            | all    | all   | 8           | 110               | 1             | 0                   |
        """,
    )


def test_a_fault_of_unknown_kind_is_counted_apart_and_one_that_is_not_at_a_connection_not_at_all() -> None:
    season = Season(
        jobs=JOBS,
        connections=CONNECTIONS,
        service_calls="""
            | call_no | job_no | call_date  | fixed_date | cause     | connection_kind | points |
            | S1      | 1      | 2025-12-02 | 2025-12-02 | water     |                 | 3      |
            | S2      | 1      | 2025-12-02 | 2025-12-02 | dead_bulb | none            | 1      |
            | S3      | 2      | 2025-12-02 | 2025-12-02 | plug      | plug            | 1      |
        """,
    )
    assert_table(
        season.measure("facts.connection_counts").filter(branch="all"),
        """
            | kind   | connections | failed_points | unknown_kind_points |
            | plug   | 9           | 1             | 3                   |
            | splice | 2           | 0             | 3                   |
            | all    | 11          | 1             | 3                   |
        """,
    )


def test_a_failed_point_of_a_kind_that_the_job_does_not_list_is_not_lost() -> None:
    season = Season(
        jobs=JOBS,
        connections=CONNECTIONS,
        service_calls="""
            | call_no | job_no | call_date  | fixed_date | connection_kind |
            | S1      | 2      | 2025-12-02 | 2025-12-04 | timer           |
        """,
    )
    assert_table(
        season.measure("facts.connection_counts").filter(branch="all", kind="timer"),
        """
            | connections | connection_nights | failed_points |
            | 0           | 0                 | 1             |
        """,
    )


def test_without_a_service_calls_sheet_the_failures_are_unknown_and_not_none() -> None:
    season = Season(jobs=JOBS, connections=CONNECTIONS)
    assert_table(
        season.measure("facts.connection_counts").filter(branch="all", kind="all"),
        """
            | connections | connection_nights | failed_points | unknown_kind_points |
            | 11          | 450               |               |                     |
        """,
    )


def test_an_empty_service_calls_sheet_means_that_nothing_failed() -> None:
    season = Season(jobs=JOBS, connections=CONNECTIONS, service_calls="| call_no |")
    assert_table(
        season.measure("facts.connection_counts").filter(branch="all", kind="all"),
        """
            | connections | failed_points | unknown_kind_points |
            | 11          | 0             | 0                   |
        """,
    )


def test_without_a_connections_sheet_nothing_is_counted() -> None:
    season = Season(
        jobs=JOBS,
        service_calls="""
            | call_no | job_no | connection_kind |
            | S1      | 2      | plug            |
        """,
    )
    assert season.measure("facts.connection_counts").is_empty()
