"""What changed since the season before, as the reports say it."""

from __future__ import annotations

from typing import Any

import polars as pl
from support.made_changes import change, change_tables
from support.made_results import made_results, made_tables

from pipeline.documents.compare import intake_changes, manager_changes
from pipeline.documents.compare_goods import buyer_changes
from pipeline.documents.model import Note, Section, Table

NIGHTS = "per 1,000 connection-nights"


def said(section: Section, kind: str = "text") -> list[str]:
    return [str(block.text) for block in section.blocks if isinstance(block, Note) and block.kind == kind]


def table(section: Section, name: str) -> Table:
    return next(block for block in section.blocks if isinstance(block, Table) and block.name == name)


def with_changes(*changes: dict[str, Any]) -> Any:
    rows = {(r["measure"], r["what"]): r for r in change_tables()["decisions.season_changes"]}
    rows |= {(r["measure"], r["what"]): r for r in changes}
    tables = made_tables() | {"decisions.season_changes": pl.DataFrame(list(rows.values()), infer_schema_length=None)}
    return made_results(tables=tables)


def plain(text: str) -> str:
    return text.replace("\N{NO-BREAK SPACE}", " ").replace("\N{MINUS SIGN}", "-")


def test_a_change_of_pace_is_claimed_where_it_is_more_than_chance() -> None:
    pace, faults, sure = (plain(text) for text in said(manager_changes(made_results())))
    assert pace == (
        "The crews took 3.70 h/100 ft, after 3.90 h/100 ft in 2024/25. On equal houses the same crews took 10 % fewer "
        "hours (5 % to 14 %), which is more than chance would make. What is left of the difference is other houses "
        "and other crews."
    )
    assert faults == (
        "0.80 points failed per 1,000 connection-nights, after 0.70. Whether a connection failed more or less often "
        "cannot be told: 14 % more (-10 % to 50 %). The season before's rates on this season's kinds of connection "
        "would have made it 0.71."
    )
    assert sure == "More than chance would make, of 5 changes: hours for 100 ft, equal houses."


def test_nothing_is_called_faster_where_chance_may_have_made_it() -> None:
    quiet = change("pace", "equal_houses", "h/100 ft", 3.9, 3.7, (0.9, 1.02, False))
    pace, _, sure = (plain(text) for text in said(manager_changes(with_changes(quiet))))
    assert (
        "Whether on equal houses the same crews took more or fewer hours cannot be told: 5 % fewer (-2 % to 10 %)."
        in pace
    )
    assert sure == "None of 5 changes is more than chance would make."


def test_a_season_after_one_without_a_failure_says_so() -> None:
    none = change("faults", "all", NIGHTS, 1, 0.4, (3.0, None, True)) | {"before": 0.0, "change": None}
    assert "in 2024/25 none did" in said(manager_changes(with_changes(none)))[1]


def test_shares_are_printed_as_points_and_hours_are_not_tested() -> None:
    rows = {row.key: row.cells for row in table(manager_changes(made_results()), "share_changes").rows}
    assert list(rows) == ["feeds.over_a_limit", "hours.drive", "hours.shop", "hours.training", "hours.overtime"]
    # 176 and 160 of 800 paid hours; nobody waited for weather in either season.
    assert [str(cell) for cell in rows["hours.drive"][2:5]] == ["0.2", "0.22", "0.02"]
    assert rows["hours.drive"][5] is None


def test_with_one_season_each_report_has_a_sentence_alone() -> None:
    lone = made_results(tables={})
    for section in (manager_changes(lone), buyer_changes(lone)):
        assert [type(block) for block in section.blocks] == [Note]
        assert said(section, "missing")[0].startswith("Only this season is in the store.")
    assert intake_changes(lone) == ()


def test_goods_say_what_moved_their_cost_and_add_up() -> None:
    section = buyer_changes(made_results())
    # 4,000 before; work 800, use -30, price 90: 4,860.
    assert said(section)[0] == (
        "Goods that left stock cost $4,860, $860 more than in 2024/25. More or less work moved it most: $800 more."
    )
    whole = table(section, "goods_changes").rows[-1].cells
    assert list(whole[4:]) == [4000, 800, -30, 90, 4860]


def test_goods_that_cost_the_same_say_so() -> None:
    tables = made_tables()
    same = {"work_usd": 10.0, "use_usd": -10.0, "price_usd": 0.0, "now_usd": pl.col("before_usd")}
    tables["measures.goods_changes"] = tables["measures.goods_changes"].with_columns(
        **{name: value if isinstance(value, pl.Expr) else pl.lit(value) for name, value in same.items()}
    )
    assert (
        said(buyer_changes(made_results(tables=tables)))[0]
        == "Goods that left stock cost $4,000, as much as in 2024/25."
    )


def test_the_order_stands_beside_the_one_of_a_season_ago_by_kind() -> None:
    rows = {
        row.key: [str(cell) for cell in row.cells[1:]]
        for row in table(buyer_changes(made_results()), "order_changes").rows
    }
    assert rows == {
        "bulb": ["0", "1416.00", "1416.00"], "light_line": ["1200.00", "1305.00", "105.00"],
        "plug": ["41.00", "0", "-41.00"], "all": ["1241.00", "2721.00", "1480.00"],
    }  # fmt: skip


def test_a_sheet_that_was_kept_before_and_is_not_now_is_named() -> None:
    (section,) = intake_changes(made_results())
    assert said(section, "missing") == ["Kept in 2024/25 and not this season: trips."]


def test_a_gap_between_the_seasons_is_said() -> None:
    tables = made_tables()
    every = tables["all:measures.season_cost"]
    tables["all:measures.season_cost"] = every.filter(pl.col("season") != 2024)
    assert said(buyer_changes(made_results(tables=tables)), "missing")[0] == (
        "The season before in the store is 2023/24; the ones between are not there."
    )
