"""measures.cash_months: when money came in and went out, month by month from June."""

from support.tables import Season, assert_table

JOBS = """
    | job_no | branch | feet | invoiced |
    | 1      | North  | 100  | 900      |
"""
WORKERS = """
    | worker_no | hourly_wage | engaged  |
    | W1        | 20          | employee |
    | W2        | 30          | owner    |
"""
RECEIPTS = """
    | received   | job_no | kind    | amount |
    | 2025-10-01 | 1      | deposit | 300    |
    | 2025-11-20 | 1      | balance | 600    |
    | 2025-11-21 | 1      | fee     | 18     |
    | 2025-12-05 | 1      | refund  | 50     |
"""
HOURS = """
    | worker_no | work_date  | job_no | task    | hours |
    | W1        | 2025-11-28 | 1      | install | 5     |
    | W1        | 2025-12-01 | 1      | install | 2     |
    | W2        | 2025-11-28 | 1      | install | 4     |
"""
PURCHASES = """
    | item_no | bought_date | packs | pack_size | paid | freight |
    | B1      | 2025-06-10  | 2     | 25        | 100  | 8       |
    | B1      | 2025-04-02  | 1     | 25        | 40   |         |
"""
ITEMS = """
    | item_no | kind | unit | pack_size | pack_price |
    | B1      | bulb | each | 25        | 50         |
"""
OVERHEADS = """
    | what | amount | basis | behaves |
    | Rent | 100    | feet  | fixed   |
"""
NO_TAXES = {"social_security": "0", "medicare": "0", "futa": "0"}


def season(**tables: str) -> Season:
    return Season(settings=NO_TAXES, **({"jobs": JOBS, "workers": WORKERS} | tables))


def test_money_lies_in_the_month_in_which_it_moved_and_pay_in_that_of_its_week_s_end() -> None:
    # The week of 28 November 2025, from Sunday, ends on the 29th; that of 1 December on the 6th. The owner's hours are
    # no pay. Bought on 2 April, before the season's June: in its first month, 108 + 40. Rent: 100 / 12 = 8.33, with
    # 8.34 where the cents of the year so far ask for it (100 x 2 / 12 = 16.67).
    found = season(receipts=RECEIPTS, hours=HOURS, items=ITEMS, purchases=PURCHASES, overheads=OVERHEADS)
    assert_table(
        found.measure("measures.cash_months"),
        """
            | month      | received_usd | pay_usd | goods_usd | overhead_usd | net_usd | running_usd |
            | 2025-06-01 | 0            | 0       | 148       | 8.33         | -156.33 | -156.33     |
            | 2025-07-01 | 0            | 0       | 0         | 8.34         | -8.34   | -164.67     |
            | 2025-08-01 | 0            | 0       | 0         | 8.33         | -8.33   | -173        |
            | 2025-09-01 | 0            | 0       | 0         | 8.33         | -8.33   | -181.33     |
            | 2025-10-01 | 300          | 0       | 0         | 8.34         | 291.66  | 110.33      |
            | 2025-11-01 | 582          | 100     | 0         | 8.33         | 473.67  | 584         |
            | 2025-12-01 | -50          | 40      | 0         | 8.33         | -98.33  | 485.67      |
            | 2026-01-01 | 0            | 0       | 0         | 8.34         | -8.34   | 477.33      |
            | 2026-02-01 | 0            | 0       | 0         | 8.33         | -8.33   | 469         |
            | 2026-03-01 | 0            | 0       | 0         | 8.33         | -8.33   | 460.67      |
            | 2026-04-01 | 0            | 0       | 0         | 8.34         | -8.34   | 452.33      |
            | 2026-05-01 | 0            | 0       | 0         | 8.33         | -8.33   | 444         |
        """,
    )


def test_without_receipts_there_is_no_cash_and_what_was_not_handed_in_is_not_known() -> None:
    assert season(hours=HOURS).measure("measures.cash_months").is_empty()
    found = season(receipts=RECEIPTS).measure("measures.cash_months")
    assert found["pay_usd"].null_count() == found["goods_usd"].null_count() == 12
    assert found["net_usd"].sum() == 832
