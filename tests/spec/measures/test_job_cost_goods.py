"""measures.job_cost, materials: what goods cost a job this season."""

from support.tables import Season, assert_table, measure, measures

ITEMS = """
    | item_no | kind       | unit | pack_size | pack_price | life_seasons |
    | LL12    | light_line | ft   | 500       | 200        | 4            |
    | B9      | bulb       | each | 100       | 50         | 5            |
    | ZIP     | zip_cord   | ft   | 250       | 50         | 4            |
"""
RUN = "| job_no | run_no | feet |\n| 1 | 1 | 100 |"


def job(work: str, terms: str, built: str = "") -> str:
    return f"| job_no | work | terms | built_season |\n| 1 | {work} | {terms} | {built} |"


def test_sold_goods_are_issued_less_returned_at_cost() -> None:
    season = Season(
        jobs=job("new", "sold"),
        runs=RUN,
        items=ITEMS,
        materials="""
            | job_no | item_no | moved    | quantity | unit |
            | 1      | LL12    | issued   | 1        | spool |
            | 1      | LL12    | returned | 390      | ft   |
            | 1      | B9      | issued   | 9        | dozen |
            | 1      | LL12    | scrapped | 8        | ft   |
        """,
    )
    # line 500 - 390 = 110 ft at .40 = 44, of which the scrap is a part; bulbs 108 at .50 = 54
    assert_table(season.measure("measures.job_cost"), "| job_no | materials_usd |\n| 1 | 98 |")


def test_leased_goods_on_a_new_job_bear_a_share_of_their_life_and_what_is_beyond_built_in_full() -> None:
    season = Season(
        jobs=job("new", "leased"),
        runs=RUN,
        items=ITEMS,
        materials="| job_no | item_no | quantity |\n| 1 | LL12 | 110 |\n| 1 | B9 | 100 |\n| 1 | ZIP | 20 |",
    )
    # line 100 x .40 / 4 = 10 and 10 ft beyond = 4; bulbs 100 x .50 / 5 = 10; cord is never built: 20 x .20 = 4
    # carried on: line 40 - 10 = 30, bulbs 50 - 10 = 40
    assert_table(season.measure("measures.job_cost"), "| job_no | materials_usd | capitalised_usd |\n| 1 | 28 | 70 |")


def test_what_stands_in_a_new_leased_job_is_carried_whole_and_borne_though_less_was_issued() -> None:
    season = Season(
        jobs=job("new", "leased"),
        runs=RUN,
        items=ITEMS,
        materials="| job_no | item_no | quantity |\n| 1 | LL12 | 70 |\n| 1 | B9 | 100 |",
    )
    # line 100 built x .40 = 40, of which 70 ft, 28, were issued; bulbs 100 x .50 = 50. Borne: 40 / 4 + 50 / 5 = 20.
    jobs, control, schedule = measures(("measures.job_cost", "audit.control", "measures.leased_schedule"), season)
    assert_table(jobs, "| job_no | materials_usd | capitalised_usd |\n| 1 | 20 | 70 |")
    # Read: 28 + 50 issued, 12 of line that stands without having been issued, and the season's share, 20.
    assert_table(
        control.filter(control["part"] == "materials"),
        "| read_usd | on_jobs_usd | outside_usd | difference_usd |\n| 110 | 20 | 90 | 0 |",
    )
    # What goes outside, 90, is what seasons bear: 20 now and 20 + 20 + 20 + 10, line for four seasons, bulbs for five.
    assert_table(
        schedule,
        """
            | built_season | later_season | carried_usd | borne_usd | remaining_usd |
            | 2025         | 2026         | 70          | 20        | 50            |
            | 2025         | 2027         | 50          | 20        | 30            |
            | 2025         | 2028         | 30          | 20        | 10            |
            | 2025         | 2029         | 10          | 10        | 0             |
        """,
    )


def test_a_repeat_job_bears_its_share_until_the_life_is_over_and_replacements_in_full() -> None:
    replaced = "| job_no | item_no | quantity |\n| 1 | B9 | 6 |"
    shares = {"2024": "10 + 10", "2022": "10 + 10", "2021": "0 + 10", "2020": "0 + 0", "": "10 + 10"}
    for built, share in shares.items():
        season = Season(jobs=job("repeat", "leased", built), runs=RUN, items=ITEMS, materials=replaced)
        line, bulbs = share.split(" + ")
        expected = int(line) + int(bulbs) + 3
        assert_table(season.measure("measures.job_cost"), f"| job_no | materials_usd |\n| 1 | {expected} |")


def test_a_life_that_is_no_whole_number_ends_in_a_part_of_a_season() -> None:
    items = ITEMS.replace("| 200        | 4 ", "| 200        | 2.5 ").replace("| 50         | 5 ", "| 50         | 1 ")
    season = Season(jobs=job("repeat", "leased", "2023"), runs=RUN, items=items, materials="| item_no | quantity |")
    # two seasons on, line has min(1 / 2.5, 1 - 2 / 2.5) = .2 of 40 left; bulbs of one season have none
    assert_table(season.measure("measures.job_cost"), "| job_no | materials_usd |\n| 1 | 8 |")


def test_goods_of_a_service_day_are_service_and_not_materials() -> None:
    season = Season(
        settings={"social_security": "0", "medicare": "0", "futa": "0"},
        jobs="| job_no | work | terms | drive_miles |\n| 1 | new | sold | 10 |",
        runs=RUN,
        items=ITEMS,
        workers="| worker_no | hourly_wage |\n| W1 | 20 |",
        hours="""
            | job_no | work_date  | worker_no | task    | hours |
            | 1      | 2025-11-10 | W1        | install | 4     |
            | 1      | 2025-12-01 | W1        | drive   | 1     |
            | 1      | 2025-12-01 | W1        | service | 2     |
        """,
        materials="""
            | job_no | item_no | quantity | move_date  |
            | 1      | B9      | 100      | 2025-11-10 |
            | 1      | B9      | 4        | 2025-12-01 |
        """,
    )
    # service: 3 h x 20, 10 miles x .70, 4 bulbs x .50
    assert_table(
        season.measure("measures.job_cost"),
        "| job_no | labor_usd | materials_usd | travel_usd | service_usd |\n| 1 | 80 | 50 | 7 | 69 |",
    )


def test_what_was_bought_in_all_goes_by_feet_where_no_movements_were_handed_in() -> None:
    season = Season(
        jobs="| job_no | feet |\n| 1 | 100 |\n| 2 | 300 |",
        purchases="| item_no | packs | pack_size | paid | freight |\n| ALL | 1 | 1 | 900 | 100 |",
    )
    assert_table(season.measure("measures.job_cost"), "| job_no | materials_usd |\n| 1 | 250 |\n| 2 | 750 |")


def test_what_was_bought_in_all_stands_for_the_goods_and_no_shares_are_taken_beside_it() -> None:
    season = Season(
        jobs="| job_no | feet | terms |\n| 1 | 100 | leased |",
        items="| item_no | kind | unit | pack_size | pack_price |\n| LL12 | light_line | ft | 100 | 40 |",
        runs="| job_no | run_no | feet |\n| 1 | 1 | 100 |",
        purchases="| item_no | packs | pack_size | paid | freight |\n| LL12 | 2 | 100 | 80 | 5 |",
    )
    assert_table(season.measure("measures.job_cost"), "| job_no | materials_usd |\n| 1 | 85 |")
    assert set(season.measure("audit.control")["difference_usd"]) == {0}


def test_a_repeat_job_without_runs_says_that_its_leased_goods_are_not_known() -> None:
    season = Season(
        jobs="""
            | job_no | feet | work   | terms  |
            | 1      | 100  | repeat | leased |
            | 2      | 100  | repeat | leased |
            | 3      | 100  | repeat | sold   |
        """,
        items="| item_no | kind | unit | pack_size | pack_price |\n| LL12 | light_line | ft | 100 | 40 |",
        runs="| job_no | run_no | feet |\n| 2 | 1 | 100 |",
        materials="| job_no | item_no | quantity |\n| 1 | LL12 | 10 |",
    )
    found = season.measure("measures.job_cost").sort("job_no")
    assert ["leased goods" in why for why in found["understated_why"]] == [True, False, False]


def test_what_stands_is_borne_at_the_cost_and_life_of_the_season_that_built_it() -> None:
    bought = "| item_no | packs | pack_size | paid |\n| LL12 | 1 | 500 | {} |"
    moved = "| job_no | item_no | quantity |\n| 1 | LL12 | {} |"
    first = Season(
        season=2024,
        jobs=job("new", "leased"),
        runs=RUN,
        items=ITEMS,
        purchases=bought.format(150),
        materials=moved.format(104),
    )
    second = Season(
        jobs=job("repeat", "leased", "2024"),
        runs=RUN,
        items=ITEMS.replace("| 200        | 4 ", "| 200        | 2 "),
        purchases=bought.format(250),
        materials=moved.format(3),
    )
    # Built at 150 / 500 = .30 for 4 seasons: 100 ft are 30.00, 7.50 a season. 2024 adds 4 ft beyond built, 1.20, and
    # 2025 3 ft replaced at 250 / 500, 1.50. Bulbs were not bought: 100 x .50 / 5 = 10 in both.
    # Carried on by 2024: 22.50 of line and 40.00 of bulbs; none of it is carried on anew by 2025.
    assert_table(
        measure("measures.job_cost", first, second),
        """
            | season | materials_usd | capitalised_usd |
            | 2024   | 18.70         | 62.50           |
            | 2025   | 19            | 0               |
        """,
    )
    assert set(measure("audit.control", first, second)["difference_usd"]) == {0}
    # Without the season that built it in the store, 2025 has only its own cost and life: 100 x .50 / 2 = 25.
    assert_table(second.measure("measures.job_cost"), "| job_no | materials_usd |\n| 1 | 36.50 |")
