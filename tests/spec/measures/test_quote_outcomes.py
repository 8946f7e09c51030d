"""facts.quote_outcomes: a quote is counted once, as its last revision left it; old open ones are lost."""

from support.tables import Season, assert_table

JOBS = """
    | job_no | branch | feet | install_date | takedown_date |
    | 1      | North  | 100  | 2025-11-10   | 2026-01-15    |
"""


def test_the_last_revision_of_a_quote_counts_and_the_others_do_not() -> None:
    quotes = """
        | quote_no | branch | customer_no | quote_date | feet | price | outcome | work | stories | job_no | revision |
        | Q1       | North  | C1          | 2025-09-01 | 100  | 800   | open    | new  | 2       |        | 0        |
        | Q1       | North  | C1          | 2025-09-08 | 100  | 750   | won     | new  | 2       | 1      | 1        |
        | Q2       | North  | C2          | 2025-09-02 | 160  | 1200  | lost    | new  | 1       |        | 0        |
        | Q1       | South  | C3          | 2025-09-03 | 50   | 400   | lost    |      |         |        | 0        |
    """
    # The same number in two branches is two quotes. 750 / 100 = 7.5; 1200 / 160 = 7.5; 400 / 50 = 8.
    assert_table(
        Season(jobs=JOBS, quotes=quotes).measure("facts.quote_outcomes"),
        """
            | branch | quote_no | revisions | work | price_usd_per_ft | outcome | is_aged |
            | North  | Q1       | 2         | new  | 7.5              | won     | no      |
            | North  | Q2       | 1         | new  | 7.5              | lost    | no      |
            | South  | Q1       | 1         |      | 8                | lost    | no      |
        """,
    )


def test_an_open_quote_of_more_than_60_days_counts_as_lost() -> None:
    # The last day on record is the takedown of 15 January; 60 days before it is 16 November.
    quotes = """
        | quote_no | quote_date | feet | price | outcome |
        | Q1       | 2025-11-15 | 100  | 800   | open    |
        | Q2       | 2025-11-16 | 100  | 800   | open    |
        | Q3       | 2025-09-01 | 100  | 800   | won     |
    """
    assert_table(
        Season(jobs=JOBS, quotes=quotes).measure("facts.quote_outcomes"),
        """
            | quote_no | outcome | is_aged |
            | Q1       | lost    | yes     |
            | Q2       | open    | no      |
            | Q3       | won     | no      |
        """,
    )
