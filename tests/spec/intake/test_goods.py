"""Items, what is made of them, and the goods that move."""

from __future__ import annotations

from support.intake import JOBS, assert_findings, assert_places, check, messages

ITEMS = """
    | item_no | kind       | unit | pack_size | pack_price | spacing_in | socket | wire  | volts |
    | LL12    | light_line | ft   | 500       | 145        | 12         | C9     | SPT-1 | 120   |
    | LL15    | light_line | ft   | 500       | 145        | 15         | c9     | SPT-2 | 120   |
    | B9      | bulb       | each | 25        | 20         |            | C9     |       | 120   |
    | B7      | bulb       | each | 25        | 20         |            | C7     |       | 120   |
    | FG1     | fastener   | each | 100       | 12         |            |        |       |       |
    | PL1     | plug       | each | 50        | 30         |            |        | SPT-1 |       |
    | PL2     | plug       | each | 50        | 30         |            |        | SPT-2 |       |
"""


def test_an_unknown_item_is_rejected_with_a_suggestion() -> None:
    checked = check(items=ITEMS, stock="| item_no | on_hand |\n| LL12X | 5 |\n| ll12 | 5 |\n| QQQ | 5 |")
    assert_places(
        checked, "stock", "| item_no | place |\n| LL12X | rejected |\n| LL12 | accepted |\n| QQQ | rejected |"
    )
    assert messages(checked, "error") == [
        '"LL12X" is in no row of items; did you mean LL12?',
        '"QQQ" is in no row of items',
    ]


def test_without_any_sheet_of_items_a_row_that_names_one_is_accepted_with_a_note() -> None:
    checked = check(stock="| item_no | on_hand |\n| LL12X | 5 |")
    assert_findings(checked, "| rule | severity |\n| items_are_listed | note |")


def test_a_row_of_an_item_that_was_rejected_says_so() -> None:
    checked = check(
        items="| item_no | kind | unit | pack_size | pack_price |\n| B9 | bulb | each | 25 | free |",
        stock="| item_no | on_hand |\n| B9 | 5 |",
    )
    assert 'item "B9" was rejected in the sheet of items' in messages(checked, "error")


def test_a_run_names_a_light_line_a_bulb_and_a_fastener() -> None:
    checked = check(
        items=ITEMS,
        runs="""
            | job_no | run_no | feet | line_item | bulb_item | fastener_item |
            | 1      | 1      | 50   | LL12      | B9        | FG1           |
            | 1      | 2      | 50   | B9        | LL12      | PL1           |
        """,
    )
    assert_findings(
        checked,
        """
            | source_row | message                                             |
            | 3          | "B9" is an item of kind bulb, not light_line        |
            | 3          | "LL12" is an item of kind light_line, not bulb      |
            | 3          | "PL1" is an item of kind plug, not fastener         |
        """,
        severity="error",
    )


def test_sockets_and_fasteners_follow_from_length_and_spacing() -> None:
    # 42.5 ft x 12 / 12 = 42.5, floor 42; 100' 4" is 1204 in, at 4 in 301; 10 ft at 7 in is 17.1, floor 17.
    checked = check(
        jobs=JOBS,
        runs="""
            | job_no | run_no | feet    | spacing_in | sockets | fasteners |
            | 1      | 1      | 42.5    | 12         |         |           |
            | 1      | 2      | 100' 4" | 4          |         |           |
            | 1      | 3      | 10      | 7          |         | 9         |
            | 1      | 4      | 42.5    | 12         | 44      |           |
        """,
    )
    assert_places(
        checked,
        "runs",
        """
            | run_no | sockets | fasteners |
            | 1      | 42      | 42        |
            | 2      | 301     | 301       |
            | 3      | 17      | 9         |
            | 4      | 44      | 44        |
        """,
    )


def test_sockets_more_than_five_per_cent_off_are_a_warning() -> None:
    # 100 ft at 12 in is 100 sockets: 95 and 105 pass, 94 and 106 do not.
    checked = check(
        jobs="| job_no | feet |\n| 1 | 400 |",
        runs="""
            | job_no | run_no | feet | spacing_in | sockets |
            | 1      | 1      | 100  | 12         | 95      |
            | 1      | 2      | 100  | 12         | 105     |
            | 1      | 3      | 100  | 12         | 94      |
            | 1      | 4      | 100  | 12         | 106     |
        """,
    )
    assert_findings(
        checked,
        """
            | source_row | message                                                      |
            | 4          | "94" is more than 5 % off the 100 that length and spacing give |
            | 5          | "106" is more than 5 % off the 100 that length and spacing give |
        """,
        severity="warning",
    )


def test_a_spacing_that_no_light_line_has_is_a_warning() -> None:
    checked = check(
        items=ITEMS,
        runs="""
            | job_no | run_no | feet | spacing_in | line_item | bulb_item |
            | 1      | 1      | 50   | 12         | LL12      | B9        |
            | 1      | 2      | 50   | 9          | LL12      | B9        |
        """,
    )
    assert messages(checked, "warning") == ['no light line in items has the spacing "9"']


def test_items_without_spacings_say_nothing_of_a_run_s() -> None:
    items = "| item_no | kind | unit |\n| LL12 | light_line | ft |\n| B9 | bulb | each |"
    checked = check(items=items, runs="| job_no | run_no | feet | line_item | bulb_item |\n| 1 | 1 | 100 | LL12 | B9 |")
    assert messages(checked) == []


def test_a_bulb_that_does_not_fit_its_line_is_a_warning() -> None:
    # C9 and c9 are one socket; C7 is another.
    checked = check(
        items=ITEMS,
        runs="""
            | job_no | run_no | feet | spacing_in | line_item | bulb_item |
            | 1      | 1      | 50   | 15         | LL15      | B9        |
            | 1      | 2      | 50   | 15         | LL15      | B7        |
        """,
        run_bulbs="| job_no | run_no | bulb_item | share |\n| 1 | 1 | B9 | 0.5 |\n| 1 | 1 | B7 | 0.5 |",
    )
    assert_findings(
        checked,
        """
            | source_sheet | source_row | message                                              |
            | runs         | 3          | bulb B7 does not fit line LL15 (socket or volts)     |
            | run_bulbs    | 3          | bulb B7 does not fit line LL15 (socket or volts)     |
        """,
        severity="warning",
    )


def test_a_plug_that_fits_no_line_of_its_job_is_a_warning() -> None:
    checked = check(
        items=ITEMS,
        runs="| job_no | run_no | feet | line_item | bulb_item |\n| 1 | 1 | 100 | LL12 | B9 |",
        connections="| job_no | count | item_no |\n| 1 | 3 | PL1 |\n| 1 | 3 | PL2 |\n| 2 | 3 | PL2 |",
    )
    assert messages(checked, "warning") == ['"PL2" is for SPT-2 wire, which no line of job 1 has']


def test_a_blank_unit_is_the_item_s_and_an_impossible_one_is_rejected() -> None:
    checked = check(
        items=ITEMS,
        materials="""
            | item_no | quantity | unit  |
            | LL12    | 164      |       |
            | LL12    | 2        | spool |
            | LL12    | 2        | dozen |
            | LL12    | 2        | each  |
            | B9      | 2        | doz   |
            | B9      | 2        | ft    |
        """,
    )
    assert_places(
        checked,
        "materials",
        """
            | source_row | unit  | place    |
            | 2          | ft    | accepted |
            | 3          | spool | accepted |
            | 4          | dozen | rejected |
            | 5          | each  | rejected |
            | 6          | dozen | accepted |
            | 7          | ft    | rejected |
        """,
    )
    assert "LL12 cannot be counted in dozen: the item is kept in ft" in messages(checked, "error")


def test_a_unit_behind_the_quantity_counts_as_the_unit() -> None:
    checked = check(
        items=ITEMS,
        materials="""
            | item_no | quantity | unit |
            | LL12    | 164 ft   |      |
            | LL12    | 2 spools |      |
            | B9      | 2 dozen  |      |
            | B9      | 12 ft    |      |
            | LL12    | 164 ft   | each |
            | LL12    | 164 feet | FT   |
        """,
    )
    assert_places(
        checked,
        "materials",
        """
            | source_row | quantity | unit  | place    |
            | 2          | 164      | ft    | accepted |
            | 3          | 2        | spool | accepted |
            | 4          | 2        | dozen | accepted |
            | 5          | 12       | ft    | rejected |
            | 6          | 164      | each  | rejected |
            | 7          | 164      | ft    | accepted |
        """,
    )


def test_stock_and_packs_are_in_the_unit_of_their_item() -> None:
    checked = check(
        items=ITEMS,
        stock="| item_no | on_hand |\n| LL12 | 860 ft |\n| B9 | 860 ft |\n| LL12 | 2 spools |",
        purchases="| item_no | packs | pack_size |\n| LL12 | 3 spools | 500 ft |\n| B9 | 3 ft | 25 |",
    )
    assert_places(checked, "stock", "| source_row | place |\n| 2 | accepted |\n| 3 | rejected |\n| 4 | rejected |")
    assert_places(checked, "purchases", "| source_row | packs | place |\n| 2 | 3 | accepted |\n| 3 | | rejected |")


def test_scrap_never_exceeds_what_was_issued_and_not_returned() -> None:
    checked = check(
        items=ITEMS,
        materials="""
            | job_no | item_no | moved    | quantity | unit |
            | 1      | B9      | issued   | 2        | pack |
            | 1      | B9      | returned | 20       | each |
            | 1      | B9      | scrapped | 30       | each |
            | 2      | B9      | issued   | 2        | pack |
            | 2      | B9      | returned | 20       | each |
            | 2      | B9      | scrapped | 31       | each |
        """,
    )
    # Two packs of 25 less 20 returned leave 30.
    assert_places(
        checked,
        "materials",
        """
            | source_row | place    |
            | 2          | accepted |
            | 3          | accepted |
            | 4          | accepted |
            | 5          | accepted |
            | 6          | accepted |
            | 7          | rejected |
        """,
    )
    assert messages(checked, "error") == ["31.0 scrapped, but only 30.0 of B9 was issued and not returned"]


def test_scrap_is_not_judged_where_an_issue_could_not_be_read() -> None:
    checked = check(
        items=ITEMS,
        materials="| job_no | item_no | moved | quantity |\n| 1 | B9 | issued | n/a |\n| 1 | B9 | scrapped | 5 |",
    )
    assert_places(checked, "materials", "| source_row | place |\n| 2 | rejected |\n| 3 | accepted |")


def test_line_used_lies_between_100_and_160_per_cent_of_the_feet() -> None:
    checked = check(
        jobs="""
            | job_no | feet | work   |
            | 1      | 100  | new    |
            | 2      | 100  | new    |
            | 3      | 100  | new    |
            | 4      | 100  | new    |
            | 5      | 100  | repeat |
            | 6      | 100  | repeat |
        """,
        items=ITEMS,
        materials="""
            | job_no | item_no | moved    | quantity |
            | 1      | LL12    | issued   | 120      |
            | 1      | LL12    | returned | 20       |
            | 2      | LL12    | issued   | 99       |
            | 3      | LL12    | issued   | 160      |
            | 4      | LL12    | issued   | 161      |
            | 5      | LL12    | issued   | 10       |
            | 6      | LL12    | issued   | 161      |
        """,
    )
    assert_findings(
        checked,
        """
            | source_row | message                                                  |
            | 3          | 99.0 ft of light line used for 100.0 ft installed        |
            | 5          | 161.0 ft of light line used for 100.0 ft installed       |
            | 7          | 161.0 ft of light line used for 100.0 ft installed       |
        """,
        severity="warning",
    )
