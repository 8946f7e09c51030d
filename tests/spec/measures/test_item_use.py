"""facts.job_items and measures.item_use: what went to the jobs, and what stands in them."""

from support.tables import Season, assert_table

JOBS = """
    | job_no | feet | work   |
    | 1      | 100  | new    |
    | 2      | 60   | repeat |
"""
ITEMS = """
    | item_no | kind       | unit | pack_size | pack_price |
    | LL12    | light_line | ft   | 500       | 150        |
    | B9      | bulb       | each | 25        | 20         |
    | B9R     | bulb       | each | 25        | 22         |
    | CL      | fastener   | each | 100       | 12         |
    | PL      | plug       | each | 10        | 8          |
    | TM      | timer      | each | 1         | 15         |
    | CP      | cap        | each | 50        | 5          |
    | ZC      | zip_cord   | ft   | 250       | 40         |
    | TAPE    | sundry     | each | 1         | 3          |
"""
RUNS = """
    | job_no | run_no | feet | spacing_in | line_item | bulb_item | fastener_item | fasteners |
    | 1      | 1      | 60.5 | 12         | LL12      | B9        | CL            |           |
    | 1      | 2      | 40   | 12         | LL12      | B9        | CL            | 30        |
    | 2      | 1      | 60   | 12         | LL12      | B9        |               |           |
"""
NO_CONNECTIONS = "| job_no | kind | count |"


def test_a_run_is_built_of_its_feet_its_sockets_and_its_fasteners() -> None:
    season = Season(jobs=JOBS, items=ITEMS, runs=RUNS, connections=NO_CONNECTIONS)
    # Sockets: floor(60.5 x 12 / 12) = 60, 40 and 60. Fasteners of job 1: one a socket 60, and 30 as written.
    assert_table(
        season.measure("facts.job_items"),
        """
            | job_no | item_no | kind       | unit | built | issued | net |
            | 1      | LL12    | light_line | ft   | 100.5 | 0      | 0   |
            | 1      | B9      | bulb       | each | 100   | 0      | 0   |
            | 1      | CL      | fastener   | each | 90    | 0      | 0   |
            | 2      | LL12    | light_line | ft   | 60    | 0      | 0   |
            | 2      | B9      | bulb       | each | 60    | 0      | 0   |
        """,
    )


def test_alternating_bulbs_go_by_their_shares_fractions_kept() -> None:
    season = Season(
        jobs="""
            | job_no | feet |
            | 1      | 61   |
        """,
        items=ITEMS,
        runs="""
            | job_no | run_no | feet |
            | 1      | 1      | 61   |
        """,
        run_bulbs="""
            | job_no | run_no | bulb_item | share |
            | 1      | 1      | B9        | 0.5   |
            | 1      | 1      | B9R       | 0.5   |
        """,
        connections=NO_CONNECTIONS,
    )
    assert_table(
        season.measure("facts.job_items").filter(kind="bulb"),
        """
            | item_no | built |
            | B9      | 30.5  |
            | B9R     | 30.5  |
        """,
    )


def test_taped_and_capped_sockets_keep_no_bulb() -> None:
    season = Season(
        jobs="""
            | job_no | feet |
            | 1      | 100  |
        """,
        items=ITEMS,
        runs="""
            | job_no | run_no | feet | bulb_item |
            | 1      | 1      | 75   | B9        |
            | 1      | 2      | 25   | B9R       |
        """,
        connections="""
            | job_no | kind          | count |
            | 1      | taped_socket  | 3     |
            | 1      | capped_socket | 5     |
        """,
    )
    # 8 of 100 sockets have no bulb: 75 - 8 x 75/100 = 69 and 25 - 8 x 25/100 = 23. Capped: one cap each.
    assert_table(
        season.measure("facts.job_items"),
        """
            | item_no | built |
            | LL12    | 100   |
            | B9      | 69    |
            | B9R     | 23    |
            | CP      | 5     |
        """,
    )


def test_connections_are_built_of_the_only_item_of_their_kind_two_plugs_to_a_plug() -> None:
    season = Season(
        jobs=JOBS,
        items=ITEMS,
        connections="""
            | job_no | kind       | count | item_no |
            | 1      | plug       | 3     |         |
            | 1      | timer      | 1     | TM      |
            | 1      | splice     | 4     |         |
            | 1      | cord_joint | 2     | ZC      |
        """,
    )
    # A plug is a male and a female: 3 x 2. A splice is made of nothing; zip cord is never built.
    assert_table(
        season.measure("facts.job_items"),
        """
            | item_no | built |
            | PL      | 6     |
            | TM      | 1     |
            | ZC      | 0     |
        """,
    )


def test_with_two_items_of_the_kind_and_none_named_what_was_built_is_unknown() -> None:
    season = Season(
        jobs=JOBS,
        items=ITEMS + "| PL2     | plug       | each | 10        | 9          |\n",
        connections="""
            | job_no | kind | count | item_no |
            | 1      | plug | 3     |         |
            | 2      | plug | 1     | PL2     |
        """,
        materials="""
            | job_no | item_no | moved  | quantity | unit |
            | 1      | PL      | issued | 6        | each |
            | 2      | PL2     | issued | 2        | each |
        """,
    )
    assert_table(
        season.measure("facts.job_items"),
        """
            | job_no | item_no | net | built |
            | 1      | PL      | 6   |       |
            | 2      | PL2     | 2   | 2     |
        """,
    )
    assert_table(
        season.measure("measures.item_use"),
        """
            | item_no | net_used | built | beyond_built | net_of_unknown |
            | PL      | 6        |       |              | 6              |
            | PL2     | 2        | 2     | 0            | 0              |
        """,
    )


def test_moved_goods_are_counted_in_the_units_of_the_item() -> None:
    season = Season(
        jobs=JOBS,
        items=ITEMS,
        runs=RUNS,
        connections=NO_CONNECTIONS,
        materials="""
            | job_no | item_no | moved    | quantity | unit  |
            | 1      | LL12    | issued   | 1        | spool |
            | 1      | LL12    | returned | 390      | ft    |
            | 1      | LL12    | scrapped | 4        | ft    |
            | 1      | B9      | issued   | 5        | case  |
            | 1      | B9      | returned | 2        | dozen |
            | 2      | B9      | issued   | 7        | each  |
        """,
    )
    # LL12: a spool is 500 ft; net 500 - 390 = 110. B9 on job 1: 5 x 25 = 125 less 2 x 12 = 24: net 101.
    assert_table(
        season.measure("facts.job_items").filter(kind="light_line", work="new"),
        """
            | issued | returned | scrapped | net | built |
            | 500    | 390      | 4        | 110 | 100.5 |
        """,
    )
    # Beyond built: LL12 (110 - 100.5) + (0 - 60) = -50.5; B9 (101 - 100) + (7 - 60) = -52.
    # A unit costs 150 / 500 = .30 and 20 / 25 = .80.
    assert_table(
        season.measure("measures.item_use"),
        """
            | item_no | issued | returned | net_used | built | beyond_built | net_new | built_new | net_repeat | built_repeat | unit_cost_usd |
            | LL12    | 500    | 390      | 110      | 160.5 | -50.5        | 110     | 100.5     | 0          | 60           | 0.30          |
            | B9      | 132    | 24       | 108      | 160   | -52          | 101     | 100       | 7          | 60           | 0.80          |
            | CL      | 0      | 0        | 0        | 90    | -90          | 0       | 90        |            |              | 0.12          |
        """,  # noqa: E501 - a table is read across
    )


def test_goods_that_went_to_no_job_stand_in_their_branch_or_under_all() -> None:
    season = Season(
        jobs=JOBS,
        items=ITEMS,
        materials="""
            | job_no | branch | item_no | moved    | quantity | unit |
            |        | main   | TAPE    | issued   | 6        | each |
            |        |        | TAPE    | issued   | 2        | each |
            |        |        | TAPE    | returned | 1        | each |
        """,
    )
    assert_table(
        season.measure("measures.item_use"),
        """
            | branch | item_no | issued | returned | net_used | net_without_job | built |
            | main   | TAPE    | 6      | 0        | 6        | 6               |       |
            | all    | TAPE    | 2      | 1        | 1        | 1               |       |
        """,
    )


def test_without_runs_what_was_built_is_unknown_and_zip_cord_is_never_built() -> None:
    season = Season(
        jobs=JOBS,
        items=ITEMS,
        materials="""
            | job_no | item_no | moved  | quantity | unit |
            | 1      | LL12    | issued | 110      | ft   |
            | 1      | PL      | issued | 2        | each |
            | 1      | ZC      | issued | 12       | ft   |
        """,
    )
    assert_table(
        season.measure("facts.job_items"),
        """
            | item_no | net | built |
            | LL12    | 110 |       |
            | PL      | 2   |       |
            | ZC      | 12  | 0     |
        """,
    )
