"""measures.job_cost and measures.worker_years: burden by worker and calendar year, up to the bases of the taxes."""

from support.tables import Season, assert_table, measure

RATES = {"social_security": "0.06", "medicare": "0", "futa": "0"}
TWO_JOBS = """
    | job_no | feet |
    | 1      | 100  |
    | 2      | 300  |
"""
WORKERS = """
    | worker_no | hourly_wage |
    | W1        | 100         |
"""
NOVEMBER = """
    | job_no | worker_no | work_date  | hours |
    | 1      | W1        | 2025-11-10 | 10    |
    | 2      | W1        | 2025-11-20 | 10    |
"""
NOVEMBER_AND_JANUARY = """
    | job_no | worker_no | work_date  | task     | hours |
    | 1      | W1        | 2025-11-10 | install  | 10    |
    | 2      | W1        | 2026-01-12 | takedown | 5     |
"""


def workers(paid_before: str) -> str:
    return f"| worker_no | hourly_wage | paid_before |\n| W1 | 100 | {paid_before} |"


def test_social_security_stops_in_mid_season_and_no_job_looks_dear_for_coming_first() -> None:
    """IRS Pub. 15: 6.2 % to a base of 176,100 in 2025; Medicare 1.45 % without one; FUTA's 7,000 were passed before.

    170,000 came before, 12,200 in the records: 6,100 lie under the base, 378.20 are due, .031 of each dollar. The job
    that came first bears .031 of its 4,000 though every dollar of it was still under the base.
    """
    season = Season(
        jobs=TWO_JOBS,
        workers="| worker_no | hourly_wage | paid_before |\n| W1 | | 170000 |",
        hours=NOVEMBER,
        pay="""
            | worker_no | kind | from_date  | to_date    | amount |
            | W1        | day  | 2025-11-10 | 2025-11-10 | 4000   |
            | W1        | day  | 2025-11-20 | 2025-11-20 | 8200   |
        """,
    )
    # 4,000 + 124 + 58 and 8,200 + 254.20 + 118.90
    assert_table(season.measure("measures.job_cost"), "| job_no | labor_usd |\n| 1 | 4182 |\n| 2 | 8573.10 |")
    assert_table(
        measure("measures.worker_years", season),
        """
            | year | before_usd | pay_usd | social_security_base_usd | social_security_usd | medicare_usd | futa_usd |
            | 2025 | 170000     | 12200   | 176100                   | 378.20              | 176.90       | 0        |
        """,
    )
    assert set(season.measure("audit.control")["difference_usd"]) == {0}


def test_futa_stops_at_7000_within_november() -> None:
    """IRS Pub. 15: .6 % of the first 7,000. 6,000 came before, 2,000 follow: 1,000 bear 6.00, .003 of each dollar."""
    season = Season(jobs=TWO_JOBS, workers=workers("6000"), hours=NOVEMBER)
    # 1,000 each: 62 + 14.50 + 3
    assert_table(season.measure("measures.job_cost"), "| job_no | labor_usd |\n| 1 | 1079.50 |\n| 2 | 1079.50 |")


def test_in_january_every_base_starts_again_and_nothing_came_before() -> None:
    season = Season(jobs=TWO_JOBS, workers=workers("7000"), hours=NOVEMBER_AND_JANUARY)
    # November 1,000 x 1.0765; January 500 x 1.0765 and .006 of 500
    assert_table(season.measure("measures.job_cost"), "| job_no | labor_usd |\n| 1 | 1076.50 |\n| 2 | 541.25 |")
    assert_table(
        measure("measures.worker_years", season),
        """
            | year | before_usd | pay_usd | social_security_base_usd | futa_usd |
            | 2025 | 7000       | 1000    | 176100                   | 0        |
            | 2026 | 0          | 500     | 184500                   | 3        |
        """,
    )


def test_a_full_year_under_futa_owes_42() -> None:
    """IRS Pub. 15: .6 % of 7,000 is 42."""
    season = Season(
        jobs="| job_no | feet |\n| 1 | 100 |",
        workers="| worker_no | hourly_wage |\n| W1 | 1000 |",
        hours="| job_no | worker_no | hours |\n| 1 | W1 | 10 |",
    )
    assert_table(measure("measures.worker_years", season), "| pay_usd | futa_usd |\n| 10000 | 42 |")


def test_the_state_s_base_may_be_each_year_s_own() -> None:
    season = Season(
        settings=RATES | {"social_security": "0", "state_unemployment": "0.03", "state_base": "9000",
                          "state_base:2026": "200"},
        jobs=TWO_JOBS,
        workers=WORKERS,
        hours=NOVEMBER_AND_JANUARY,
    )  # fmt: skip
    # 1,000 x 1.03; 500 and .03 of 200
    assert_table(season.measure("measures.job_cost"), "| job_no | labor_usd |\n| 1 | 1030 |\n| 2 | 506 |")


def test_a_base_of_the_firm_s_own_stands_above_the_federal_one() -> None:
    season = Season(
        settings=RATES | {"social_security_base:2025": "400"},
        jobs="| job_no | feet |\n| 1 | 100 |",
        workers=WORKERS,
        hours="| job_no | worker_no | hours |\n| 1 | W1 | 10 |",
    )
    # 1,000 and .06 of 400
    assert_table(season.measure("measures.job_cost"), "| job_no | labor_usd |\n| 1 | 1024 |")


def test_a_worker_s_base_is_one_over_all_branches() -> None:
    season = Season(
        settings=RATES | {"social_security_base:2025": "1000"},
        jobs="| job_no | branch | feet |\n| 1 | north | 100 |\n| 2 | south | 300 |",
        workers=WORKERS,
        hours=NOVEMBER,
    )
    # 60 is due on 2,000
    assert_table(season.measure("measures.job_cost"), "| job_no | labor_usd |\n| 1 | 1030 |\n| 2 | 1030 |")


def test_the_largest_paid_before_of_a_worker_s_rows_counts() -> None:
    season = Season(
        settings=RATES | {"social_security_base:2025": "1000"},
        jobs="| job_no | feet |\n| 1 | 100 |",
        workers="""
            | worker_no | hourly_wage | from_date  | paid_before |
            | W1        | 90          |            | 400         |
            | W1        | 100         | 2025-11-01 | 700         |
        """,
        hours="| job_no | worker_no | hours |\n| 1 | W1 | 10 |",
    )
    # 300 are left under the base
    assert_table(season.measure("measures.job_cost"), "| job_no | labor_usd |\n| 1 | 1018 |")


def season_before(days: int = 4, **settings: str) -> Season:
    """Season 2024, of which W1 worked so many days of 10 h in January 2025."""
    hours = "\n".join(f"| 9 | W1 | 2025-01-{day} | takedown | 10 |" for day in range(13, 13 + days))
    return Season(
        season=2024,
        settings=settings,
        jobs="| job_no | feet | install_date |\n| 9 | 100 | 2024-11-10 |",
        workers=WORKERS,
        hours=f"| job_no | worker_no | work_date | task | hours |\n{hours}",
    )


def test_january_to_may_come_from_the_season_before_where_the_store_has_it() -> None:
    """paid_before holds January's pay too, so that is taken off: 1,000 came before and is in no record."""
    after = Season(
        jobs="| job_no | feet |\n| 1 | 100 |",
        workers=workers("5000"),
        hours="| job_no | worker_no | hours |\n| 1 | W1 | 20 |\n| 1 | W1 | 20 |",
    )
    seasons = (season_before(), after)
    # 4,000 in January and 4,000 in November: 6,000 of the first 7,000 at .006 is 36, 18 for each
    assert_table(
        measure("measures.worker_years", *seasons),
        """
            | year | worker_no | seasons    | pay_usd | before_usd | futa_usd |
            | 2025 | W1        | 2024, 2025 | 8000    | 1000       | 36       |
        """,
    )
    # 4,000 x 1.0765 + 18, the same for both seasons
    assert_table(
        measure("measures.job_cost", *seasons),
        "| season | job_no | labor_usd |\n| 2024 | 9 | 4324 |\n| 2025 | 1 | 4324 |",
    )
    assert set(measure("audit.control", *seasons)["difference_usd"]) == {0}


def test_a_paid_before_that_the_season_before_explains_in_full_adds_nothing() -> None:
    after = Season(
        jobs="| job_no | feet |\n| 1 | 100 |",
        workers=workers("3900"),
        hours="| job_no | worker_no | hours |\n| 1 | W1 | 10 |",
    )
    assert_table(
        measure("measures.worker_years", season_before(), after),
        "| year | pay_usd | before_usd | futa_usd |\n| 2025 | 5000 | 0 | 30 |",
    )


def test_each_season_s_own_rates_hold_for_its_own_hours() -> None:
    none = {"social_security": "0", "medicare": "0", "futa": "0"}
    before = season_before(days=1, **none, state_unemployment="0.02", state_base="1500")
    after = Season(
        settings=none | {"state_unemployment": "0.04", "state_base": "1600"},
        jobs="| job_no | feet |\n| 1 | 100 |",
        workers=WORKERS,
        hours="| job_no | worker_no | hours |\n| 1 | W1 | 10 |",
    )
    # 2,000 in the year: by the old rules 30 is due, by the new 64; each season bears half of its own
    assert_table(
        measure("measures.job_cost", before, after),
        "| season | job_no | labor_usd |\n| 2024 | 9 | 1015 |\n| 2025 | 1 | 1032 |",
    )
    assert_table(
        measure("measures.worker_years", before, after),
        "| year | state_base_usd | state_unemployment_usd |\n| 2025 | 1600 | 47 |",
    )


def test_held_hours_count_for_the_base_and_bear_their_share() -> None:
    season = Season(
        settings=RATES | {"social_security_base:2025": "1000"},
        jobs="| job_no | feet |\n| 1 | 100 |",
        workers=WORKERS,
        hours="| job_no | worker_no | hours |\n| 1 | W1 | 15 |",
        refused={"hours": "| job_no | worker_no | hours | place | why |\n| 99 | W1 | 5 | held | no such job |"},
    )
    # 60 is due on 2,000: 45 of it on the job
    assert_table(season.measure("measures.job_cost"), "| job_no | labor_usd |\n| 1 | 1545 |")
    assert season.measure("audit.control")["refused_usd"].sum() == 515
