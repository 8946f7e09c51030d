"""facts.connection_weeks, facts.connection_goods and measures.failure_repeats: failures by week, and of what."""

from support.tables import Season, assert_table

JOBS = """
    | job_no | work   | built_season | feet | install_date | lit_nights |
    | 1      | new    |              | 100  | 2025-11-20   | 10         |
    | 2      | repeat | 2023         | 100  | 2025-11-30   | 3          |
    | 3      | repeat |              | 100  | 2025-11-30   | 0          |
"""
CONNECTIONS = """
    | job_no | kind   | count |
    | 1      | plug   | 4     |
    | 1      | splice | 2     |
    | 2      | plug   | 5     |
    | 3      | plug   | 5     |
"""
CALLS = """
    | call_no | job_no | call_date  | fixed_date | connection_kind | points |
    | S1      | 1      | 2025-11-22 | 2025-11-24 | plug            | 2      |
    | S2      | 1      | 2025-12-02 | 2025-12-02 | plug            | 1      |
    | S3      | 1      | 2025-11-25 | 2025-11-25 | splice          | 3      |
"""


def test_nights_are_those_from_installation_on_by_week_and_points_those_of_their_call() -> None:
    # Job 1 is lit from Thursday 20 to Saturday 29 Nov: 3 nights of the week from Sunday 16, 7 of that from 23.
    # Plugs: 4 x 10 - 2 points x 2 nights down = 36, of which 3/10 and 7/10. S2 comes after those nights.
    # Job 2: Sunday 30 Nov to Tuesday 2 Dec. Job 3 was never lit.
    season = Season(jobs=JOBS, connections=CONNECTIONS, service_calls=CALLS)
    assert_table(
        season.measure("facts.connection_weeks"),
        """
            | job_no | kind   | week_start | age_seasons | connections | connection_nights | failed_points |
            | 1      | plug   | 2025-11-16 | 0           | 4           | 10.8              | 2             |
            | 1      | plug   | 2025-11-23 | 0           | 4           | 25.2              | 0             |
            | 1      | plug   | 2025-11-30 | 0           | 4           | 0                 | 1             |
            | 1      | splice | 2025-11-16 | 0           | 2           | 6                 | 0             |
            | 1      | splice | 2025-11-23 | 0           | 2           | 14                | 3             |
            | 2      | plug   | 2025-11-30 | 2           | 5           | 15                | 0             |
        """,
    )


def test_the_week_begins_when_the_firm_s_week_does() -> None:
    season = Season(jobs=JOBS, connections=CONNECTIONS, service_calls=CALLS, settings={"week_starts": "saturday"})
    assert_table(
        season.measure("facts.connection_weeks").filter(job_no="1", kind="splice"),
        """
            | week_start | connection_nights | failed_points |
            | 2025-11-15 | 4                 | 0             |
            | 2025-11-22 | 14                | 3             |
            | 2025-11-29 | 2                 | 0             |
        """,
    )


def test_a_job_counts_with_the_surface_of_most_of_its_feet() -> None:
    season = Season(
        jobs=JOBS,
        connections=CONNECTIONS,
        service_calls="| call_no |",
        runs="""
            | job_no | run_no | surface | feet |
            | 1      | 1      | ridge   | 30   |
            | 1      | 2      | gutter  | 40   |
            | 1      | 3      | ridge   | 30   |
        """,
    )
    rows = season.measure("facts.connection_weeks")
    assert set(rows.filter(job_no="1")["surface"]) == {"ridge"}
    assert set(rows.filter(job_no="2")["surface"]) == {"not known"}


def test_without_a_service_calls_sheet_the_failures_are_unknown() -> None:
    rows = Season(jobs=JOBS, connections=CONNECTIONS).measure("facts.connection_weeks")
    assert rows["failed_points"].null_count() == rows.height > 0


def test_a_later_call_for_the_same_kind_may_be_a_repeat_and_more_failures_than_points_surely_are() -> None:
    # Plugs: one of three points failed on a later call; job 1 has 4. Splices: three failed of the two that it has.
    season = Season(jobs=JOBS, connections=CONNECTIONS, service_calls=CALLS)
    assert_table(
        season.measure("measures.failure_repeats").filter(branch="all"),
        """
            | kind   | jobs_failed | jobs_failed_again | failed_points | later_points | sure_repeats |
            | plug   | 1           | 1                 | 3             | 1            | 0            |
            | splice | 1           | 0                 | 3             | 0            | 1            |
            | all    | 2           | 1                 | 6             | 1            | 1            |
        """,
    )


def test_a_connection_s_piece_costs_what_was_paid_by_what_was_built_of_each() -> None:
    # Plugs: 4 of P1 at $1 and 2 of P2 at $4 stand in job 1: (4 x 1 + 2 x 4) / 6 = 2. Caps, none built: (.10 + .30) / 2.
    season = Season(
        jobs=JOBS,
        connections="""
            | job_no | kind | count | item_no |
            | 1      | plug | 2     | P1      |
            | 1      | plug | 1     | P2      |
        """,
        runs="""
            | job_no | run_no | feet |
            | 1      | 1      | 40   |
        """,
        items="""
            | item_no | kind       | unit | pack_size | pack_price | spacing_in | life_seasons |
            | P1      | plug       | each | 10        | 10         |            | 2            |
            | P2      | plug       | each | 10        | 40         |            | 5            |
            | C1      | cap        | each | 10        | 1          |            | 3            |
            | C2      | cap        | each | 10        | 3          |            | 3            |
            | LL12    | light_line | ft   | 100       | 40         | 12         | 4            |
            | Z1      | zip_cord   | ft   | 100       | 20         |            | 4            |
            | S1      | sundry     | each | 1         | 1          |            | 4            |
        """,
    )
    assert_table(
        season.measure("facts.connection_goods"),
        """
            | made_for      | spacing_in | pieces | unit_usd | life_seasons | built |
            | plug          |            | 2      | 2        | 3            | 6     |
            | capped_socket |            | 1      | 0.2      | 3            | 0     |
            | light_line    | 12         | 1      | 0.4      | 4            | 40    |
            | zip_cord      |            | 1      | 0.2      | 4            | 0     |
        """,
    )
