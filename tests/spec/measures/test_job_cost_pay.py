"""measures.job_cost, pay beside the wage: bonus, piece and day pay, and overtime over branches and seasons."""

import pytest
from support.tables import Season, assert_table, measure

NO_BURDEN = {"social_security": "0", "medicare": "0", "futa": "0"}
WORKERS = """
    | worker_no | role | engaged  | hourly_wage |
    | W1        |      | employee | 20          |
    | P1        |      | employee |             |
    | O1        |      | owner    |             |
"""
TWO_JOBS = """
    | job_no | feet |
    | 1      | 100  |
    | 2      | 300  |
"""
DAYS = """
    | job_no | worker_no | work_date  | hours |
    | 1      | W1        | 2025-11-10 | 6     |
    | 2      | W1        | 2025-11-11 | 2     |
    | 2      | W1        | 2025-11-20 | 4     |
"""


def test_a_bonus_goes_over_the_worker_s_hours_of_its_days() -> None:
    season = Season(
        settings=NO_BURDEN,
        jobs=TWO_JOBS,
        workers=WORKERS,
        hours=DAYS,
        pay="| worker_no | kind | from_date | to_date | amount |\n| W1 | bonus | 2025-11-10 | 2025-11-15 | 80 |",
    )
    # 6 h and 2 h lie in its days: 60 and 20; the 4 h of 20 November do not
    assert_table(season.measure("measures.job_cost"), "| job_no | labor_usd |\n| 1 | 180 |\n| 2 | 140 |")


def test_piece_pay_of_a_job_goes_over_the_hours_on_that_job_alone() -> None:
    season = Season(
        settings=NO_BURDEN,
        jobs=TWO_JOBS,
        workers=WORKERS,
        hours=DAYS,
        pay="""
            | worker_no | job_no | kind  | from_date  | to_date    | amount |
            | W1        | 2      | piece | 2025-11-10 | 2025-11-30 | 90     |
        """,
    )
    assert_table(season.measure("measures.job_cost"), "| job_no | labor_usd |\n| 1 | 120 |\n| 2 | 210 |")


def test_a_bonus_and_the_premium_bear_burden_and_compensation_leaves_the_premium_out() -> None:
    season = Season(
        settings={"weekly_limit": "6", "social_security": "0.10", "medicare": "0", "futa": "0", "compensation": "0.05"},
        jobs="| job_no | feet |\n| 1 | 100 |",
        workers=WORKERS,
        hours="| job_no | worker_no | hours |\n| 1 | W1 | 8 |",
        pay="| worker_no | kind | amount |\n| W1 | bonus | 40 |",
    )
    # 160 + 40 = 200 for 8 h is 25 an hour; 2 h over: premium 25. 225 x 1.10 + 200 x .05
    assert_table(season.measure("measures.job_cost"), "| job_no | labor_usd |\n| 1 | 257.50 |")


def test_hours_without_a_wage_are_paid_by_the_piece() -> None:
    """Two pays lie in rows that could be taken for one another: sheet 'Pay' row 12 and sheet 'Pay1' row 2."""
    season = Season(
        settings=NO_BURDEN | {"state_unemployment": "0", "compensation": "0", "weekly_limit": "8"},
        jobs="| job_no | feet | drive_miles |\n| 1 | 100 | 0 |",
        workers=WORKERS,
        hours="| job_no | worker_no | hours |\n| 1 | P1 | 10 |",
        pay="| worker_no | kind | amount |\n| P1 | piece | 150 |\n| P1 | piece | 50 |",
        materials="| job_no | item_no | quantity |",
        items="| item_no | pack_price |\n| TAPE | 2 |",
    )
    pay = season.records["pay"]
    season.records["pay"] = pay.with_columns(
        source_sheet=pay["source_row"].cast(str).replace({"2": "Pay", "3": "Pay1"}),
        source_row=(pay["source_row"] * -10 + 32).cast(pay.schema["source_row"]),
    )
    assert season.records["pay"].select("source_sheet", "source_row").rows() == [("Pay", 12), ("Pay1", 2)]
    # 200 for 10 h is 20 an hour; 2 h over: premium 20. Nothing is missing.
    assert_table(season.measure("measures.job_cost"), "| job_no | labor_usd | is_understated |\n| 1 | 220 | no |")


@pytest.mark.parametrize("kind", ["bonus", "piece", "day"])
def test_what_an_owner_without_owner_wage_was_paid_is_kept_and_the_rest_is_not_known(kind: str) -> None:
    season = Season(
        settings=NO_BURDEN,
        jobs="| job_no | feet |\n| 1 | 100 |",
        workers=WORKERS,
        hours="| job_no | worker_no | hours |\n| 1 | O1 | 10 |",
        pay=f"| worker_no | kind | amount |\n| O1 | {kind} | 75 |",
    )
    assert_table(
        season.measure("measures.job_cost"),
        "| job_no | labor_usd | owner_usd | total_usd | total_without_owner_usd |\n| 1 | 75 | | 75 | 0 |",
    )
    assert "owner_wage is not given" in season.measure("measures.job_cost")["understated_why"][0]


def test_an_owner_in_the_shop_without_owner_wage_understates_the_jobs_of_that_branch_alone() -> None:
    season = Season(
        settings=NO_BURDEN | {"state_unemployment": "0", "compensation": "0"},
        jobs="""
            | job_no | branch | crew  | feet |
            | 1      | north  | Maple | 100  |
            | 2      | south  | Birch | 100  |
        """,
        workers=WORKERS,
        hours="""
            | job_no | crew  | worker_no | task | hours |
            | 1      | Maple | W1        | prep | 3     |
            | 2      | Birch | W1        | prep | 3     |
            |        | Maple | O1        | shop | 2     |
        """,
    )
    found = season.measure("measures.job_cost").sort("job_no")
    assert ["owner_wage" in (why or "") for why in found["understated_why"]] == [True, False]
    assert_table(found, "| job_no | owner_usd |\n| 1 | |\n| 2 | 0 |")


def test_a_worker_s_week_in_two_branches_has_one_overtime() -> None:
    season = Season(
        settings=NO_BURDEN | {"weekly_limit": "8"},
        jobs="| job_no | branch | feet |\n| 1 | north | 100 |\n| 2 | south | 300 |",
        workers=WORKERS,
        hours="| job_no | worker_no | hours |\n| 1 | W1 | 6 |\n| 2 | W1 | 4 |",
    )
    # 10 h are 2 over: 20 premium, 6 : 4
    assert_table(season.measure("measures.job_cost"), "| job_no | labor_usd |\n| 1 | 132 |\n| 2 | 88 |")


def test_the_workweek_starts_on_the_firm_s_own_day() -> None:
    def labor(week_starts: str) -> object:
        season = Season(
            settings=NO_BURDEN | {"weekly_limit": "8", "week_starts": week_starts},
            jobs="| job_no | feet |\n| 1 | 100 |",
            workers=WORKERS,
            hours="""
                | job_no | worker_no | work_date  | hours |
                | 1      | W1        | 2025-11-08 | 5     |
                | 1      | W1        | 2025-11-09 | 5     |
            """,
        )
        return season.measure("measures.job_cost")["labor_usd"][0]

    # Saturday and Sunday: two weeks of 5 h where the week starts on Sunday; one of 10 h, 2 over, where on Monday
    assert labor("sunday") == 200
    assert labor("monday") == 220


def test_hours_of_the_season_before_count_for_the_week_that_two_seasons_share() -> None:
    before = Season(
        season=2024,
        settings=NO_BURDEN | {"weekly_limit": "8"},
        jobs="| job_no | feet | install_date |\n| 9 | 100 | 2024-11-10 |",
        workers=WORKERS,
        hours="| job_no | worker_no | work_date | task | hours |\n| 9 | W1 | 2025-08-04 | storage | 6 |",
    )
    after = Season(
        settings=NO_BURDEN | {"weekly_limit": "8"},
        jobs="| job_no | feet |\n| 1 | 100 |",
        workers=WORKERS,
        hours="| job_no | worker_no | work_date | task | hours |\n| 1 | W1 | 2025-08-05 | prep | 4 |",
    )
    # 10 h in the week, 2 over: 20 premium, 12 to the season before and 8 to this one
    assert_table(
        measure("measures.job_cost", before, after),
        "| season | job_no | labor_usd |\n| 2024 | 9 | 132 |\n| 2025 | 1 | 88 |",
    )
    assert set(measure("audit.control", before, after)["difference_usd"]) == {0}


def test_a_raise_holds_from_its_day() -> None:
    season = Season(
        settings=NO_BURDEN,
        jobs="| job_no | feet |\n| 1 | 100 |",
        workers="""
            | worker_no | hourly_wage | from_date  |
            | W1        | 20          |            |
            | W1        | 22          | 2025-11-11 |
        """,
        hours="""
            | job_no | worker_no | work_date  | hours |
            | 1      | W1        | 2025-11-10 | 1     |
            | 1      | W1        | 2025-11-11 | 1     |
        """,
    )
    assert_table(season.measure("measures.job_cost"), "| job_no | labor_usd |\n| 1 | 42 |")
