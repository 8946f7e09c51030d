"""A season of six jobs in two branches worked through by hand: every cell of job_cost and of the control.

North hangs 101, 102, 103 with crew Ash, South 101, 102, 103 with Birch. Beside a job's number stands its branch.

LABOR. Taxes on a dollar of pay: .06 + .02 + .03 + other .01 = .12, and FUTA .008 of the first 7,000: .128 until then.
W1 earns 23, W2 16, from December 18, W3 25, the owner W4 30; compensation .08 for climbers, .05 for helpers, or .04.
W1's week of 28 December has 48 h, 36 of them before the new year, and a bonus of 48: 48 x 23 + 48 = 1,152, a regular
rate of 24; 8 h are over 40: premium 12 x 8 = 96, 2 an hour. An hour of that week is paid 23 + 1 + 2 = 26.
W1's 2025: 17 h x 23 + 36 h x 26 = 1,327. With 6,668.25 paid before, 331.75 = 1/4 of it is left of FUTA's 7,000: .002 of
each dollar, .122 in all; 2026 starts again at .128. An hour of work then costs
    W1 in November     23 x 1.122 + 23 x .08 = 27.646      W2 in November  16 x (1.128 + .05) = 18.848
    W1 in that week    26 x 1.122 + 24 x .08 = 31.092      W2 in December  18 x 1.178         = 21.204
    W1 on 2 January    26 x 1.128 + 24 x .08 = 31.248      W3              25 x (1.128 + .04) = 29.20
N101 10 x 27.646 + 8 x 18.848 + 6 x 31.092 = 613.796    S101 8 x 29.20 + 8 x 30 + 12 x 31.092         = 846.704
N102 4 x 27.646 + 4 x 18.848 + 12 x 31.092 = 559.08     S102 6 x 29.20 + 8 x 31.248, subcontract 200  = 625.184
N103 3 x 27.646 + 3 x 18.848 + 6 x 31.092  = 326.034    S103 8 x 30 + 6 x 29.20                       = 415.20
Direct hours 24 : 24 : 12 in the north, 28 : 14 : 14 in the south, 116 in all. Ash's shop time, 6 x 18.848 = 113.088, is
the north's: 45.2352, 45.2352, 22.6176. Birch's training, 2 x 29.20, is the south's: 29.20, 14.60, 14.60.
    659.0312  604.3152  348.6516  875.904  639.784  429.80 = 3,557.486. In cents the floors want 2: N102 has the largest
    remainder, then S101 and S102 tie at .4 and the first bears it.
Outside: 4 h of other work at S102, 124.992. Held: 3 h of W3 on a job that is not there, 87.60. Rejected: 5 h of W2, 80.
SERVICE. 5 December is a service day of N102: 4 h x 21.204 = 84.816, 20 miles 14.00, 2 bulbs 1.20 = 100.016.
TRAVEL at .70 a mile, .725 in 2026. Without trips the jobs of a crew's day share evenly, with trips by drive miles.
N101 10 + 10 / 2 miles = 10.50          S101 trips 10 + 8, later 8 miles = 12.60 + 5.60
N102 20 / 2 + 20       = 21.00          S102 27 x 12 / 18 = 18 miles, in January 12 = 12.60 + 8.70
N103 30 / 2 + 30 / 2   = 21.00          S103 9 of the 27 miles, later 6  = 6.30 + 4.20
Birch's 20 miles of a day without a job are the south's, by hours: 7.00, 3.50, 3.50.
GOODS. Line: 100 ft on hand at the list's .30 and 500 bought for 190 with 20 of freight: 240 / 600 = .40. Bulbs .60 and
plugs 2.00 as listed; clips 26 / 200 = .13; cord .20. A season bears 1/4 of line and plugs, 1/5 of bulbs, 1/2 of clips.
N101 new, leased: line 100 ft 10.00 and 110 - 100 beyond 4.00; 96 bulbs (4 are taped) 11.52, 4 beyond 2.40; clips 6.50
     and 10 beyond 1.30; plugs 2 x 3 3.00; cord 5.00 = 43.72. Carried on: 122.60 built less 31.02 borne = 91.58
N102 repeat, leased, built 2024: line 120 ft 12.00, bulbs 14.40, 5 replaced 3.00                       = 29.40
N103 sold: line 66 ft 26.40, bulbs 36.00, clips 100 - 45 7.15                                          = 69.55
S101 new, leased: line 80 ft 8.00, 4 beyond 1.60; bulbs 7 dozen: 80 are 9.60, 4 beyond 2.40; clips 5.20 = 26.80.
     Carried on: 90.40 built less 22.80 borne = 67.60
S102 repeat, sold: 10 bulbs 6.00
S103 repeat, leased, built 2021: the line's 4 seasons are over, the bulbs' 5th is this one 12.00; 20 ft 8.00 = 20.00
Cord of the south's shop 6.00 by hours: 3.00, 1.50, 1.50; of no branch 5.80 by 116 h: 1.20, 1.20, .60, 1.40, .70, .70.
Line at both ends: 150 on hand + 500 bought - 280 issued - 365 counted = 5 ft gone, 2.00, outside.
EQUIPMENT. S101 75; the north's 30 by hours 12, 12, 6; shared by all 58, .50 an hour: 12, 12, 6, 14, 7, 7.
OVERHEAD. Insurance 1,000 by 600 ft; the north's office 120 by jobs, 40 each; cards 1,000 by revenue, .10 of a dollar:
    406.66..  400  280  313.33..  433.33..  286.66.. = 2,120: the 2 cents over go to N101 and S103.
"""

from __future__ import annotations

import pytest
from support.tables import Season, assert_table

SETTINGS = {
    "social_security": "0.06", "medicare": "0.02", "futa": "0.008", "state_unemployment": "0.03", "state_base": "10000",
    "other_burden": "0.01", "compensation": "0.04", "compensation:climber": "0.08", "compensation:helper": "0.05",
    "owner_wage": "30",
}  # fmt: skip
JOBS = """
    | branch | job_no | crew  | work   | terms  | built_season | drive_miles | invoiced | install_date | takedown_date |
    | North  | 101    | Ash   | new    | leased |              | 10          | 2000     | 2025-11-17   | 2025-12-29    |
    | North  | 102    | Ash   | repeat | leased | 2024         | 20          | 1600     | 2025-11-18   | 2025-12-30    |
    | North  | 103    | Ash   | new    | sold   |              | 30          | 1400     | 2025-11-18   | 2025-12-29    |
    | South  | 101    | Birch | new    | leased |              | 8           | 1800     | 2025-11-20   | 2025-12-31    |
    | South  | 102    | Birch | repeat | sold   |              | 12          | 2000     | 2025-11-21   | 2026-01-02    |
    | South  | 103    | Birch | repeat | leased | 2021         | 6           | 1200     | 2025-11-22   |               |
"""
TABLES = {
    "workers": """
        | worker_no | role    | engaged  | hourly_wage | from_date  | paid_before |
        | W1        | climber | employee | 23          |            | 6668.25     |
        | W2        | helper  | employee | 16          |            |             |
        | W2        | helper  | employee | 18          | 2025-12-01 |             |
        | W3        |         | employee | 25          |            |             |
        | W4        |         | owner    |             |            |             |
    """,
    "hours": """
        | work_date  | branch | job_no | crew  | worker_no | task       | hours |
        | 2025-11-13 |        |        | Birch | W3        | training   | 2     |
        | 2025-11-14 | North  | 101    | Ash   | W1        | prep       | 2     |
        | 2025-11-17 | North  | 101    | Ash   | W1        | install    | 8     |
        | 2025-11-17 | North  | 101    | Ash   | W2        | install    | 8     |
        | 2025-11-18 | North  | 102    | Ash   | W1        | install    | 4     |
        | 2025-11-18 | North  | 102    | Ash   | W2        | install    | 4     |
        | 2025-11-18 | North  | 103    | Ash   | W1        | install    | 3     |
        | 2025-11-18 | North  | 103    | Ash   | W2        | install    | 3     |
        | 2025-11-19 |        |        | Ash   | W2        | shop       | 6     |
        | 2025-11-20 | South  | 101    | Birch | W3        | install    | 8     |
        | 2025-11-20 | South  | 101    | Birch | W4        | install    | 8     |
        | 2025-11-21 | South  | 102    | Birch | W3        | install    | 6     |
        | 2025-11-21 | South  | 103    | Birch | W4        | install    | 8     |
        | 2025-11-22 | South  | 103    | Birch | W3        | install    | 6     |
        | 2025-12-05 | North  | 102    | Ash   | W2        | service    | 2     |
        | 2025-12-05 | North  | 102    | Ash   | W2        | drive      | 2     |
        | 2025-12-29 | North  | 101    | Ash   | W1        | takedown   | 6     |
        | 2025-12-29 | North  | 103    | Ash   | W1        | takedown   | 6     |
        | 2025-12-30 | North  | 102    | Ash   | W1        | takedown   | 12    |
        | 2025-12-31 | South  | 101    | Birch | W1        | takedown   | 12    |
        | 2026-01-02 | South  | 102    | Birch | W1        | takedown   | 8     |
        | 2026-01-02 | South  | 102    | Birch | W1        | other_work | 4     |
    """,
    "pay": """
        | worker_no | kind        | from_date  | to_date    | amount | branch | job_no |
        | W1        | bonus       | 2025-12-28 | 2026-01-03 | 48     |        |        |
        |           | subcontract | 2025-11-21 | 2025-11-21 | 200    | South  | 102    |
    """,
    "items": """
        | item_no | kind       | unit | pack_size | pack_price | life_seasons |
        | LL12    | light_line | ft   | 500       | 150        | 4            |
        | B9      | bulb       | each | 25        | 15         | 5            |
        | CL      | fastener   | each | 100       | 10         | 2            |
        | PL      | plug       | each | 10        | 20         | 4            |
        | ZIP     | zip_cord   | ft   | 250       | 50         | 4            |
    """,
    "runs": """
        | branch | job_no | run_no | feet | fastener_item | fasteners |
        | North  | 101    | 1      | 100  | CL            |           |
        | North  | 102    | 1      | 120  |               |           |
        | North  | 103    | 1      | 60   | CL            | 50        |
        | South  | 101    | 1      | 80   | CL            |           |
        | South  | 102    | 1      | 140  |               |           |
        | South  | 103    | 1      | 100  |               |           |
    """,
    "connections": """
        | branch | job_no | kind         | count |
        | North  | 101    | plug         | 3     |
        | North  | 101    | taped_socket | 4     |
    """,
    "materials": """
        | branch | job_no | item_no | moved    | quantity | unit  | move_date  |
        | North  | 101    | LL12    | issued   | 130      |       | 2025-11-17 |
        | North  | 101    | LL12    | returned | 20       |       | 2025-11-17 |
        | North  | 101    | LL12    | scrapped | 6        |       | 2025-11-17 |
        | North  | 101    | B9      | issued   | 4        | pack  | 2025-11-17 |
        | North  | 101    | CL      | issued   | 110      |       | 2025-11-17 |
        | North  | 101    | PL      | issued   | 6        |       | 2025-11-17 |
        | North  | 101    | ZIP     | issued   | 25       |       | 2025-11-17 |
        | North  | 102    | B9      | issued   | 5        |       | 2025-11-18 |
        | North  | 102    | B9      | issued   | 2        |       | 2025-12-05 |
        | North  | 103    | LL12    | issued   | 66       |       | 2025-11-18 |
        | North  | 103    | B9      | issued   | 60       |       | 2025-11-18 |
        | North  | 103    | CL      | issued   | 1        | pack  | 2025-11-18 |
        | North  | 103    | CL      | returned | 45       |       | 2025-11-18 |
        | South  | 101    | LL12    | issued   | 84       |       | 2025-11-20 |
        | South  | 101    | B9      | issued   | 7        | dozen | 2025-11-20 |
        | South  | 101    | CL      | issued   | 80       |       | 2025-11-20 |
        | South  | 102    | B9      | issued   | 10       |       | 2025-11-21 |
        | South  | 103    | LL12    | issued   | 20       |       | 2025-11-22 |
        | South  |        | ZIP     | issued   | 30       |       | 2025-11-12 |
        |        |        | ZIP     | issued   | 29       |       | 2025-11-12 |
    """,
    "purchases": """
        | item_no | packs | pack_size | paid | freight |
        | LL12    | 1     | 500       | 190  | 20      |
        | CL      | 2     | 100       | 26   |         |
    """,
    "stock": """
        | item_no | on_hand | condition | counted_on |
        | LL12    | 100     | usable    | 2025-10-01 |
        | LL12    | 50      | doubtful  | 2025-10-01 |
        | LL12    | 345     | usable    | 2026-02-01 |
        | LL12    | 20      | doubtful  | 2026-02-01 |
    """,
    "trips": """
        | crew  | trip_date  | miles |
        | Birch | 2025-11-10 | 20    |
        | Birch | 2025-11-20 | 10    |
        | Birch | 2025-11-20 | 8     |
        | Birch | 2025-11-21 | 27    |
    """,
    "equipment": """
        | branch | job_no | amount |
        | South  | 101    | 75     |
        | North  |        | 30     |
        |        |        | 58     |
    """,
    "overheads": """
        | what      | branch | amount | basis   |
        | insurance |        | 1000   | feet    |
        | office    | North  | 120    | jobs    |
        | cards     |        | 1000   | revenue |
    """,
}
REFUSED = {
    "hours": """
        | branch | job_no | crew  | worker_no | work_date  | hours | place    | why         |
        | South  | 999    | Birch | W3        | 2025-11-24 | 3     | held     | no such job |
        | North  |        | Ash   | W2        | 2025-11-24 | 5     | rejected | made        |
    """
}


@pytest.fixture(scope="module")
def season() -> Season:
    return Season(settings=SETTINGS, refused=REFUSED, jobs=JOBS, **TABLES)


def test_every_part_of_every_job(season: Season) -> None:
    assert_table(
        season.measure("measures.job_cost"),
        """
            | branch | job_no | labor_usd | materials_usd | travel_usd | equipment_usd | service_usd | overhead_usd |
            | North  | 101    | 659.03    | 44.92         | 10.50      | 24            | 0           | 406.67       |
            | North  | 102    | 604.32    | 30.60         | 21         | 24            | 100.02      | 400          |
            | North  | 103    | 348.65    | 70.15         | 21         | 12            | 0           | 280          |
            | South  | 101    | 875.91    | 31.20         | 25.20      | 89            | 0           | 313.33       |
            | South  | 102    | 639.78    | 8.20          | 24.80      | 7             | 0           | 433.33       |
            | South  | 103    | 429.80    | 22.20         | 14         | 7             | 0           | 286.67       |
        """,
    )


def test_totals_feet_and_margins(season: Season) -> None:
    assert_table(
        season.measure("measures.job_cost"),
        """
            | branch | job_no | feet | total_usd | cost_usd_per_ft | invoiced_usd | margin_usd | margin_share |
            | North  | 101    | 100  | 1145.12   | 11.4512         | 2000         | 854.88     | 0.42744      |
            | North  | 102    | 120  | 1179.94   | 58997/6000      | 1600         | 420.06     | 0.2625375    |
            | North  | 103    | 60   | 731.80    | 3659/300        | 1400         | 668.20     | 3341/7000    |
            | South  | 101    | 80   | 1334.64   | 16.683          | 1800         | 465.36     | 1939/7500    |
            | South  | 102    | 140  | 1113.11   | 111311/14000    | 2000         | 886.89     | 0.443445     |
            | South  | 103    | 100  | 759.67    | 7.5967          | 1200         | 440.33     | 44033/120000 |
        """,
    )


def test_what_the_totals_rest_on(season: Season) -> None:
    """The owner's 8 h at 30 each; nobody is paid too little to be known."""
    assert_table(
        season.measure("measures.job_cost"),
        """
            | branch | job_no | direct_hours | owner_hours | owner_usd | total_without_owner_usd | capitalised_usd |
            | North  | 101    | 24           | 0           | 0         | 1145.12                 | 91.58           |
            | North  | 102    | 24           | 0           | 0         | 1179.94                 | 0               |
            | North  | 103    | 12           | 0           | 0         | 731.80                  | 0               |
            | South  | 101    | 28           | 8           | 240       | 1094.64                 | 67.60           |
            | South  | 102    | 14           | 0           | 0         | 1113.11                 | 0               |
            | South  | 103    | 14           | 8           | 240       | 519.67                  | 0               |
        """,
    )


def test_what_is_said_of_each_job(season: Season) -> None:
    """South 103 has no takedown, so that more may come."""
    assert_table(
        season.measure("measures.job_cost"),
        """
            | branch | job_no | size_band     | is_final | is_understated | understated_why | has_own_hours |
            | North  | 101    | 100 to 149 ft | yes      | no             |                 | yes           |
            | North  | 102    | 100 to 149 ft | yes      | no             |                 | yes           |
            | North  | 103    | under 100 ft  | yes      | no             |                 | yes           |
            | South  | 101    | under 100 ft  | yes      | no             |                 | yes           |
            | South  | 102    | 100 to 149 ft | yes      | no             |                 | yes           |
            | South  | 103    | 100 to 149 ft | no       | no             |                 | yes           |
        """,
    )


def test_the_rest_of_a_job_is_as_it_was_recorded(season: Season) -> None:
    names = ["branch", "job_no", "crew", "work", "terms", "stories", "install_date", "customer_no", "property_no"]
    recorded = season.records["jobs"].select(names)
    cost = season.measure("measures.job_cost")
    assert cost.select(names).sort(names).equals(recorded.sort(names))
    assert cost.select("slope", "quoted_usd").null_count().row(0) == (6, 6)
    assert set(cost["invoiced_other_usd"]) == {0}


def test_every_dollar_read_is_accounted_for(season: Season) -> None:
    """Labor: 3,557.486 in cents over 1,498.91 + 113.088 and 1,887.088 + 58.40; the south's row wants the cent most."""
    assert_table(
        season.measure("audit.control"),
        """
            | branch | part      | read_usd | on_jobs_usd | spread_usd | outside_usd | refused_usd | difference_usd |
            | North  | labor     | 1692     | 1498.91     | 113.09     | 0           | 80          | 0              |
            | South  | labor     | 2158.08  | 1887.09     | 58.40      | 124.99      | 87.60       | 0              |
            | North  | materials | 265.27   | 142.67      | 0          | 122.60      | 0           | 0              |
            | South  | materials | 149.20   | 52.80       | 6          | 90.40       | 0           | 0              |
            | all    | materials | 7.80     | 0           | 5.80       | 2           | 0           | 0              |
            | North  | travel    | 52.50    | 52.50       | 0          | 0           | 0           | 0              |
            | South  | travel    | 64       | 50          | 14         | 0           | 0           | 0              |
            | North  | service   | 100.02   | 100.02      | 0          | 0           | 0           | 0              |
            | North  | equipment | 30       | 0           | 30         | 0           | 0           | 0              |
            | South  | equipment | 75       | 75          | 0          | 0           | 0           | 0              |
            | all    | equipment | 58       | 0           | 58         | 0           | 0           | 0              |
            | North  | overhead  | 120      | 0           | 120        | 0           | 0           | 0              |
            | all    | overhead  | 2000     | 0           | 2000       | 0           | 0           | 0              |
        """,
    )


def test_the_branches_and_the_season_are_the_sums_of_their_jobs(season: Season) -> None:
    assert_table(
        season.measure("measures.season_cost"),
        """
            | branch | labor_usd | materials_usd | travel_usd | equipment_usd | service_usd | overhead_usd | total_usd |
            | North  | 1612      | 145.67        | 52.50      | 60            | 100.02      | 1086.67      | 3056.86   |
            | South  | 1945.49   | 61.60         | 64         | 103           | 0           | 1033.33      | 3207.42   |
            | all    | 3557.49   | 207.27        | 116.50     | 163           | 100.02      | 2120         | 6264.28   |
        """,
    )
