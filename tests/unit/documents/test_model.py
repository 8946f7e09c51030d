"""Documents as values: what they refuse, and how sentences carry figures."""

from __future__ import annotations

from decimal import Decimal

import pytest

from pipeline.documents.listing import figures_of
from pipeline.documents.model import Axis, Chart, Column, Document, Figure, Row, Series, Source, Table, Text, say

SOURCE = Source("measures.season_cost", "season=2025, branch=all")
COST = Figure("cost", "a foot cost", Decimal("4.77"), "usd_per_ft", "usd/ft", "cost / feet", SOURCE)


def document(*figures: Figure, lead: Text | None = None) -> Document:
    return Document("owner", "Cost", 2025, None, lead or Text(("Nothing.",)), figures)


def test_a_sentence_prints_its_figures_with_their_unit() -> None:
    assert str(say("A foot cost {}.", COST)) == "A foot cost $4.77/ft."


def test_braces_in_a_name_are_only_text() -> None:
    assert str(say("Crew {} costs {}.", "{0} {}", COST)) == "Crew {0} {} costs $4.77/ft."


def test_a_sentence_needs_a_value_for_each_place() -> None:
    with pytest.raises(ValueError, match="1 values for 2 places"):
        say("{} and {}", COST)


def test_a_first_screen_holds_four_figures_at_most() -> None:
    document(COST, COST, COST, COST)
    with pytest.raises(ValueError, match="5 figures"):
        document(COST, COST, COST, COST, COST)


def test_a_table_without_rows_is_refused() -> None:
    with pytest.raises(ValueError, match="no rows"):
        Table("t", "T", (Column("a", "A", "", "text", ""),), ())


def test_a_row_has_a_cell_for_each_column() -> None:
    with pytest.raises(ValueError, match="2 cells"):
        Table("t", "T", (Column("a", "A", "", "text", ""),), (Row("r", ("x", "y"), SOURCE),))


def test_an_empty_chart_is_refused() -> None:
    with pytest.raises(ValueError, match="no points"):
        Chart("c", "bars", Text(("T",)), Axis("a", "", "count"), "b", (Series("s", "S", ()),), "", SOURCE)


def test_a_figure_said_twice_is_listed_once() -> None:
    listed = figures_of(document(COST, lead=say("{} and {}", COST, COST)))
    assert list(listed) == ["owner.cost"]


def test_one_name_with_two_values_is_refused() -> None:
    other = Figure("cost", "a foot cost", Decimal("4.78"), "usd_per_ft", "usd/ft", "cost / feet", SOURCE)
    with pytest.raises(ValueError, match=r"owner\.cost is printed with two values"):
        figures_of(document(COST, other))
