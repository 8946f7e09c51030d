"""The manager's report."""

from __future__ import annotations

import polars as pl
from support.made_results import made_results, made_tables

from pipeline.documents import manager_document
from pipeline.documents.listing import figures_of
from pipeline.documents.model import Note, Table


def words(document: object) -> str:
    return " ".join(str(block.text) for block in document.blocks if isinstance(block, Note))  # type: ignore[attr-defined]


def test_the_slowest_crew_that_can_be_told_apart_leads() -> None:
    lead = str(manager_document(made_results()).lead)
    assert lead.startswith("Drift #2 (south) took 19\N{NO-BREAK SPACE}% more hours than the average crew")


def test_crews_that_cannot_be_told_apart_are_said_to_be_so() -> None:
    tables = made_tables()
    tables["decisions.crew_comparison"] = tables["decisions.crew_comparison"].with_columns(told_apart=pl.lit(False))
    document = manager_document(made_results(tables=tables))
    assert "These crews cannot be told apart" in str(document.lead)
    assert "These crews cannot be told apart" in words(document)
    assert figures_of(document)["manager.crews_told_apart"].value == 0


def test_without_a_comparison_crews_are_shown_raw_and_unranked() -> None:
    tables = made_tables()
    del tables["decisions.crew_comparison"]
    document = manager_document(made_results(tables=tables, notes={"crews": ["Fewer than 8 jobs a crew."]}))
    assert str(document.lead).startswith("Fewer than 8 jobs a crew.")
    assert "not ranked" in words(document)
    crews = next(b for b in document.blocks if isinstance(b, Table) and b.name == "crews")
    assert "ratio" not in {column.key for column in crews.columns}


def test_the_cautions_are_printed() -> None:
    said = words(manager_document(made_results()))
    for caution in ("not a target for a person on a ladder", "1926.1053(b)(1)", "1926.1053(b)(5)(i)",
                    "1926.501(b)(1)", "Rates are associations", "void its listing", "label come first"):  # fmt: skip
        assert caution in said
