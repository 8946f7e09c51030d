"""measures.worker_years: pay and burden of a worker's calendar year, part by part, for the bookkeeper."""

import pytest
from support.tables import Season, assert_table, load, measure

from pipeline.errors import ControlDifference
from pipeline.warehouse import build_models, open_store, run_checks

RATES = {"social_security": "0.06", "medicare": "0", "futa": "0"}
TWO_JOBS = """
    | job_no | feet |
    | 1      | 100  |
    | 2      | 300  |
"""


def test_an_overtime_week_over_the_new_year_is_one_week_and_two_years_of_pay() -> None:
    season = Season(
        settings=RATES | {"weekly_limit": "8", "social_security_base:2026": "44"},
        jobs=TWO_JOBS,
        workers="| worker_no | hourly_wage |\n| W1 | 20 |",
        hours="""
            | job_no | worker_no | work_date  | hours |
            | 1      | W1        | 2025-12-31 | 6     |
            | 2      | W1        | 2026-01-02 | 4     |
        """,
    )
    # 10 h are 2 over: premium 20, 12 in December and 8 in January. 132 x 1.06; 88 and .06 of 44
    assert_table(season.measure("measures.job_cost"), "| job_no | labor_usd |\n| 1 | 139.92 |\n| 2 | 90.64 |")
    assert_table(
        measure("measures.worker_years", season),
        """
            | year | worker_no | seasons | hours | straight_usd | premium_usd | pay_usd | burden_usd |
            | 2025 | W1        | 2025    | 6     | 120          | 12          | 132     | 7.92       |
            | 2026 | W1        | 2025    | 4     | 80           | 8           | 88      | 2.64       |
        """,
    )
    assert set(season.measure("audit.control")["difference_usd"]) == {0}


def test_each_part_of_the_burden_is_there_to_be_checked_by_the_bookkeeper() -> None:
    season = Season(
        settings={"weekly_limit": "8", "state_unemployment": "0.03", "state_base": "500", "other_burden": "0.01",
                  "compensation": "0.2", "compensation:climber": "0.1", "compensation:lead": "0.08"},
        jobs="| job_no | feet |\n| 1 | 100 |",
        workers="""
            | worker_no | role    | engaged     | hourly_wage | from_date  |
            | W1        | climber | employee    | 20          |            |
            | W1        | lead    | employee    | 30          | 2025-11-14 |
            | O1        |         | owner       |             |            |
            | S1        |         | subcontract |             |            |
        """,
        hours="""
            | job_no | worker_no | work_date  | hours |
            | 1      | W1        | 2025-11-10 | 10    |
            | 1      | W1        | 2025-11-20 | 6     |
            | 1      | O1        | 2025-11-20 | 6     |
            | 1      | S1        | 2025-11-20 | 6     |
        """,
        pay="| worker_no | kind | amount |\n| W1 | bonus | 50 |",
    )  # fmt: skip
    # Week of the 10th: 250 for 10 h, 2 over: premium 25. Then 180. 455 in all, under every base: .062, .0145, .006,
    # .03, .01. Compensation leaves the premium out: 250 x .1 and 180 x .08.
    assert_table(
        measure("measures.worker_years", season),
        """
            | worker_no | hours | straight_usd | extra_pay_usd | premium_usd | pay_usd | social_security_usd |
            | W1        | 16    | 380          | 50            | 25          | 455     | 28.21               |
        """,
    )
    assert_table(
        measure("measures.worker_years", season),
        """
            | medicare_usd | futa_usd | state_unemployment_usd | other_burden_usd | compensation_usd | burden_usd |
            | 6.60         | 2.73     | 13.65                  | 4.55             | 39.40            | 95.14      |
        """,
    )


def test_hours_without_any_pay_owe_nothing() -> None:
    season = Season(
        jobs="| job_no | feet |\n| 1 | 100 |",
        hours="| job_no | worker_no | hours |\n| 1 | W1 | 8 |",
    )
    assert_table(measure("measures.worker_years", season), "| hours | pay_usd | burden_usd |\n| 8 | 0 | 0 |")
    assert_table(season.measure("measures.job_cost"), "| job_no | labor_usd |\n| 1 | |")


def test_a_role_without_a_compensation_rate_is_named_as_missing() -> None:
    season = Season(
        settings={"state_unemployment": "0", "compensation:climber": "0.1"},
        jobs="| job_no | feet |\n| 1 | 100 |",
        workers="""
            | worker_no | role    | hourly_wage |
            | W1        | climber | 20          |
            | W2        | helper  | 20          |
            | W3        |         | 20          |
            | W4        | foreman | 20          |
        """,
        hours="| job_no | worker_no | hours |\n| 1 | W1 | 5 |\n| 1 | W2 | 5 |\n| 1 | W3 | 5 |",
    )
    why = season.measure("measures.job_cost")["understated_why"][0]
    assert "compensation is not given for helper, workers without a role" in why


def test_where_roles_are_not_known_the_plain_compensation_rate_holds() -> None:
    season = Season(
        settings=RATES | {"social_security": "0", "compensation": "0.1"},
        jobs="| job_no | feet |\n| 1 | 100 |",
        hours="| job_no | worker_no | hours |\n| 1 | W1 | 5 |",
        pay="| worker_no | kind | amount |\n| W1 | piece | 200 |",
    )
    assert_table(season.measure("measures.job_cost"), "| job_no | labor_usd |\n| 1 | 220 |")
    assert set(season.measure("audit.control")["difference_usd"]) == {0}


def test_a_season_whose_hours_bear_other_than_the_year_owes_is_stopped() -> None:
    season = Season(
        settings=RATES,
        jobs="| job_no | feet |\n| 1 | 100 |",
        workers="| worker_no | hourly_wage |\n| W1 | 20 |",
        hours="| job_no | worker_no | hours |\n| 1 | W1 | 5 |",
    )

    def check_after(change: str) -> None:
        with open_store(":memory:") as store:
            load(store, season)
            build_models(store)
            store.con.execute(change)
            run_checks(store, 2025)

    check_after("update facts.loaded_hours set burden_usd = burden_usd + 0.00009")
    with pytest.raises(
        ControlDifference, match=r"`burden is what the year owes` finds 1\. First: .*worker_no W1, year"
    ):
        check_after("update facts.worker_taxes set due_usd = due_usd + 0.0002")
    with pytest.raises(ControlDifference, match=r"a tax passes what is due at its base"):
        check_after("update facts.worker_taxes set futa_usd = futa_usd + 0.0002")
    with pytest.raises(ControlDifference, match=r"the base of a tax is not known"):
        check_after("update facts.worker_taxes set due_usd = null")
