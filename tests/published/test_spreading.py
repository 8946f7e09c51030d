"""Costs spread over seasons and by use, and miles by the day, against published examples."""

from __future__ import annotations

from decimal import Decimal

from support.tables import Season, assert_table, measures

NO_BURDEN = {"social_security": "0", "medicare": "0", "futa": "0"}


def test_173_400_less_15_000_over_8_years_bears_19_800_a_year() -> None:
    """The straight-line example of accounting texts (mem.): cost 173,400, residual 15,000, life 8: 19,800 a year.

    Leased goods have no residual, so that what is to be borne, 158,400, is what is built: 1,584 ft at 100.
    """
    season = Season(
        settings=NO_BURDEN,
        jobs="| job_no | work | terms |\n| 1 | new | leased |",
        runs="| job_no | run_no | feet |\n| 1 | 1 | 1584 |",
        items="""
            | item_no | kind       | unit | pack_size | pack_price | life_seasons |
            | LL12    | light_line | ft   | 1         | 100        | 8            |
            | B9      | bulb       | each | 1         | 0.01       | 8            |
        """,
        materials="| job_no | item_no | quantity |\n| 1 | LL12 | 1584 |",
    )
    goods, schedule = measures(("facts.goods_costs", "measures.leased_schedule"), season)
    line = goods.filter(goods["item_no"] == "LL12")
    assert line["capitalised_usd"].to_list() == [Decimal(158_400)]
    assert line["lease_usd"].to_list() == [Decimal(19_800)]
    assert line["remaining_usd"].to_list() == [Decimal(7 * 19_800)]
    assert schedule["later_season"].to_list() == list(range(2026, 2033))


def test_675_000_of_4_500_000_units_bear_23_760() -> None:
    """The same example by use (mem.): 158,400 over 4,500,000 units, of which 675,000 fall on one: 23,760."""
    season = Season(
        settings=NO_BURDEN,
        jobs="| job_no | feet |\n| 1 | 675000 |\n| 2 | 3825000 |",
        overheads="| what | amount | basis |\n| machine | 158400 | feet |",
    )
    (jobs,) = measures(("measures.job_cost",), season)
    assert_table(jobs, "| job_no | overhead_usd |\n| 1 | 23760 |\n| 2 | 134640 |")


def test_a_mile_has_the_rate_of_its_day_on_both_sides_of_new_year_and_of_30_june_2026() -> None:
    """IRS business rates: 70 cents in 2025, 72.5 from 1 January 2026, 76 from 1 July 2026."""
    days = ("2025-12-31", "2026-01-01", "2026-06-30", "2026-07-01")
    jobs = "\n".join(f"| {no} | 100 | 10 |" for no in range(1, 5))
    hours = "\n".join(f"| {no} | W1 | {day} | install | 1 |" for no, day in enumerate(days, 1))
    season = Season(
        settings=NO_BURDEN,
        jobs=f"| job_no | feet | drive_miles |\n{jobs}",
        workers="| worker_no | hourly_wage |\n| W1 | 20 |",
        hours=f"| job_no | worker_no | work_date | task | hours |\n{hours}",
    )
    (found,) = measures(("measures.job_cost",), season)
    assert_table(found, "| job_no | travel_usd |\n| 1 | 7 |\n| 2 | 7.25 |\n| 3 | 7.25 |\n| 4 | 7.60 |")
