"""facts.feed_runs, facts.feeds and facts.circuits: what hangs on a plug and on a circuit; days that lights hung."""

from __future__ import annotations

from support.tables import Season, assert_table

ITEMS = """
    | item_no | kind       | watts | volts | gauge |
    | LL12    | light_line |       | 120   | 18    |
    | LL16    | light_line |       | 120   | 16    |
    | LLX     | light_line |       | 24    |       |
    | B9      | bulb       | 0.6   | 120   |       |
    | B7      | bulb       | 5     | 120   |       |
    | BX      | bulb       |       |       |       |
"""
JOBS = """
    | job_no | crew  | install_date | takedown_date |
    | 1      | Maple | 2025-11-01   | 2026-01-30    |
    | 2      | Birch | 2025-11-01   | 2026-01-31    |
    | 3      | Birch | 2025-11-20   |               |
"""


def test_feet_sockets_and_watts_are_those_of_the_runs_on_the_plug() -> None:
    season = Season(
        jobs=JOBS,
        items=ITEMS,
        runs="""
            | job_no | run_no | feet | spacing_in | line_item | bulb_item | feed |
            | 1      | 1      | 100  | 12         | LL12      | B9        | A    |
            | 1      | 2      | 50   | 6          | LL16      | B7        | A    |
            | 2      | 1      | 40   | 12         | LL16      | B9        | A    |
        """,
    )
    # Job 1: 100 + 100 sockets, 60 + 500 W, the thinner wire governs.
    assert_table(
        season.measure("facts.feeds"),
        """
            | job_no | feed | crew  | runs | feet | sockets | watts | volts | gauge | has_mixed_volts |
            | 1      | A    | Maple | 2    | 150  | 200     | 560   | 120   | 18    | no              |
            | 2      | A    | Birch | 1    | 40   | 40      | 24    | 120   | 16    | no              |
        """,
    )


def test_alternating_colours_count_by_their_shares() -> None:
    season = Season(
        jobs=JOBS,
        items=ITEMS,
        runs="""
            | job_no | run_no | feet | spacing_in | bulb_item | feed |
            | 1      | 1      | 100  | 12         | B9        | A    |
        """,
        run_bulbs="""
            | job_no | run_no | bulb_item | share |
            | 1      | 1      | B9        | 0.75  |
            | 1      | 1      | B7        | 0.25  |
        """,
    )
    # 100 x (.75 x .6 + .25 x 5)
    assert_table(season.measure("facts.feed_runs"), "| run_no | watts |\n| 1 | 170 |")


def test_what_is_not_known_stays_unknown_and_is_never_nothing() -> None:
    season = Season(
        jobs=JOBS,
        items=ITEMS,
        runs="""
            | job_no | run_no | feet | line_item | bulb_item | feed |
            | 1      | 1      | 100  | LL12      | B9        | A    |
            | 1      | 2      | 100  | LL12      | BX        | A    |
            | 1      | 3      | 30   | LLX       | B9        | B    |
            | 1      | 4      | 30   | LL12      | B9        | B    |
            | 2      | 1      | 70   | LL12      | B9        |      |
        """,
    )
    # A bulb without watts; two voltages on one plug; a run that names no plug is on no feed.
    assert_table(
        season.measure("facts.feeds"),
        """
            | job_no | feed | feet | watts | volts | gauge | has_mixed_volts |
            | 1      | A    | 200  |       | 120   | 18    | no              |
            | 1      | B    | 60   | 36    |       | 18    | yes             |
        """,
    )


def test_a_circuit_adds_its_feeds_and_runs_without_one_stand_together() -> None:
    season = Season(
        jobs=JOBS,
        items=ITEMS,
        runs="""
            | job_no | run_no | feet | bulb_item | feed | circuit |
            | 1      | 1      | 100  | B9        | A    | 3       |
            | 1      | 2      | 100  | B7        | B    | 3       |
            | 1      | 3      | 20   | B9        | B    | 4       |
            | 2      | 1      | 50   | B9        | A    |         |
            | 2      | 2      | 50   | B9        | B    |         |
        """,
    )
    assert_table(
        season.measure("facts.circuits"),
        """
            | job_no | circuit | feeds | runs | watts |
            | 1      | 3       | 2     | 2    | 560   |
            | 1      | 4       | 1     | 1    | 12    |
            | 2      |         | 2     | 2    | 60    |
        """,
    )
    # A feed that is said to be on two circuits is on none for certain.
    assert_table(
        season.measure("facts.feeds"),
        """
            | job_no | feed | circuit |
            | 1      | A    | 3       |
            | 1      | B    |         |
            | 2      | A    |         |
            | 2      | B    |         |
        """,
    )


def test_days_up_run_from_installation_to_takedown_and_are_open_before_it() -> None:
    # November has 30 days: 1 November to 30 January is 90 days, to 31 January 91.
    assert_table(
        Season(jobs=JOBS).measure("measures.installation_days"),
        """
            | job_no | days_up |
            | 1      | 90      |
            | 2      | 91      |
            | 3      |         |
        """,
    )
