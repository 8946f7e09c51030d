"""The owner's sections on what a foot is made of, what changed, kinds of work, and going there at all."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

import polars as pl
from support.made_results import SEASON, made_results, made_tables, usd

from pipeline.documents.model import Block, Chart, Note, Table
from pipeline.documents.owner_build_up import build_up_blocks, pieces
from pipeline.documents.owner_cost_function import cost_function_blocks
from pipeline.documents.owner_segments import over_seasons_table, segment_records
from pipeline.documents.owner_variances import variance_blocks
from pipeline.documents.results import Results

SEASON_ROW = {
    "season": SEASON, "branch": "all", "feet": Decimal(100), "total_usd": usd(500), "invoiced_usd": usd(650),
    "margin_usd": usd(150), "cost_usd_per_ft": 5.0, "charged_usd_per_ft": 6.5,
}  # fmt: skip


def results_of(**tables: list[dict[str, Any]]) -> Results:
    frames = {name.replace("__", "."): pl.DataFrame(rows, infer_schema_length=None) for name, rows in tables.items()}
    return made_results(tables=frames, notes={})


def words_of(blocks: tuple[Block, ...]) -> str:
    return " ".join(str(block.text) for block in blocks if isinstance(block, Note))


def named(blocks: tuple[Block, ...], name: str) -> Any:
    return next(block for block in blocks if isinstance(block, Table | Chart) and block.name == name)


def standard(part: str, line: str, amount: float) -> dict[str, Any]:
    return {"season": SEASON, "part": part, "line": line, "amount_usd": Decimal(str(amount))}


LINES = [
    standard("overhead", "fixed", 120), standard("labor", "install", 200), standard("labor", "prep", 30),
    standard("materials", "LL12", 50), standard("materials", "B9", 40), standard("materials", "PLUG", 10),
    standard("materials", "TAP", 5), standard("travel", "miles", 45), standard("labor", "storage", 0),
]  # fmt: skip
ITEMS = [
    {"item_no": "LL12", "kind": "light_line"}, {"item_no": "B9", "kind": "bulb"}, {"item_no": "PLUG", "kind": "plug"},
    {"item_no": "TAP", "kind": "inline_tap"},
]  # fmt: skip


def test_the_pieces_stand_in_the_order_of_the_work_and_add_up_to_the_cost() -> None:
    found = pieces(results_of(measures__standard_cost=LINES, records__items=ITEMS))
    # Plugs and taps, 10 + 5, stand together; nothing was stored, which is no piece.
    assert [(piece.name, piece.amount) for piece in found] == [
        ("Preparing lines", 30), ("Installing", 200), ("Light line", 50), ("Bulbs", 40), ("Other goods", 15),
        ("Miles", 45), ("Overhead that is fixed", 120),
    ]  # fmt: skip
    assert sum(piece.amount for piece in found) == SEASON_ROW["total_usd"]


def test_the_waterfall_leads_from_the_pieces_to_the_cost_and_on_to_the_price() -> None:
    blocks = build_up_blocks(results_of(measures__standard_cost=LINES, records__items=ITEMS), SEASON_ROW)
    chart = named(blocks, "build_up")
    assert str(chart.title) == "Installing is the largest single piece of a foot: $2.00 of $5.00"
    points = {point.key: point for point in chart.series[0].points}
    parts = sum(point.value for point in points.values() if point.role == "part")
    assert float(parts) == points["cost"].value == 5.0
    assert float(parts + points["margin"].value) == points["charged"].value == 6.5
    loss = SEASON_ROW | {"margin_usd": usd(-50), "invoiced_usd": usd(450), "charged_usd_per_ft": 4.5}
    chart = named(build_up_blocks(results_of(measures__standard_cost=LINES), loss), "build_up")
    assert [(p.label, p.role) for p in chart.series[0].points if p.key == "margin"] == [("Lost", "bad")]


def variance(part: str, line: str, kind: str, amount: float, **more: Any) -> dict[str, Any]:
    blank = {"unit": None, "quantity": None, "standard_quantity": None, "usd_per_unit": None,
             "standard_usd_per_unit": None}  # fmt: skip
    return {"season": SEASON, "base_season": SEASON - 1, "part": part, "line": line, "kind": kind,
            "variance_usd": usd(amount), **blank, **more}  # fmt: skip


CHANGES = [
    variance("labor", "all", "volume", 80), variance("labor", "install", "rate", 20),
    variance("labor", "install", "efficiency", -50), variance("overhead", "all", "volume", 40),
    variance("overhead", "fixed", "fixed_volume", -25), variance("overhead", "fixed", "spending", 5),
]  # fmt: skip


def test_what_changed_is_said_by_the_foot_and_adds_up_both_ways() -> None:
    blocks = variance_blocks(results_of(measures__variances=CHANGES), SEASON_ROW)
    # 20 - 50 - 25 + 5 = -50 over 100 ft; hours are the largest, -50 over 100 ft.
    assert words_of(blocks).startswith(
        "A foot cost $5.00, which is $0.50 less than in 2024/25. Quantities used moved it most: $0.50 down."
    )
    chart = named(blocks, "variances")
    values = [point.value for point in chart.series[0].points]
    assert sum(values[:-1]) == values[-1] == Decimal("-0.5")
    assert "dearer than in 2024/25: prices and rates and other amounts; cheaper: quantities used" in str(chart.title)
    matrix = named(blocks, "variance_matrix")
    rows = {row.key: row.cells[1:] for row in matrix.rows}
    # Labor: 80 volume, 20 price, -50 quantity, 50 in all; overhead: 40, -25 and 5, 20 in all.
    assert rows["labor"] == (80, 20, -50, 0, 0, 50)
    assert rows["overhead"] == (40, 0, 0, -25, 5, 20)
    assert rows["all"] == tuple(a + b for a, b in zip(rows["labor"], rows["overhead"], strict=True))
    largest = named(blocks, "largest_variances")
    assert [row.cells[0] for row in largest.rows][:2] == ["Labor: install", "Overhead: fixed"]


def test_a_single_season_says_what_an_earlier_one_would_tell() -> None:
    blocks = variance_blocks(results_of(), SEASON_ROW)
    assert "Only this season is in the store. Close an earlier one" in words_of(blocks)
    assert not [block for block in blocks if isinstance(block, Table | Chart)]


def test_a_gap_between_seasons_and_a_sheet_of_one_season_are_said() -> None:
    rows = [row | {"base_season": SEASON - 2} for row in CHANGES] + [
        variance("travel", "miles", "records", 30) | {"base_season": SEASON - 2}
    ]
    said = words_of(variance_blocks(results_of(measures__variances=rows), SEASON_ROW))
    assert "The season before in the store is 2023/24" in said
    assert "Only one of the two seasons has a sheet for travel" in said


def test_an_unchanged_cost_is_said_to_be_so() -> None:
    rows = [variance("labor", "install", "rate", 20), variance("labor", "install", "efficiency", -20)]
    said = words_of(variance_blocks(results_of(measures__variances=rows), SEASON_ROW))
    assert said.startswith("A foot cost $5.00, as much as in 2024/25.")


def limit(what: str, unit: str, value: float | None, low: float | None, high: float | None) -> dict[str, Any]:
    return {"season": SEASON, "what": what, "unit": unit, "value": value, "low": low, "high": high}


FUNCTION = [
    {"season": SEASON, "line": number, "term": term, "what": what, "jobs": 40, "feet": 6000.0, "direct_usd": direct,
     "low": direct - 1, "high": direct + 1, "variable_usd": 10.0, "fixed_usd": 20.0, "full_usd": full,
     "full_low": full - 1, "full_high": full + 1}
    for number, term, what, direct, full in ((1, "start", "Going there at all", 150.0, 180.0),
                                             (2, "foot", "any surface, any height", 2.5, 3.0))
]  # fmt: skip
LIMITS = [
    limit("going_there", "usd", 200.0, 190.0, 210.0), limit("mean_foot", "usd/ft", 3.0, 2.8, 3.2),
    limit("minimum_charge", "usd", 300.0, 280.0, 320.0), limit("break_even_size", "ft", 70.0, 60.0, 80.0),
    limit("target_size", "ft", 160.0, 140.0, None),
]  # fmt: skip
SIZES = [
    {"season": SEASON, "feet": feet, "cost_usd": feet * cost, "cost_usd_per_ft": cost, "low": cost - 0.2,
     "high": cost + 0.2, "charged_usd_per_ft": 6.5}
    for feet, cost in ((50.0, 7.0), (200.0, 4.0))
]  # fmt: skip


def of_function(**changes: Any) -> tuple[Block, ...]:
    tables = {"decisions__cost_function": FUNCTION, "decisions__cost_limits": LIMITS, "decisions__cost_by_size": SIZES}
    return cost_function_blocks(results_of(**(tables | changes)), SEASON_ROW)


def test_the_smallest_job_worth_going_to_is_said_with_its_limits() -> None:
    blocks = of_function()
    assert words_of(blocks).startswith(
        "A job costs $180 ($179 to $181) before its first foot and $3.00 ($2.80 to $3.20) for each foot after that. To "
        "keep 35\N{NO-BREAK SPACE}%, no visit is worth less than $300 ($280 to $320). At the season's mean price of "
        "$6.50 a foot a job under 70\N{NO-BREAK SPACE}ft (60 to 80) loses money and one under 160\N{NO-BREAK SPACE}ft "
        "(140 or more) leaves less than 35\N{NO-BREAK SPACE}%."
    )
    chart = named(blocks, "cost_by_size")
    assert [point.role for point in chart.series[0].points] == ["bad", "plain"]
    # 180 / (1 - share) = 200: overhead by revenue takes a tenth of any price.
    note = named(blocks, "cost_function").note
    assert str(note) == "Overhead by revenue is not in these lines: it takes 10.0\N{NO-BREAK SPACE}% of any price."


def test_a_price_that_pays_for_no_foot_says_that_no_size_is_large_enough() -> None:
    without = [
        *LIMITS[:3],
        limit("break_even_size", "ft", None, 900.0, None),
        limit("target_size", "ft", None, None, None),
    ]
    assert "no size of job pays for itself" in words_of(of_function(decisions__cost_limits=without))
    only_target = [*LIMITS[:4], limit("target_size", "ft", None, None, None)]
    assert "loses money and none reaches 35" in words_of(of_function(decisions__cost_limits=only_target))


def test_without_a_cost_function_its_reason_stands_there() -> None:
    results = made_results(tables={}, notes={"cost_function": ["It needs 30 jobs; this season has 4."]})
    assert words_of(cost_function_blocks(results, SEASON_ROW)) == "It needs 30 jobs; this season has 4."
    assert "is not known" in words_of(cost_function_blocks(made_results(tables={}, notes={}), SEASON_ROW))


def segment(season: int, view: str, name: str, cost: float) -> dict[str, Any]:
    return made_tables()["measures.segment_cost"].to_dicts()[0] | {
        "season": season, "view": view, "segment": name, "cost_usd_per_ft": cost, "margin_share": 0.25,
    }  # fmt: skip


def test_kinds_of_work_stand_beside_those_of_earlier_seasons_weeks_by_their_number() -> None:
    """3 November 2025 and 4 November 2024 are Mondays of week 45; no job of 2024 had three stories."""
    now = [segment(SEASON, "week", "2025-11-03", 5.0), segment(SEASON, "week", "2025-11-10", 5.5),
           segment(SEASON, "stories", "1 story", 4.0), segment(SEASON, "stories", "3 stories", 6.0)]  # fmt: skip
    before = [segment(SEASON - 1, "week", "2024-11-04", 4.5), segment(SEASON - 1, "stories", "1 story", 3.5)]
    tables = {"measures.segment_cost": pl.DataFrame(now), "all:measures.segment_cost": pl.DataFrame(now + before)}
    results = made_results(tables=tables)
    table = over_seasons_table(results, segment_records(results))
    assert table is not None
    assert [row.cells[:4] for row in table.rows] == [
        ("stories", "1 story", 3.5, 4.0), ("stories", "3 stories", None, 6.0), ("week", "from 3 Nov", 4.5, 5.0),
        ("week", "from 10 Nov", None, 5.5),
    ]  # fmt: skip
    alone = made_results(
        tables={"measures.segment_cost": pl.DataFrame(now), "all:measures.segment_cost": pl.DataFrame(now)}
    )
    assert over_seasons_table(alone, segment_records(alone)) is None
