"""order.xlsx: the amounts that its formulas come to, its named assumptions, and text that stays text."""

from __future__ import annotations

import re
from decimal import Decimal
from pathlib import Path
from typing import Any

import openpyxl
import polars as pl
from support.made_results import made_results, made_tables, usd

from pipeline.documents.buyer_order import OrderBook, order_book
from pipeline.render.order_workbook import write_order


def book(tables: dict[str, pl.DataFrame] | None = None) -> OrderBook:
    made = order_book(made_results() if tables is None else made_results(tables=tables))
    assert made is not None
    return made


def opened(folder: Path, order: OrderBook, *, values: bool = False) -> Any:
    path = folder / "order.xlsx"
    write_order(order, path)
    return openpyxl.load_workbook(path, data_only=values)


def amount(sheet: Any, cell: str) -> Decimal:
    """What a cell of the order comes to, worked out from the numbers alone: products, sums down, sums of sums."""
    value = sheet[cell].value
    if not isinstance(value, str):
        return Decimal(str(value))
    if found := re.fullmatch(r"=ROUND\((\w+)\*(\w+),2\)", value):
        return round(amount(sheet, found[1]) * amount(sheet, found[2]), 2)
    if found := re.fullmatch(r"=SUM\(([A-Z]+)(\d+):\1(\d+)\)", value):
        return sum((amount(sheet, f"{found[1]}{row}") for row in range(int(found[2]), int(found[3]) + 1)), Decimal(0))
    return sum((amount(sheet, name) for name in value.removeprefix("=").split("+")), Decimal(0))


def test_amounts_are_formulas_that_come_to_the_order_to_the_cent(tmp_path: Path) -> None:
    """9 x 145 + 12 x 118 + 5 x 62 = 1,305 + 1,416 + 310 = $3,031; Northfork's are the first two."""
    sheet = opened(tmp_path, book())["Order"]
    sums = {sheet[f"A{row}"].value: f"G{row}" for row in range(1, sheet.max_row + 1)}
    assert amount(sheet, sums["All from Northfork Supply"]) == usd(2721)
    assert amount(sheet, sums["The whole order"]) == usd(3031)
    assert sheet[sums["The whole order"]].value.startswith("=")


def test_each_formula_keeps_the_value_that_it_comes_to(tmp_path: Path) -> None:
    formulas, values = opened(tmp_path, book()), opened(tmp_path, book(), values=True)
    seen = 0
    for row in formulas["Order"].iter_rows():
        for cell in row:
            if cell.data_type == "f":
                seen += 1
                assert amount(formulas["Order"], cell.coordinate) == Decimal(
                    str(values["Order"][cell.coordinate].value)
                )
    assert seen == 3 + 2 + 1


def test_every_assumption_is_a_cell_by_its_name_and_costs_are_worked_out_from_them(tmp_path: Path) -> None:
    """holding_rate .2 and obsolete_share .05 of $145 / 500 ft are 7.25 c; rush_premium .25 of it too."""
    order = book()
    made = opened(tmp_path, order)
    for one in order.assumptions:
        sheet, cell = made.defined_names[one.name].attr_text.split("!")
        assert made[sheet][cell.replace("$", "")].value == (None if one.value is None else float(one.value))
    assert made.defined_names["order_total"].attr_text.startswith("Order!$G$")
    need, values = made["Need"], opened(tmp_path, order, values=True)["Need"]
    at = next(row for row in range(2, need.max_row + 1) if need[f"A{row}"].value == "LL12")
    assert need[f"K{at}"].value == "=(holding_rate+obsolete_share)*145/500"
    assert need[f"L{at}"].value == "=(rush_premium)*145/500"
    assert values[f"K{at}"].value == values[f"L{at}"].value == 0.0725


def test_text_is_never_a_formula(tmp_path: Path) -> None:
    tables = made_tables()
    hostile = pl.lit('=HYPERLINK("http://x")').alias("supplier")
    tables["decisions.order_lines"] = tables["decisions.order_lines"].with_columns(hostile)
    made = opened(tmp_path, book(tables))
    formulas = {cell.value for sheet in made for row in sheet.iter_rows() for cell in row if cell.data_type == "f"}
    assert not any("HYPERLINK" in formula for formula in formulas)
    assert made["Order"]["A3"].value == '=HYPERLINK("http://x")'
    assert made["Order"]["A3"].data_type == "s" or made["Order"]["A3"].quotePrefix


def test_an_item_in_two_packs_has_two_lines_and_one_need(tmp_path: Path) -> None:
    tables = made_tables()
    lines = tables["decisions.order_lines"]
    second = lines.filter(pl.col("item_no") == "LL12").with_columns(offer=pl.lit("another"))
    tables["decisions.order_lines"] = pl.concat([lines, second])
    made = opened(tmp_path, book(tables))
    assert [cell.value for cell in made["Need"]["A"]].count("LL12") == 1
    assert [cell.value for cell in made["Order"]["A"]].count("LL12") == 2


def test_the_same_order_gives_the_same_bytes(tmp_path: Path) -> None:
    write_order(book(), tmp_path / "one.xlsx")
    write_order(book(), tmp_path / "two.xlsx")
    assert (tmp_path / "one.xlsx").read_bytes() == (tmp_path / "two.xlsx").read_bytes()


def test_where_nothing_is_ordered_there_is_no_workbook() -> None:
    tables = made_tables()
    tables["decisions.order_lines"] = tables["decisions.order_lines"].with_columns(packs=pl.lit(0))
    assert order_book(made_results(tables=tables)) is None
