"""Whatever is missing, four reports come out: they say so in words and hold no zero and no empty chart."""

from __future__ import annotations

import polars as pl
import pytest
from support.made_results import made_results, made_tables

from pipeline.documents import build_documents
from pipeline.documents.listing import figures_of


@pytest.mark.parametrize("missing", sorted(made_tables()))
def test_a_table_may_be_missing(missing: str) -> None:
    tables = made_tables()
    del tables[missing]
    for document in build_documents(made_results(tables=tables)):
        assert str(document.lead)
        figures_of(document)


@pytest.mark.parametrize("emptied", sorted(made_tables()))
def test_a_table_may_be_empty(emptied: str) -> None:
    tables = made_tables()
    tables[emptied] = tables[emptied].clear()
    for document in build_documents(made_results(tables=tables)):
        figures_of(document)


@pytest.mark.parametrize("level", [0, 1, 2, 3, 4])
def test_nothing_at_all_gives_four_reports_without_a_figure_of_the_season(level: int) -> None:
    for document in build_documents(made_results(level=level, tables={}, notes={})):
        assert document.figures == ()
        assert {f.source.table for f in figures_of(document).values()} <= {"reference.settings"}


def test_a_part_of_cost_that_is_not_known_is_left_out_of_the_picture() -> None:
    tables = made_tables()
    nothing = pl.lit(None, dtype=pl.Decimal(18, 2))
    tables["measures.season_cost"] = tables["measures.season_cost"].with_columns(travel_usd=nothing)
    owner = build_documents(made_results(tables=tables))[0]
    figures = figures_of(owner)
    assert "owner.made_of.parts.travel" not in figures
    assert "owner.season_cost.travel.amount_usd" not in figures


def test_a_season_whose_price_is_not_known_still_has_a_cost() -> None:
    tables = made_tables()
    names = ("invoiced_usd", "margin_usd", "margin_share", "charged_usd_per_ft")
    for table in ("measures.season_cost", "all:measures.season_cost", "measures.segment_cost"):
        tables[table] = tables[table].with_columns(
            *(pl.lit(None, dtype=tables[table].schema[name]).alias(name) for name in names)
        )
    owner = build_documents(made_results(tables=tables))[0]
    assert "A foot cost $" in str(owner.lead)
