"""measures.job_cost, labor: what hours cost a job."""

from support.tables import Season, assert_table

NO_BURDEN = {"social_security": "0", "medicare": "0", "futa": "0"}
WORKERS = """
    | worker_no | role      | engaged     | hourly_wage |
    | W1        | installer | employee    | 20          |
    | O1        | owner     | owner       |             |
    | S1        |           | subcontract |             |
"""
TWO_JOBS = """
    | job_no | feet |
    | 1      | 100  |
    | 2      | 300  |
"""


def test_hours_cost_their_wage_and_its_burden() -> None:
    season = Season(
        settings={"social_security": "0.06", "medicare": "0.02", "futa": "0", "other_burden": "0.01",
                  "compensation:installer": "0.05", "compensation": "0.50"},
        jobs="| job_no | feet |\n| 1 | 100 |",
        workers=WORKERS,
        hours="| job_no | worker_no | hours |\n| 1 | W1 | 10 |",
    )  # fmt: skip
    # 10 h x 20 = 200; burden 9 % and compensation of the role 5 %, not the 50 % of other roles: 200 x 1.14
    assert_table(season.measure("measures.job_cost"), "| job_no | labor_usd | total_usd |\n| 1 | 228 | 228 |")


def test_hours_in_the_shop_are_spread_by_the_direct_hours_of_the_branch() -> None:
    season = Season(
        settings=NO_BURDEN,
        jobs="""
            | job_no | branch | crew  | feet |
            | 1      | north  | Maple | 100  |
            | 2      | north  | Maple | 100  |
            | 3      | south  | Birch | 100  |
        """,
        workers=WORKERS,
        hours="""
            | job_no | crew  | worker_no | task    | hours |
            | 1      | Maple | W1        | install | 3     |
            | 2      | Maple | W1        | install | 1     |
            | 3      | Birch | W1        | install | 5     |
            |        | Maple | W1        | shop    | 2     |
            | 2      | Maple | W1        | weather | 2     |
        """,
    )
    # Maple leads in the north, so its 2 h in the shop and 2 h of weather, 80 usd, go 3 : 1 over jobs 1 and 2
    assert_table(
        season.measure("measures.job_cost"),
        """
            | job_no | direct_hours | labor_usd |
            | 1      | 3            | 120       |
            | 2      | 1            | 40        |
            | 3      | 5            | 100       |
        """,
    )


def test_other_work_is_outside_every_figure_per_foot() -> None:
    season = Season(
        settings=NO_BURDEN,
        jobs="| job_no | feet |\n| 1 | 100 |",
        workers=WORKERS,
        hours="| job_no | worker_no | task | hours |\n| 1 | W1 | install | 3 |\n| 1 | W1 | other_work | 4 |",
    )
    assert_table(season.measure("measures.job_cost"), "| job_no | direct_hours | labor_usd |\n| 1 | 3 | 60 |")
    assert_table(
        season.measure("audit.control"),
        """
            | part      | read_usd | on_jobs_usd | outside_usd | difference_usd |
            | labor     | 140      | 60          | 80          | 0              |
        """,
    )


def test_the_owner_costs_owner_wage_and_is_shown_apart() -> None:
    season = Season(
        settings=NO_BURDEN | {"owner_wage": "50"},
        jobs="| job_no | feet |\n| 1 | 100 |",
        workers=WORKERS,
        hours="| job_no | worker_no | hours |\n| 1 | W1 | 2 |\n| 1 | O1 | 3 |",
    )
    assert_table(
        season.measure("measures.job_cost"),
        """
            | job_no | labor_usd | owner_hours | owner_usd | total_without_owner_usd |
            | 1      | 190       | 3           | 150       | 40                      |
        """,
    )


def test_without_owner_wage_the_owner_s_cost_is_not_known_and_never_nothing() -> None:
    season = Season(
        settings=NO_BURDEN | {"state_unemployment": "0", "compensation": "0"},
        jobs="| job_no | feet | drive_miles |\n| 1 | 100 | 0 |",
        workers=WORKERS,
        hours="| job_no | worker_no | hours |\n| 1 | W1 | 2 |\n| 1 | O1 | 3 |",
    )
    found = season.measure("measures.job_cost")
    assert_table(found, "| job_no | labor_usd | owner_usd | is_understated |\n| 1 | 40 | | yes |")
    assert "owner_wage is not given" in found["understated_why"][0]


def test_a_subcontract_crew_costs_what_it_was_paid_and_its_hours_count_as_hours() -> None:
    season = Season(
        settings=NO_BURDEN,
        jobs=TWO_JOBS,
        workers=WORKERS,
        hours="| job_no | worker_no | hours |\n| 1 | S1 | 6 |\n| 2 | W1 | 2 |",
        pay="""
            | worker_no | kind        | amount | job_no |
            | S1        | subcontract | 250    | 1      |
            | S1        | subcontract | 80     |        |
        """,
    )
    # 80 without a job go by direct hours 6 : 2
    assert_table(
        season.measure("measures.job_cost"),
        "| job_no | direct_hours | labor_usd |\n| 1 | 6 | 310 |\n| 2 | 2 | 60 |",
    )


def test_held_hours_count_for_the_week_s_overtime_and_their_cost_is_refused() -> None:
    season = Season(
        settings=NO_BURDEN | {"weekly_limit": "8"},
        jobs="| job_no | feet |\n| 1 | 100 |",
        workers=WORKERS,
        hours="| job_no | worker_no | hours |\n| 1 | W1 | 6 |",
        refused={"hours": "| job_no | worker_no | hours | place | why |\n| 99 | W1 | 4 | held | no such job |"},
    )
    # 10 h are 2 over: premium 200 / 10 / 2 x 2 = 20, shared 6 : 4
    assert_table(season.measure("measures.job_cost"), "| job_no | labor_usd |\n| 1 | 132 |")
    control = season.measure("audit.control")
    assert control["read_usd"].sum() == 220
    assert control["refused_usd"].sum() == 88
    assert control["difference_usd"].sum() == 0


def test_a_daily_limit_makes_overtime_of_a_long_day_and_counts_no_hour_twice() -> None:
    hours = "| job_no | worker_no | work_date | hours |\n| 1 | W1 | 2025-11-10 | 12 |\n| 1 | W1 | 2025-11-11 | 6 |"
    short_week = Season(
        settings=NO_BURDEN | {"daily_limit": "8", "weekly_limit": "40"},
        jobs="| job_no | feet |\n| 1 | 100 |", workers=WORKERS, hours=hours,
    )  # fmt: skip
    # 4 h over the day's 8; 20 / 2 x 4 = 40 beside 360
    assert_table(short_week.measure("measures.job_cost"), "| job_no | labor_usd |\n| 1 | 400 |")
    long_week = Season(
        settings=NO_BURDEN | {"daily_limit": "8", "weekly_limit": "12"},
        jobs="| job_no | feet |\n| 1 | 100 |", workers=WORKERS, hours=hours,
    )  # fmt: skip
    # The week's excess, 6 h, is more than the day's 4: 6 h in all
    assert_table(long_week.measure("measures.job_cost"), "| job_no | labor_usd |\n| 1 | 420 |")


def test_where_no_hours_are_on_any_job_labor_goes_by_feet() -> None:
    season = Season(
        settings=NO_BURDEN,
        jobs=TWO_JOBS,
        workers=WORKERS,
        hours="| job_no | worker_no | hours |\n| | W1 | 10 |",
    )
    assert_table(
        season.measure("measures.job_cost"),
        "| job_no | labor_usd | has_own_hours |\n| 1 | 50 | no |\n| 2 | 150 | no |",
    )


def test_without_hours_or_wages_labor_is_not_known() -> None:
    no_hours = Season(jobs=TWO_JOBS)
    assert_table(no_hours.measure("measures.job_cost"), "| job_no | labor_usd |\n| 1 | |\n| 2 | |")
    no_wages = Season(jobs=TWO_JOBS, hours="| job_no | worker_no | hours |\n| 1 | W1 | 6 |\n| 2 | W1 | 2 |")
    found = no_wages.measure("measures.job_cost")
    assert_table(found, "| job_no | labor_usd |\n| 1 | |\n| 2 | |")
    assert "no wages were handed in" in found["understated_why"][0]
