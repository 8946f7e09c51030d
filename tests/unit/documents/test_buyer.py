"""The buyer's report."""

from __future__ import annotations

from datetime import date
from decimal import Decimal

import polars as pl
from support.made_results import made_results, made_tables, usd
from support.season_frames import SEASON, closing_stock, item_use, job_items, property_seasons, settings
from support.season_frames import items as records_items
from support.season_frames import offers as records_offers

from pipeline.decisions.demand import Records, next_season
from pipeline.decisions.reorder import place_order
from pipeline.decisions.returning import settled
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


def test_offcut_is_said_beside_the_least_possible_and_what_the_difference_cost() -> None:
    """90 and 50 ft of 2,000 fastened are 7 %, 10 and 10 are 1 %; 24 + 12 = $36."""
    figures = figures_of(buyer_document(made_results()))
    assert figures["buyer.offcut_share"].value == Decimal("0.07")
    assert figures["buyer.possible_share"].value == Decimal("0.01")
    assert figures["buyer.offcut_saved_usd"].value == usd(36)
    assert figures["buyer.worst_offcut_share"].value == 0.09


def plan_said(**changes: object) -> str:
    tables = made_tables()
    tables["decisions.spool_plan"] = tables["decisions.spool_plan"].with_columns(
        pl.lit(value).cast(tables["decisions.spool_plan"].schema[name]).alias(name) for name, value in changes.items()
    )
    blocks = buyer_document(made_results(tables=tables)).blocks
    return next(str(b.text) for b in blocks if isinstance(b, Note) and "The order takes" in str(b.text))


def test_the_orders_spools_are_said_with_their_price_cover_and_bound() -> None:
    """8 at $130 and 3 at $265 are $1,835; both rows are of one line, which comes to 1,305 once and to no less than
    1,290."""
    assert plan_said() == (
        "The order takes 11 spools for $1,835. Stock, these spools and what is bought later can be cut into the runs "
        "of 94\N{NO-BREAK SPACE}% of the drawn seasons, or more of them. In the end light line comes to $1,305 on "
        "average; no order of it comes to less than $1,290."
    )
    assert plan_said(bound_usd=1305).endswith("comes to $1,305 on average; no order of it comes to less.")


def test_need_stands_by_item_with_what_is_bought_later_and_why_more_is_ordered_than_is_needed() -> None:
    tables = made_tables()
    tables["decisions.order_lines"] = tables["decisions.order_lines"].with_columns(
        top_up_p50=pl.lit(500.0),
        fewer_usd=pl.col("item_no").replace_strict({"LL12": 31.25, "FG1": 2.0}, default=None, return_dtype=pl.Float64),
    )
    blocks = list(buyer_document(made_results(tables=tables)).blocks)
    need = next(b for b in blocks if isinstance(b, Table) and b.name == "need_by_item")
    rows = {row.cells[0]: dict(zip([c.key for c in need.columns], row.cells, strict=True)) for row in need.rows}
    assert set(rows) == {"B9WW", "LL12", "FG1"}
    assert rows["LL12"]["top_up_p50"] == 500
    said = [str(b.text) for b in blocks if isinstance(b, Note)]
    assert (
        "Of LL12 and FG1 more than a pack beyond the high need is ordered, for the price of more packs or the cost of "
        "a shortage. Fewer would cost more in the end, with a year's holding of what is left over: $31.25 for LL12 and "
        "$2.00 for FG1."
    ) in said


def test_what_little_records_leave_open_stands_on_the_page() -> None:
    """A single season, no quotes, no stock count and no offers: each has a sentence of its own."""
    jobs = job_items([{"net": Decimal(100), "built": Decimal(80), "property_no": f"P{n}"} for n in range(4)])
    bought = records_items([{}])
    empty = records_offers([{}]).clear()
    made = Records(jobs, property_seasons([{"property_no": f"P{n}"} for n in range(4)]), item_use([{}]).clear(), bought)
    ahead = settled(pl.DataFrame(), [date(SEASON, 12, 1)])
    need = next_season(made, settings(), season=SEASON, seed=1, ahead=ahead)
    order = place_order(need, made, empty, closing_stock([{}]).clear(), settings(), contribution_usd_per_ft=0.0,
                        season=SEASON)  # fmt: skip
    said = " ".join(str(b.text) for b in buyer_document(made_results(notes={"reorder": order.notes})).blocks
                    if isinstance(b, Note))  # fmt: skip
    for sentence in (
        "One season does not show who returns, and return_rate is not given",
        "No quotes are on record",
        "No stock was counted at the end of the season",
        "No offers are on record",
    ):
        assert sentence in said


def test_lines_without_movements_are_listed_without_a_sentence_on_offcut() -> None:
    tables = made_tables()
    unknown = [pl.lit(None).cast(tables["decisions.offcut"].schema[n]).alias(n) for n in ("offcut_ft", "offcut_share")]
    tables["decisions.offcut"] = tables["decisions.offcut"].with_columns(unknown)
    document = buyer_document(made_results(tables=tables))
    assert "buyer.offcut_share" not in figures_of(document)
    assert any(isinstance(b, Table) and b.name == "offcut" for b in document.blocks)


def with_offers() -> dict[str, pl.DataFrame]:
    """LL12 is ordered early in 9 packs of 500 at $145; later 500 cost $160, and 5,000 at $1,000 are too many."""
    tables = made_tables()
    tables["decisions.order_lines"] = tables["decisions.order_lines"].with_columns(
        order_by=pl.when(pl.col("item_no") == "LL12").then(pl.lit(date(2026, 4, 30)))
    )
    tables["records.offers"] = pl.DataFrame(
        {
            "item_no": ["LL12", "LL12", "LL12"], "pack_size": [500, 5000, 500], "pack_price": [160, 1000, 145],
            "min_packs": [1, 1, 1], "order_by": [None, None, date(2026, 4, 30)],
        }
    )  # fmt: skip
    tables["decisions.order_drivers"] = pl.DataFrame(
        {
            "item_no": ["LL12", "LL12", "B9WW"], "driver": ["new_number", "returning", "new_number"],
            "what": ["how many new jobs there are", "which properties return", "how many new jobs there are"],
            "mean_need": [1000.0, 0.0, 500.0], "low": [500.0, -100.0, 500.0], "high": [2000.0, 100.0, 500.0],
        }
    )  # fmt: skip
    return tables


def test_waiting_costs_what_the_same_units_cost_without_a_last_day() -> None:
    """4,500 ft at 32 c for 29 c are $135 more; the pack of 5,000 ft is more than is ordered."""
    figures = figures_of(buyer_document(made_results(tables=with_offers())))
    assert figures["buyer.waiting_usd"].value == usd(135)


def test_what_moves_the_need_is_drawn_in_money_the_widest_first() -> None:
    """500 ft less to 1,000 ft more at 29 c: $145 less, $290 more, $435 in all; returning moves 200 ft, $58."""
    document = buyer_document(made_results(tables=with_offers()))
    chart = next(b for b in document.blocks if isinstance(b, Chart) and b.name == "what_moves_the_need")
    assert [(p.key, float(p.value)) for p in chart.series[0].points] == [("new_number", -145), ("returning", -29)]
    assert [(p.key, float(p.value)) for p in chart.series[1].points] == [("new_number", 290), ("returning", 29)]
    assert str(chart.title) == "Most depends on how many new jobs there are: $435 from low to high"


def test_doubtful_goods_are_named_to_be_looked_through() -> None:
    """100 ft of line at 29 c are $29; ten bulbs at $118 for 250 are $4.72."""
    tables = made_tables()
    tables["facts.closing_stock"] = pl.DataFrame({"season": 2025, "item_no": ["LL12", "B9WW"], "usable": [100, 0],
                                                  "doubtful": [0, 10]})  # fmt: skip
    document = buyer_document(made_results(tables=tables))
    assert any("before the order goes out: B9WW." in str(b.text) for b in document.blocks if isinstance(b, Note))
    left = next(b for b in document.blocks if isinstance(b, Table) and b.name == "left_over")
    assert [(row.cells[0], float(row.cells[-1])) for row in left.rows] == [("LL12", 29), ("B9WW", 4.72)]  # type: ignore[arg-type]
