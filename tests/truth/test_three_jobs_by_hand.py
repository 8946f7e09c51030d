"""A season of three jobs worked through by hand, every figure of job_cost to the cent.

Week limit 10 h, so that a small week has overtime. Burden 10 % of all pay, compensation 5 % of straight pay; nobody's
year comes near a base of 7,000 (FUTA) or 9,000 (the state).

Labor. W1 earns 20, W2 30. In the week of 9 November W1 works 4 + 3 + 2 + 2 = 11 h for 220; 1 h is over, so the premium
is 220 / 11 / 2 x 1 = 10, shared 40/11, 30/11, 20/11, 20/11. With burden a straight dollar costs 1.15, one of premium
1.10:
    job 1   (80 + 120 + 40) x 1.15 = 276, premium 40/11 x 1.10 = 4     -> 280
    job 2   60 x 1.15 = 69, premium 30/11 x 1.10 = 3                   ->  72
    job 3   40 x 1.15 = 46, premium 20/11 x 1.10 = 2                   ->  48
    shop    40 x 1.15 = 46, premium 2                                  ->  48, by direct hours 10 : 4 : 2 -> 30, 12, 6
    service job 2, 1 h of W2: 30 x 1.15                                ->  34.50
Travel, no trips. Job 1: 10 miles on 10 November at .70 and 10 on 10 January 2026 at .725 -> 14.25. On 11 November
the crew has two jobs: job 2 bears 20 / 2 miles -> 7.00, job 3 10 / 2 -> 3.50. 1 December is a service day of job 2:
20 miles -> 14.00 to service.
Goods. Line .30 a foot for 4 seasons, bulbs .60 for 5, zip cord .20.
    job 1, new and leased: line 100 x .30 / 4 = 7.50 and 6 ft beyond built 1.80; bulbs 100 x .60 / 5 = 12; cord 10 x .20
           = 2 -> 23.30. Carried on: 30 - 7.50 + 60 - 12 = 70.50
    job 2, repeat and leased since 2023: 150 x .30 / 4 = 11.25, 150 x .60 / 5 = 18, 3 bulbs replaced 1.80 -> 31.05;
           2 more on the service day 1.20 to service
    job 3, sold: 55 x .30 + 50 x .60 -> 46.50
    shop cord 8 x .20 = 1.60 by hours 10 : 4 : 2 -> 1.00, .40, .20
Equipment. A lift of 50 for job 2; 20 shared by hours -> 12.50, 5.00, 2.50.
Overhead. 100 by feet 100 : 150 : 50 -> 33.33.., 50, 16.66..; 60 by jobs -> 20 each; 100 by revenue 700 : 900 : 400
-> 35, 45, 20. Sums 88.33.., 115, 56.66..; the last cent goes to the largest remainder, job 3.
"""

from __future__ import annotations

import pytest
from support.tables import Season, assert_table

SETTINGS = {
    "weekly_limit": "10", "social_security": "0.06", "medicare": "0.02", "futa": "0.01", "state_unemployment": "0.01",
    "state_base": "9000", "compensation": "0.05",
}  # fmt: skip


JOBS = """
    | job_no | work   | terms  | built_season | invoiced | drive_miles | install_date | takedown_date |
    | 1      | new    | leased |              | 700      | 10          | 2025-11-10   | 2026-01-10    |
    | 2      | repeat | leased | 2023         | 900      | 20          | 2025-11-11   | 2026-01-10    |
    | 3      | new    | sold   |              | 400      | 10          | 2025-11-11   |               |
"""
RUNS = """
    | job_no | run_no | feet |
    | 1      | 1      | 100  |
    | 2      | 1      | 150  |
    | 3      | 1      | 50   |
"""
HOURS = """
    | work_date  | job_no | worker_no | task     | hours |
    | 2025-11-10 | 1      | W1        | install  | 4     |
    | 2025-11-10 | 1      | W2        | install  | 4     |
    | 2025-11-11 | 2      | W1        | install  | 3     |
    | 2025-11-11 | 3      | W1        | install  | 2     |
    | 2025-11-12 |        | W1        | shop     | 2     |
    | 2025-12-01 | 2      | W2        | service  | 1     |
    | 2026-01-10 | 1      | W1        | takedown | 2     |
"""
WORKERS = """
    | worker_no | hourly_wage |
    | W1        | 20          |
    | W2        | 30          |
"""
ITEMS = """
    | item_no | kind       | unit | pack_size | pack_price | life_seasons |
    | LL12    | light_line | ft   | 500       | 150        | 4            |
    | B9      | bulb       | each | 100       | 60         | 5            |
    | ZIP     | zip_cord   | ft   | 100       | 20         | 4            |
"""
MATERIALS = """
    | job_no | item_no | moved    | quantity | move_date  |
    | 1      | LL12    | issued   | 110      | 2025-11-10 |
    | 1      | LL12    | returned | 4        | 2025-11-10 |
    | 1      | B9      | issued   | 100      | 2025-11-10 |
    | 1      | ZIP     | issued   | 10       | 2025-11-10 |
    | 2      | B9      | issued   | 3        | 2025-11-11 |
    | 2      | B9      | issued   | 2        | 2025-12-01 |
    | 3      | LL12    | issued   | 55       | 2025-11-11 |
    | 3      | B9      | issued   | 50       | 2025-11-11 |
    |        | ZIP     | issued   | 8        | 2025-11-05 |
"""
EQUIPMENT = """
    | job_no | amount |
    | 2      | 50     |
    |        | 20     |
"""
OVERHEADS = """
    | what      | amount | basis   |
    | insurance | 100    | feet    |
    | office    | 60     | jobs    |
    | cards     | 100    | revenue |
"""


@pytest.fixture(scope="module")
def season() -> Season:
    return Season(
        settings=SETTINGS,
        jobs=JOBS,
        runs=RUNS,
        hours=HOURS,
        workers=WORKERS,
        items=ITEMS,
        materials=MATERIALS,
        equipment=EQUIPMENT,
        overheads=OVERHEADS,
    )


def test_every_part_of_every_job(season: Season) -> None:
    assert_table(
        season.measure("measures.job_cost"),
        """
            | job_no | feet | labor_usd | materials_usd | travel_usd | equipment_usd | service_usd | overhead_usd |
            | 1      | 100  | 310       | 24.30         | 14.25      | 12.50         | 0           | 88.33        |
            | 2      | 150  | 84        | 31.45         | 7          | 55            | 49.70       | 115          |
            | 3      | 50   | 54        | 46.70         | 3.50       | 2.50          | 0           | 56.67        |
        """,
    )


def test_totals_margins_and_what_they_rest_on(season: Season) -> None:
    assert_table(
        season.measure("measures.job_cost"),
        """
            | job_no | total_usd | cost_usd_per_ft | margin_usd | direct_hours | capitalised_usd | is_final |
            | 1      | 449.38    | 4.4938          | 250.62     | 10           | 70.50           | yes      |
            | 2      | 342.15    | 2.281           | 557.85     | 4            | 0               | yes      |
            | 3      | 163.37    | 3.2674          | 236.63     | 2            | 0               | no       |
        """,
    )


def test_nothing_is_understated(season: Season) -> None:
    assert_table(
        season.measure("measures.job_cost"),
        """
            | job_no | is_understated | understated_why | has_own_hours | owner_usd |
            | 1      | no             |                 | yes           | 0         |
            | 2      | no             |                 | yes           | 0         |
            | 3      | no             |                 | yes           | 0         |
        """,
    )


def test_the_season_is_the_sum_of_its_jobs(season: Season) -> None:
    """449.38 + 342.15 + 163.37 = 954.90 over 300 ft = 3.183; invoiced 2,000."""
    assert_table(
        season.measure("measures.season_cost"),
        """
            | branch | jobs | open_jobs | losing_jobs | feet | total_usd | invoiced_usd | margin_usd | cost_usd_per_ft |
            | all    | 3    | 1         | 0           | 300  | 954.90    | 2000         | 1045.10    | 3.183           |
            | main   | 3    | 1         | 0           | 300  | 954.90    | 2000         | 1045.10    | 3.183           |
        """,
    )


def test_every_dollar_read_is_accounted_for(season: Season) -> None:
    """Goods read: issued less returned 93.80 + 3.00 + 46.50 + 1.60, of which 1.20 is service, and shares 48.75."""
    assert_table(
        season.measure("audit.control"),
        """
            | branch | part      | read_usd | on_jobs_usd | spread_usd | outside_usd | refused_usd | difference_usd |
            | main   | labor     | 448      | 400         | 48         | 0           | 0           | 0              |
            | main   | materials | 190.85   | 100.85      | 0          | 90          | 0           | 0              |
            | all    | materials | 1.60     | 0           | 1.60       | 0           | 0           | 0              |
            | main   | travel    | 24.75    | 24.75       | 0          | 0           | 0           | 0              |
            | main   | service   | 49.70    | 49.70       | 0          | 0           | 0           | 0              |
            | main   | equipment | 50       | 50          | 0          | 0           | 0           | 0              |
            | all    | equipment | 20       | 0           | 20         | 0           | 0           | 0              |
            | all    | overhead  | 260      | 0           | 260        | 0           | 0           | 0              |
        """,
    )
