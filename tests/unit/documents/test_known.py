"""A part of cost that nothing was handed in about is not known; an empty sheet means none."""

from __future__ import annotations

from typing import Any

import polars as pl
from support.made_results import SEASON, made_results, made_tables

from pipeline.documents import intake_document, owner_document
from pipeline.documents.listing import figures_of
from pipeline.documents.model import Note

NOTHING = pl.lit("0.00").cast(pl.Decimal(18, 2))


def tables_without_equipment(has_equipment: bool) -> dict[str, pl.DataFrame]:
    tables = made_tables()
    tables["measures.season_cost"] = tables["measures.season_cost"].with_columns(equipment_usd=NOTHING)
    handed = ("hours", "materials", "trips", "service_calls", "overheads", "jobs")
    level: dict[str, Any] = {"season": SEASON, "level": 4, "missing_next": None, "has_equipment": has_equipment}
    tables["measures.season_level"] = pl.DataFrame([level | {f"has_{sheet}": True for sheet in handed}])
    return tables


def test_a_part_without_its_sheet_is_not_known() -> None:
    document = owner_document(made_results(tables=tables_without_equipment(False)))
    assert "owner.season_cost.equipment.amount_usd" not in figures_of(document)
    notes = [str(block.text) for block in document.blocks if isinstance(block, Note)]
    assert "No sheet tells of equipment: the cost of a foot is without it." in notes


def test_an_empty_sheet_means_none() -> None:
    document = owner_document(made_results(tables=tables_without_equipment(True)))
    assert figures_of(document)["owner.season_cost.equipment.amount_usd"].value == 0


def test_what_was_read_for_no_one_branch_is_in_the_sum() -> None:
    tables = made_tables()
    rows = tables["audit.control"].to_dicts()
    tables["audit.control"] = pl.DataFrame([*rows, rows[0] | {"branch": "all"}])
    figures = figures_of(intake_document(made_results(tables=tables)))
    # Twelve rows of two branches and one of no one branch, each 1,000.00.
    assert figures["intake.control.sum.read_usd"].value == 13_000
