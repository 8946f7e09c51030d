"""measures.missing_costs: what is missing from the season's costs, and what it or one step of it would change."""

import polars as pl
from support.tables import Season, assert_table

RATES = {"social_security": "0", "medicare": "0", "futa": "0", "state_unemployment": "0.03", "state_base": "9000"}
JOBS = "| job_no | feet | drive_miles |\n| 1 | 100 | 10 |\n| 2 | 300 | 20 |"
NO_SHRINKAGE_KNOWN = {"compensation": "0.08"}


def missing(thing: str, season: Season) -> pl.DataFrame:
    found = season.measure("measures.missing_costs")
    return found.filter(found["thing"] == thing)


def test_state_unemployment_lies_between_one_percent_under_the_federal_base_and_of_all_pay() -> None:
    season = Season(
        settings={"social_security": "0", "medicare": "0", "futa": "0", "compensation": "0.08"},
        jobs=JOBS,
        workers="| worker_no | hourly_wage | paid_before |\n| W1 | 20 | |\n| W2 | 40 | 6800 |",
        hours="| job_no | worker_no | hours |\n| 1 | W1 | 15 |\n| 2 | W1 | 15 |\n| 2 | W2 | 20 |",
    )
    # W1 earned 600, all of it under 7,000; W2 800, of which 200 after the 6,800 before. 1 % of 800 and of 1,400.
    # Over 400 ft: 8 / 400 = .02 and 14 / 400 = .035.
    assert_table(
        missing("state_unemployment", season),
        """
            | quantity | unit | low_usd | high_usd | low_usd_per_ft | high_usd_per_ft |
            | 1400     | usd  | 8       | 14       | 0.02           | 0.035           |
        """,
    )


def test_a_role_without_a_compensation_rate_is_named_with_its_pay_and_one_with_a_rate_is_not() -> None:
    season = Season(
        settings=RATES | {"compensation:installer": "0.09"},
        jobs=JOBS,
        workers="| worker_no | role | hourly_wage |\n| W1 | installer | 20 |\n| W2 | driver | 40 |",
        hours="""
            | job_no | work_date  | worker_no | hours |
            | 1      | 2025-11-10 | W1        | 20    |
            | 2      | 2025-11-10 | W2        | 20    |
            | 2      | 2025-11-11 | W2        | 20    |
            | 2      | 2025-11-12 | W2        | 10    |
        """,
    )
    # W2's 50 h x 40 = 2,000; the premium of the 10 hours over 40 is left out, as the insurer leaves it out: 20 / 400 ft
    assert_table(
        missing("compensation", season),
        "| about | quantity | low_usd | high_usd | high_usd_per_ft |\n| driver | 2000 | 20 | 20 | 0.05 |",
    )


def test_the_owner_s_hours_without_a_wage_stand_by_ten_dollars_an_hour() -> None:
    season = Season(
        settings=RATES | NO_SHRINKAGE_KNOWN, jobs=JOBS, workers="| worker_no | engaged |\n| W1 | owner |",
        hours="| job_no | worker_no | hours |\n| 1 | W1 | 6 |\n| 2 | W1 | 2 |",
    )  # fmt: skip
    assert_table(
        missing("owner_wage", season),
        "| quantity | unit | low_usd | high_usd | low_usd_per_ft |\n| 8 | h | 80 | 80 | 0.2 |",
    )


def test_hours_without_a_wage_are_taken_at_the_median_loaded_hour() -> None:
    season = Season(
        settings=RATES | {"state_unemployment": "0", "compensation": "0"},
        jobs=JOBS,
        workers="| worker_no | hourly_wage |\n| W1 | 18 |\n| W2 | 20 |\n| W3 | 30 |",
        hours="| job_no | worker_no | hours |\n| 1 | W1 | 1 |\n| 1 | W2 | 1 |\n| 2 | W3 | 1 |\n| 2 | W4 | 5 |",
    )
    # The middle of 18, 20 and 30 is 20: 5 h are 100
    assert_table(missing("wage", season), "| quantity | unit | low_usd | low_usd_per_ft |\n| 5 | h | 100 | 0.25 |")


def test_an_item_without_a_price_is_taken_at_the_median_of_its_kind_and_without_one_nothing_is_said() -> None:
    season = Season(
        settings=RATES | NO_SHRINKAGE_KNOWN,
        jobs=JOBS,
        runs="| job_no | run_no | feet | bulb_item |\n| 1 | 1 | 100 | B4 |",
        items="""
            | item_no | kind   | unit | pack_size | pack_price |
            | B1      | bulb   | each | 10        | 4          |
            | B2      | bulb   | each | 10        | 6          |
            | B3      | bulb   | each | 10        | 9          |
        """,
        materials="""
            | job_no | item_no | moved    | quantity |
            | 1      | B4      | issued   | 120      |
            | 1      | B4      | returned | 20       |
            | 2      | T1      | issued   | 3        |
            | 2      | B1      | issued   | 10       |
        """,
    )
    # Bulbs are .40, .60 and .90 each. B4 is on no list of items and a bulb by the runs: 100 x .60 = 60. What T1 is
    # nobody says.
    assert_table(
        missing("price", season).sort("about"),
        """
            | about | quantity | unit | low_usd | high_usd | high_usd_per_ft |
            | B4    | 100      | each | 60      | 60       | 0.15            |
            | T1    | 3        |      |         |          |                 |
        """,
    )


def test_jobs_without_miles_or_hours_are_taken_at_the_median_of_the_others() -> None:
    season = Season(
        settings=RATES | {"state_unemployment": "0", "compensation": "0"},
        jobs="| job_no | feet | drive_miles |\n| 1 | 100 | 10 |\n| 2 | 300 | |\n| 3 | 100 | 30 |",
        workers="| worker_no | hourly_wage |\n| W1 | 20 |",
        hours="""
            | job_no | work_date  | worker_no | hours |
            | 1      | 2025-11-10 | W1        | 2     |
            | 2      | 2025-11-11 | W1        | 3     |
        """,
    )
    # Miles: job 1 has 7.00; jobs 2 and 3 have none that is known: 2 x 7 = 14 over 500 ft.
    # Hours: labor a foot is 40 / 100 and 60 / 300, in the middle .30; job 3 has 100 ft: 30 over 500 ft.
    assert_table(missing("miles", season), "| quantity | low_usd | low_usd_per_ft |\n| 2 | 14 | 0.028 |")
    assert_table(missing("hours", season), "| quantity | unit | low_usd | low_usd_per_ft |\n| 100 | ft | 30 | 0.06 |")


def test_goods_that_no_count_at_both_ends_can_miss_stand_by_one_percent() -> None:
    items = "| item_no | kind | unit | pack_size | pack_price |\n| B1 | bulb | each | 10 | 4 |"
    given = {"settings": RATES | NO_SHRINKAGE_KNOWN, "jobs": JOBS, "items": items,
             "materials": "| job_no | item_no | quantity |\n| 1 | B1 | 100 |"}  # fmt: skip
    # 100 x .40 = 40 issued: 1 % is .40 over 400 ft
    assert_table(
        missing("stock_counts", Season(**given)),  # type: ignore[arg-type]
        "| quantity | low_usd | high_usd_per_ft |\n| 40 | 0.4 | 0.001 |",
    )
    counted = "| item_no | counted_on | on_hand |\n| B1 | 2025-10-01 | 500 |\n| B1 | 2026-02-01 | 390 |"
    bought = "| item_no | packs | pack_size | paid |"
    found = Season(stock=counted, purchases=bought, **given).measure("measures.missing_costs")  # type: ignore[arg-type]
    assert "stock_counts" not in found["thing"].to_list()


def test_a_season_that_lacks_nothing_has_no_row() -> None:
    season = Season(
        settings=RATES | NO_SHRINKAGE_KNOWN, jobs=JOBS, workers="| worker_no | hourly_wage |\n| W1 | 20 |",
        hours="| job_no | worker_no | hours |\n| 1 | W1 | 1 |\n| 2 | W1 | 1 |",
    )  # fmt: skip
    assert season.measure("measures.missing_costs").is_empty()
