"""measures.standard_cost and measures.variances: what the season should have cost at the rates of the one before."""

from __future__ import annotations

import polars as pl
from support.tables import Season, assert_table, measure

OVERHEADS = "| what | basis | behaves | amount |\n| rent | feet | fixed | 900 |"
LAW = {"social_security": "0", "medicare": "0", "futa": "0"}
JOBS = """
    | job_no | feet  | work   | terms | drive_miles | install_date |
    | 1      | {new} | new    | sold  | 10          | {day}        |
    | 2      | 100   | repeat | sold  | {miles}     | {day}        |
"""


def before() -> Season:
    """200 ft. Labor 10 h on new work, 5 on repeat, 3 in the shop, at 20. A visit of 2 h and 10 miles for 2 points."""
    return Season(
        season=2024,
        settings=LAW | {"mile_cost": "1"},
        jobs=JOBS.format(new=100, miles=10, day="2024-11-11"),
        workers="| worker_no | hourly_wage |\n| W1 | 20 |",
        hours="""
            | job_no | worker_no | work_date  | task    | hours |
            | 1      | W1        | 2024-11-11 | install | 10    |
            | 2      | W1        | 2024-11-12 | install | 5     |
            |        | W1        | 2024-11-13 | shop    | 3     |
            | 1      | W1        | 2024-12-02 | service | 2     |
        """,
        items="| item_no | pack_price |\n| LL | 1 |\n| OLD | 1 |",
        materials="| job_no | item_no | quantity |\n| 1 | LL | 100 |\n| 2 | OLD | 5 |",
        service_calls="| call_no | job_no | points |\n| 1 | 1 | 2 |",
        equipment="| job_no | amount |\n| 1 | 20 |",
        overheads="| what | basis | behaves | amount |\n| rent | feet | fixed | 100 |\n| fuel | feet | variable | 40 |",
    )


def now() -> Season:
    """300 ft, of them 200 new. Wages are 22, a foot of line 1.10 and a mile 1.20; subcontract pay of 30 besides."""
    return Season(
        settings=LAW | {"mile_cost": "1.2"},
        jobs=JOBS.format(new=200, miles=16, day="2025-11-10"),
        workers="| worker_no | hourly_wage |\n| W1 | 22 |",
        hours="""
            | job_no | worker_no | work_date  | task    | hours |
            | 1      | W1        | 2025-11-10 | install | 18    |
            | 2      | W1        | 2025-11-11 | install | 6     |
            |        | W1        | 2025-11-12 | shop    | 4     |
            | 2      | W1        | 2025-12-01 | service | 1.5   |
        """,
        pay="| job_no | worker_no | kind | amount |\n| 2 | W9 | subcontract | 30 |",
        items="| item_no | pack_price |\n| LL | 1.10 |\n| PL | 2 |",
        materials="| job_no | item_no | quantity |\n| 1 | LL | 210 |\n| 1 | PL | 4 |",
        service_calls="| call_no | job_no | points |\n| 1 | 2 | 1 |",
        equipment="| job_no | amount |\n| 1 | 45 |",
        overheads="| what | basis | behaves | amount |\n| rent | feet | fixed | 110 |\n| fuel | feet | variable | 55 |",
    )


def part(name: str) -> pl.DataFrame:
    """The variances of a part of cost, those that are nothing left out."""
    frame = measure("measures.variances", before(), now())
    return frame.filter((frame["part"] == name) & (frame["variance_usd"] != 0))


def test_the_standard_is_what_a_foot_took_and_at_what_price() -> None:
    assert_table(
        before().measure("measures.standard_cost"),
        """
            | part      | line          | unit   | quantity | amount_usd | quantity_per_ft | usd_per_unit | usd_per_ft |
            | labor     | install       | h      | 15       | 300        | 0.075           | 20           | 1.5        |
            | labor     | shop          | h      | 3        | 60         | 0.015           | 20           | 0.3        |
            | materials | LL            | each   | 100      | 100        | 0.5             | 1            | 0.5        |
            | materials | OLD           | each   | 5        | 5          | 0.025           | 1            | 0.025      |
            | travel    | miles         | miles  | 20       | 20         | 0.1             | 1            | 0.1        |
            | service   | failed_points | points | 2        | 50         | 0.01            | 25           | 0.25       |
            | equipment | equipment     |        |          | 20         |                 |              | 0.1        |
            | overhead  | fixed         |        |          | 100        |                 |              | 0.5        |
            | overhead  | variable      |        |          | 40         |                 |              | 0.2        |
        """,
    )


def test_labor_is_told_apart_in_rate_mix_and_efficiency() -> None:
    # install: 24 h cost 528; at 20 they cost 480: rate 48. 200 ft new at .1 h and 100 ft repeat at .05 h take 25 h
    # where 300 ft of last season's mix took 22.5: mix 2.5 x 20. An hour less than 25 was worked. Shop goes by all feet.
    assert_table(
        part("labor"),
        """
            | line            | kind       | quantity | standard_quantity | variance_usd |
            | install         | rate       | 24       | 25                | 48           |
            | install         | mix        | 24       | 25                | 50           |
            | install         | efficiency | 24       | 25                | -20          |
            | shop            | rate       | 4        | 4.5               | 8            |
            | shop            | efficiency | 4        | 4.5               | -10          |
            | not_by_the_hour | spending   |          |                   | 30           |
            | all             | volume     | 300      | 200               | 180          |
        """,
    )


def test_materials_are_told_apart_by_item() -> None:
    # LL: 210 ft for 231, .10 dearer each; 200 ft new take 200 where last season's mix took 150; 10 beyond that.
    # PL was not there before: all usage. OLD: 5 on 100 ft repeat where the old mix took 7.5; none was used.
    assert_table(
        part("materials"),
        """
            | line | kind   | variance_usd |
            | LL   | price  | 21           |
            | LL   | mix    | 50           |
            | LL   | usage  | 10           |
            | PL   | usage  | 8            |
            | OLD  | mix    | -2.5         |
            | OLD  | usage  | -5           |
            | all  | volume | 52.5         |
        """,
    )


def test_travel_goes_by_miles_and_service_by_failed_points() -> None:
    # 26 miles for 31.20 where 10 a job and 100 ft make 30. The visit: 33 of hours and 19.20 of miles for one point,
    # where two cost 25 each; 200 ft new would have failed 4 times, last season's mix 3 times.
    assert_table(
        part("travel"),
        "| kind | variance_usd |\n| rate | 5.2 |\n| miles | -4 |\n| volume | 10 |",
    )
    assert_table(
        part("service"),
        "| kind | variance_usd |\n| price | 27.2 |\n| mix | 25 |\n| points | -75 |\n| volume | 25 |",
    )


def test_fixed_overhead_that_did_not_grow_with_the_feet_stands_apart_from_spending() -> None:
    # equipment 45 - 20 x 1.5; rent 110 - 100, and 100 - 150 because it did not grow; fuel 55 - 40 x 1.5
    assert_table(part("equipment"), "| kind | variance_usd |\n| spending | 15 |\n| volume | 10 |")
    assert_table(
        part("overhead"),
        """
            | line     | kind         | variance_usd |
            | fixed    | spending     | 10           |
            | fixed    | fixed_volume | -50          |
            | variable | spending     | -5           |
            | all      | volume       | 70           |
        """,
    )


def test_a_part_that_only_one_season_kept_is_no_change_of_cost() -> None:
    plain = "| job_no | feet | install_date |\n| 1 | 100 | {day} |"
    lift = "| job_no | amount |\n| 1 | {amount} |"
    first = Season(season=2024, jobs=plain.format(day="2024-11-11"), equipment=lift.format(amount=10))
    kept = Season(jobs=plain.format(day="2025-11-10"), equipment=lift.format(amount=10), overheads=OVERHEADS)
    frame = measure("measures.variances", first, kept)
    assert_table(
        frame.filter(frame["variance_usd"] != 0),
        "| part | line | kind | variance_usd |\n| overhead | fixed | records | 900 |",
    )


def test_points_that_were_not_counted_before_leave_service_as_spending() -> None:
    without = now()
    del without.records["service_calls"]
    frame = measure("measures.variances", before(), without)
    service = frame.filter((frame["part"] == "service") & (frame["kind"] != "volume"))
    assert_table(service, "| kind | unit | variance_usd |\n| spending | points | -22.8 |")


def test_a_first_season_and_one_without_feet_have_nothing_to_be_held_against() -> None:
    assert before().measure("measures.variances").is_empty()
    no_feet = Season(season=2024, jobs="| job_no | install_date |\n| 1 | 2024-11-11 |", overheads=OVERHEADS)
    assert measure("measures.variances", no_feet, now()).is_empty()


def test_the_season_before_is_the_last_one_in_the_store() -> None:
    older = before()
    older.season = 2022
    for name, frame in older.records.items():
        older.records[name] = frame.with_columns(season=pl.lit(2022, dtype=pl.Int32))
    frame = measure("measures.variances", older, before(), now())
    assert frame.filter(frame["season"] == 2025)["base_season"].unique().to_list() == [2024]
    assert frame.filter(frame["season"] == 2024)["base_season"].unique().to_list() == [2022]
