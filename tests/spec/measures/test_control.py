"""audit.control: every dollar read is on a job, spread, outside or refused, and a lost one shows."""

from __future__ import annotations

from decimal import Decimal

import pytest
from support.tables import Season, assert_table, measure_after

NO_BURDEN = {"social_security": "0", "medicare": "0", "futa": "0", "mile_cost": "1"}
JOBS = """
    | job_no | branch | crew  | feet | drive_miles | terms  |
    | 1      | north  | Maple | 100  | 10          | sold   |
    | 2      | south  | Birch | 300  | 20          | leased |
"""
WORKERS = "| worker_no | hourly_wage |\n| W1 | 20 |"
HOURS = """
    | job_no | crew  | worker_no | work_date  | task    | hours |
    | 1      | Maple | W1        | 2025-11-10 | install | 6     |
    | 2      | Birch | W1        | 2025-11-11 | install | 4     |
    | 2      | Birch | W1        | 2025-12-02 | service | 1     |
"""


def season(**more: str) -> Season:
    return Season(settings=NO_BURDEN, jobs=JOBS, workers=WORKERS, hours=HOURS, **more)


def test_refused_rows_are_read_and_shown_as_refused() -> None:
    refused = {
        "hours": "| branch | crew | worker_no | hours | place | why |\n| north | Maple | W1 | 3 | rejected | made |",
        "pay": "| branch | worker_no | kind | amount | place | why |\n| south | W1 | bonus | 70 | held | made |",
        "trips": "| branch | miles | place | why |\n| north | 12 | rejected | made |",
        "equipment": "| branch | amount | place | why |\n| north | 33 | held | made |",
        "overheads": "| amount | basis | place | why |\n| 44 | feet | rejected | made |",
        "purchases": "| item_no | paid | freight | place | why |\n| A | 55 | 5 | rejected | made |",
    }
    made = Season(settings=NO_BURDEN, jobs=JOBS, workers=WORKERS, hours=HOURS, refused=refused)
    control = made.measure("audit.control")
    assert_table(
        control.filter(control["refused_usd"] != 0),
        """
            | branch | part      | read_usd | on_jobs_usd | refused_usd | difference_usd |
            | north  | labor     | 180      | 120         | 60          | 0              |
            | south  | labor     | 150      | 80          | 70          | 0              |
            | all    | travel    | 12       | 0           | 12          | 0              |
            | north  | equipment | 33       | 0           | 33          | 0              |
            | all    | overhead  | 44       | 0           | 44          | 0              |
            | all    | materials | 60       | 0           | 60          | 0              |
        """,
    )


def test_goods_that_are_carried_to_later_seasons_are_outside_the_jobs() -> None:
    made = season(
        items="| item_no | kind | unit | pack_size | pack_price |\n| LL12 | light_line | ft | 100 | 40 |",
        runs="| job_no | run_no | feet |\n| 2 | 1 | 300 |",
        materials="| job_no | item_no | quantity |\n| 2 | LL12 | 310 |\n| 1 | LL12 | 50 |",
    )
    control = made.measure("audit.control")
    # South: 310 ft issued are 124.00; a quarter of 300 ft x .40 is this season's share, 30.00; 10 ft are offcut, 4.00.
    # Read 124 + 30; on the job 30 + 4; 120.00 of goods go outside, to be carried, and their share has come back.
    assert_table(
        control.filter(control["part"] == "materials"),
        """
            | branch | read_usd | on_jobs_usd | outside_usd | difference_usd |
            | north  | 20       | 20          | 0           | 0              |
            | south  | 154      | 34          | 120         | 0              |
        """,
    )


def test_an_amount_of_a_branch_without_jobs_is_borne_by_all() -> None:
    made = season(overheads="| what | branch | amount | basis |\n| rent | depot | 80 | feet |")
    assert_table(made.measure("measures.job_cost"), "| job_no | overhead_usd |\n| 1 | 20 |\n| 2 | 60 |")
    control = made.measure("audit.control")
    assert_table(
        control.filter(control["part"] == "overhead"),
        "| branch | read_usd | spread_usd | difference_usd |\n| depot | 80 | 80 | 0 |",
    )


def test_a_trip_on_a_day_without_a_job_is_spread_in_its_own_branch() -> None:
    made = season(
        trips="""
            | crew  | branch | trip_date  | miles |
            | Maple | south  | 2025-11-20 | 7     |
            | Maple |        | 2025-11-20 | 5     |
        """
    )
    # 7 miles go to the south, 5 to the north, where the crew led a job; those of the job days are as without trips.
    # 2 December is a service day: its 20 miles are service.
    assert_table(
        made.measure("measures.job_cost"),
        "| job_no | travel_usd | service_usd |\n| 1 | 15 | 0 |\n| 2 | 27 | 40 |",
    )


def test_travel_of_service_days_alone_is_known_and_nothing() -> None:
    made = Season(
        settings=NO_BURDEN,
        jobs="| job_no | feet | drive_miles |\n| 1 | 100 | 10 |",
        workers=WORKERS,
        hours="| job_no | worker_no | task | hours |\n| 1 | W1 | service | 2 |",
    )
    assert_table(made.measure("measures.job_cost"), "| job_no | travel_usd | service_usd |\n| 1 | 0 | 50 |")


def test_service_on_a_day_with_other_work_takes_no_miles() -> None:
    made = Season(
        settings=NO_BURDEN,
        jobs="| job_no | feet | drive_miles |\n| 1 | 100 | 10 |",
        workers=WORKERS,
        hours="| job_no | worker_no | task | hours |\n| 1 | W1 | service | 2 |\n| 1 | W1 | takedown | 1 |",
    )
    assert_table(
        made.measure("measures.job_cost"),
        "| job_no | labor_usd | travel_usd | service_usd |\n| 1 | 20 | 10 | 40 |",
    )


def test_every_cell_is_within_a_cent_and_the_totals_agree() -> None:
    """At ten cents an hour. In each branch 10.1 cents are on the job and 10.5 spread, 20.6; over the three 61.8.

    The floors, 60, want 2: equal remainders, so A and B bear them; in both the larger remainder is what is spread. C
    stays at 20, in whole 10 and 10. Outside are 10.5, 10.3 and 10.4: the rows are 31.1, 30.9 and 31.0. Beside A's 21
    both 10 and 11 are within a cent of 31.1 in all, and half a cent goes up; beside B's 21 and C's 20 there is 10 and
    11 alone, since 11 would make 32 and 10 would make 30, each a whole cent or more off.
    """
    rows = [
        f"| {branch} | {job} | C{branch} | W1 | 2025-11-0{day} | {task} | {hours} |"
        for day, (branch, outside) in enumerate((("A", "1.05"), ("B", "1.03"), ("C", "1.04")), 1)
        for job, task, hours in (("1", "install", "1.01"), ("", "shop", "1.05"), ("1", "other_work", outside))
    ]
    made = Season(
        settings=NO_BURDEN,
        jobs="| job_no | branch | crew | feet |\n| 1 | A | CA | 100 |\n| 1 | B | CB | 100 |\n| 1 | C | CC | 100 |",
        workers="| worker_no | hourly_wage |\n| W1 | .10 |",
        hours="| branch | job_no | crew | worker_no | work_date | task | hours |\n" + "\n".join(rows),
    )
    control = made.measure("audit.control")
    assert_table(
        control.filter(control["part"] == "labor"),
        """
            | branch | read_usd | on_jobs_usd | spread_usd | outside_usd | refused_usd | difference_usd |
            | A      | 0.32     | 0.10        | 0.11       | 0.11        | 0           | 0              |
            | B      | 0.31     | 0.10        | 0.11       | 0.10        | 0           | 0              |
            | C      | 0.31     | 0.10        | 0.10       | 0.11        | 0           | 0              |
        """,
    )


LOSSES = {
    "an hour": ("facts.loaded_hours", "delete from facts.loaded_hours where task = 'service'", "20"),
    "a dollar of pay": (
        "facts.loaded_hours",
        "update facts.loaded_hours set loaded_usd = loaded_usd - 1 where hours = 6",
        "1",
    ),
    "goods": ("facts.goods_moved", """delete from temp."facts.goods_moved" where job_no = '1'""", "20"),
    "miles": ("facts.travel_costs", "update facts.travel_costs set travel_usd = 0 where job_no = '1'", "10"),
}


@pytest.mark.parametrize("lost", sorted(LOSSES))
def test_a_dollar_that_is_lost_on_the_way_is_a_difference(lost: str) -> None:
    made = season(
        items="| item_no | pack_price |\n| TAPE | 2 |",
        materials="| job_no | item_no | quantity |\n| 1 | TAPE | 10 |",
    )
    table, change, amount = LOSSES[lost]
    control = measure_after(change, table, "audit.control", made)
    assert control["difference_usd"].sum() == Decimal(amount)
