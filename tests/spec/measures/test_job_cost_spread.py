"""measures.job_cost: travel, equipment and overhead, and cents that add up."""

from support.tables import Season, assert_table

SETTINGS = {"social_security": "0", "medicare": "0", "futa": "0"}
WORKERS = "| worker_no | hourly_wage |\n| W1 | 20 |"
THREE = (
    "| job_no | feet | drive_miles | invoiced |\n| 1 | 100 | 10 | 700 |\n| 2 | 100 | 30 | 900 |\n| 3 | 100 | 0 | 400 |"
)
HOURS = """
    | job_no | work_date  | worker_no | hours |
    | 1      | 2025-11-10 | W1        | 1     |
    | 2      | 2025-11-10 | W1        | 1     |
    | 3      | 2025-11-11 | W1        | 2     |
"""


def test_without_trips_a_job_bears_its_miles_over_the_jobs_of_the_crew_that_day() -> None:
    season = Season(settings=SETTINGS, jobs=THREE, workers=WORKERS, hours=HOURS)
    # 10 / 2 x .70 = 3.50; 30 / 2 x .70 = 10.50
    assert_table(season.measure("measures.job_cost"), "| job_no | travel_usd |\n| 1 | 3.50 |\n| 2 | 10.50 |\n| 3 | 0 |")


def test_a_trip_s_miles_go_over_the_crew_s_jobs_of_the_day_by_their_round_trips() -> None:
    trips = "| trip_date | miles |\n| 2025-11-10 | 16 |\n| 2025-11-10 | 4 |\n| 2025-11-11 | 8 |\n| 2025-11-15 | 10 |"
    season = Season(settings=SETTINGS, jobs=THREE, workers=WORKERS, hours=HOURS, trips=trips)
    # 10 November: 20 miles go 10 : 30 -> 3.50, 10.50. 11 November: job 3 alone, 8 -> 5.60.
    # 15 November, no job: 7.00 by hours 1 : 1 : 2 -> 1.75, 1.75, 3.50
    assert_table(
        season.measure("measures.job_cost"), "| job_no | travel_usd |\n| 1 | 5.25 |\n| 2 | 12.25 |\n| 3 | 9.10 |"
    )


def test_without_trips_or_drive_miles_travel_is_not_known() -> None:
    season = Season(
        settings=SETTINGS, jobs="| job_no | feet |\n| 1 | 100 |", workers=WORKERS,
        hours="| job_no | worker_no | hours |\n| 1 | W1 | 4 |",
    )  # fmt: skip
    found = season.measure("measures.job_cost")
    assert_table(found, "| job_no | travel_usd | total_usd | is_understated |\n| 1 | | 80 | yes |")


def test_a_mile_costs_the_rate_of_its_day_or_the_firm_s_own() -> None:
    jobs = "| job_no | feet | drive_miles |\n| 1 | 100 | 100 |"
    hours = "| job_no | worker_no | work_date | task | hours |\n| 1 | W1 | 2025-12-31 | install | 1 |\n"
    hours += "| 1 | W1 | 2026-01-02 | takedown | 1 |"
    season = Season(settings=SETTINGS, jobs=jobs, workers=WORKERS, hours=hours)
    assert_table(season.measure("measures.job_cost"), "| job_no | travel_usd |\n| 1 | 142.50 |")  # 70 + 72.50
    own = Season(settings=SETTINGS | {"mile_cost": "0.50"}, jobs=jobs, workers=WORKERS, hours=hours)
    assert_table(own.measure("measures.job_cost"), "| job_no | travel_usd |\n| 1 | 100 |")


def test_each_overhead_goes_by_its_own_basis() -> None:
    overheads = """
        | what | amount | basis   |
        | a    | 400    | hours   |
        | b    | 300    | feet    |
        | c    | 200    | revenue |
        | d    | 90     | jobs    |
    """
    season = Season(settings=SETTINGS, jobs=THREE, workers=WORKERS, hours=HOURS, overheads=overheads)
    # 400 by 1:1:2, 300 by 1:1:1, 200 by 700:900:400, 90 by 1:1:1
    assert_table(
        season.measure("measures.job_cost"),
        "| job_no | overhead_usd |\n| 1 | 300 |\n| 2 | 320 |\n| 3 | 370 |",
    )


def test_the_last_cents_go_to_the_largest_remainders_and_ties_to_the_first_job() -> None:
    season = Season(jobs=THREE, overheads="| what | amount | basis |\n| rent | 100 | jobs |")
    # 33.333.. each: one cent is left and all remainders tie
    assert_table(
        season.measure("measures.job_cost"),
        "| job_no | overhead_usd |\n| 1 | 33.34 |\n| 2 | 33.33 |\n| 3 | 33.33 |",
    )


def test_the_last_cent_goes_to_the_largest_of_remainders_that_are_nearly_equal() -> None:
    jobs = "| job_no | feet |\n| 1 | 100000 |\n| 2 | 100001 |\n| 3 | 99999 |"
    season = Season(jobs=jobs, overheads="| what | amount | basis |\n| rent | 1 | feet |")
    # 100 cents by 100,000 : 100,001 : 99,999 of 300,000 -> 33.33333, 33.33367 and 33.33300; one cent is left
    assert_table(
        season.measure("measures.job_cost"),
        "| job_no | overhead_usd |\n| 1 | 0.33 |\n| 2 | 0.34 |\n| 3 | 0.33 |",
    )


def test_cents_go_to_larger_remainders_first_and_what_is_left_of_them_to_the_nearly_equal() -> None:
    jobs = "| job_no | feet |\n| 1 | 100000 |\n| 2 | 100001 |\n| 3 | 99999 |\n| 4 | 199999 |\n| 5 | 1 |"
    season = Season(jobs=jobs, overheads="| what | amount | basis |\n| rent | 1 | feet |")
    # 100 cents by 500,000 ft: 20, 20.0002, 19.9998, 39.9998, .0002. The floors, 20 + 20 + 19 + 39, want 2 cents: those
    # of .9998, jobs 3 and 4
    assert_table(
        season.measure("measures.job_cost"),
        "| job_no | overhead_usd |\n| 1 | 0.20 |\n| 2 | 0.20 |\n| 3 | 0.20 |\n| 4 | 0.40 |\n| 5 | 0 |",
    )


def test_an_overhead_of_a_branch_stays_in_it_and_one_of_none_goes_to_all() -> None:
    season = Season(
        jobs="| job_no | branch | feet |\n| 1 | north | 100 |\n| 2 | south | 300 |",
        overheads="| what | branch | amount | basis |\n| rent | south | 50 | jobs |\n| cards | | 80 | feet |",
    )
    assert_table(season.measure("measures.job_cost"), "| job_no | overhead_usd |\n| 1 | 20 |\n| 2 | 110 |")


def test_equipment_lies_on_its_job_or_is_shared_by_hours() -> None:
    season = Season(
        settings=SETTINGS, jobs=THREE, workers=WORKERS, hours=HOURS,
        equipment="| job_no | amount |\n| 2 | 50 |\n| | 20 |",
    )  # fmt: skip
    assert_table(season.measure("measures.job_cost"), "| job_no | equipment_usd |\n| 1 | 5 |\n| 2 | 55 |\n| 3 | 10 |")


def test_a_job_without_feet_keeps_its_cost_and_has_none_a_foot() -> None:
    season = Season(
        jobs="| job_no | feet |\n| 1 | |\n| 2 | 100 |", overheads="| what | amount | basis |\n| rent | 90 | jobs |"
    )
    assert_table(
        season.measure("measures.job_cost"), "| job_no | total_usd | cost_usd_per_ft |\n| 1 | 45 | |\n| 2 | 45 | .45 |"
    )
