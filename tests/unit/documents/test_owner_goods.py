"""The owner's section on goods."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal
from typing import Any

import polars as pl
from support.made_results import SEASON, made_results, usd

from pipeline.documents import owner_document
from pipeline.documents.listing import figures_of
from pipeline.documents.model import Note, Section, Table
from pipeline.documents.owner_goods import MOST_FINDINGS, goods_sections
from pipeline.documents.results import Results


def outside(branch: str, down: float, gone: int, shrinkage: float | None) -> dict[str, Any]:
    return {
        "season": SEASON, "branch": branch, "capitalised_usd": usd(900), "to_stock_usd": usd(40),
        "written_down_usd": usd(down), "kits_gone": gone,
        "shrinkage_usd": None if shrinkage is None else usd(shrinkage),
    }  # fmt: skip


def later(built: int | None, season: int, borne: float, left: float | None) -> dict[str, Any]:
    return {
        "season": SEASON, "branch": "north", "built_season": built, "later_season": season, "borne_usd": usd(borne),
        "carried_usd": None, "remaining_usd": None if left is None else usd(left),
    }  # fmt: skip


def finding(number: int) -> dict[str, Any]:
    return {
        "season": SEASON, "branch": "north", "job_no": str(number), "item_no": "LL12", "rule": "what_stands_was_issued",
        "quantity": Decimal(number), "usd": usd(number), "why": "more stands than was issued",
    }  # fmt: skip


def told(**tables: list[dict[str, Any]]) -> Results:
    """Results with these tables alone: `goods_outside_jobs`, `leased_schedule` and so on."""
    names = {"goods_findings": "audit.goods_findings"}
    frames = {
        names.get(name, f"measures.{name}"): pl.DataFrame(rows, infer_schema_length=None)
        for name, rows in tables.items()
    }
    made = made_results()
    return Results(SEASON, made.firm, 4, frames, made.settings)


def only(sections: tuple[Section, ...]) -> Section:
    assert len(sections) == 1
    return sections[0]


def notes(section: Section) -> list[str]:
    return [str(block.text) for block in section.blocks if isinstance(block, Note)]


def tables_of(section: Section) -> dict[str, Table]:
    return {block.name: block for block in section.blocks if isinstance(block, Table)}


def test_without_any_goods_there_is_no_such_section() -> None:
    assert goods_sections(told()) == ()
    assert "goods" not in [section.name for section in owner_document(made_results()).sections]


def test_what_is_written_down_and_missing_is_added_over_the_branches() -> None:
    section = only(goods_sections(told(goods_outside_jobs=[outside("north", 200, 3, None), outside("all", 11, 1, 70)])))
    said = notes(section)
    assert said[0].startswith("4 leased jobs of the season before did not return: $211 ")
    assert "$80 is usable in stock" in said[0]
    assert said[1] == "Stock that should be there and is not: $70."


def test_without_counts_at_both_ends_it_says_what_it_takes() -> None:
    section = only(goods_sections(told(goods_outside_jobs=[outside("north", 0, 0, None)])))
    assert [block.kind for block in section.blocks if isinstance(block, Note)] == ["missing"]
    assert "cannot be told" in notes(section)[0]


def test_the_schedule_adds_the_seasons_of_building_and_keeps_what_is_not_known_out() -> None:
    rows = [later(2024, 2026, 10, 5), later(2025, 2026, 30, 60), later(None, 2026, 7, None), later(2025, 2027, 30, 30)]
    schedule = tables_of(only(goods_sections(told(leased_schedule=rows))))["leased_schedule"]
    assert [row.cells for row in schedule.rows] == [("2026/27", usd(47), usd(65)), ("2027/28", usd(30), usd(30))]


def test_what_was_used_beyond_is_added_by_kind_and_columns_of_nothing_are_left_out() -> None:
    none = dict.fromkeys(("scrap_usd", "service_usd", "used_up_usd", "not_told_apart_usd", "without_job_usd"), usd(0))
    rows = [
        {"season": SEASON, "kind": kind, "offcut_usd": usd(offcut), "replacement_usd": usd(more), **none}
        for kind, offcut, more in (("light_line", 10, 0), ("light_line", 5, 3), ("bulb", -2, 0))
    ]
    beyond = tables_of(only(goods_sections(told(goods_beyond_built=rows))))["beyond_built"]
    assert [column.heading for column in beyond.columns] == ["Kind", "Offcut", "Replacement"]
    assert [row.cells for row in beyond.rows] == [("bulb", usd(-2), usd(0)), ("light line", usd(15), usd(3))]


def test_the_largest_findings_are_listed_and_all_are_counted() -> None:
    section = only(goods_sections(told(goods_findings=[finding(number) for number in range(1, MOST_FINDINGS + 4)])))
    assert notes(section)[0].startswith(f"{MOST_FINDINGS + 3} quantities of goods cannot be as written")
    listed = tables_of(section)["goods_findings"].rows
    assert len(listed) == MOST_FINDINGS
    assert listed[0].cells[0] == str(MOST_FINDINGS + 3)


def test_every_figure_of_the_section_has_a_name() -> None:
    made = told(
        goods_outside_jobs=[outside("north", 200, 3, 5)],
        leased_schedule=[later(2024, 2026, 10, 5)],
        goods_findings=[finding(1)],
    )
    names = figures_of(owner_document(replace(made_results(), tables=made_results().tables | made.tables)))
    for name in ("kits_gone", "shrinkage_usd", "leased_schedule.2026.borne_usd", "goods_findings"):
        assert f"owner.{name}" in names
