"""The buyer's report."""

from __future__ import annotations

from datetime import date

from support.made_results import made_results, made_tables, usd

from pipeline.documents import buyer_document
from pipeline.documents.listing import figures_of
from pipeline.documents.model import Chart, Note, Table


def test_the_order_is_summed_over_lines_and_suppliers() -> None:
    figures = figures_of(buyer_document(made_results()))
    # 9 x 145 + 12 x 118 + 5 x 62 = 1,305 + 1,416 + 310.
    assert figures["buyer.order_total_usd"].value == usd(3031)
    assert figures["buyer.order.northfork_supply.all.amount_usd"].value == usd(2721)
    assert figures["buyer.first_order_by"].value == date(2026, 5, 31)


def test_each_supplier_has_a_table_and_the_dearest_comes_first() -> None:
    orders = [b for b in buyer_document(made_results()).blocks if isinstance(b, Table) and b.name.startswith("order.")]
    assert [table.title for table in orders] == ["Northfork Supply", "Halden Hardware"]
    assert [row.cells[0] for row in orders[0].rows] == ["B9WW", "LL12", "All"]


def test_need_is_drawn_against_what_there_will_be() -> None:
    chart = next(block for block in buyer_document(made_results()).blocks if isinstance(block, Chart))
    there = {point.label: float(point.value) for point in chart.series[1].points}
    # LL12: (860 + 9 x 500) / 4,600.
    assert round(there["LL12"], 4) == 1.1652


def test_an_item_of_which_enough_is_on_hand_is_not_an_order() -> None:
    enough = next(b for b in buyer_document(made_results()).blocks if isinstance(b, Table) and b.name == "enough")
    assert [row.cells[0] for row in enough.rows] == ["PLM"]


def test_without_an_order_the_report_says_why() -> None:
    tables = made_tables()
    del tables["decisions.order_lines"], tables["decisions.spool_plan"]
    document = buyer_document(made_results(tables=tables, notes={"reorder": ["No goods were issued."]}))
    assert str(document.lead) == "No goods were issued."
    assert document.figures == ()
    assert any(isinstance(b, Note) and "needs the runs of each job" in str(b.text) for b in document.blocks)
