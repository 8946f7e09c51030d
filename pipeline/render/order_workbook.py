"""order.xlsx: the order by supplier with live amounts, each item's need, the spools, the cut list, the assumptions."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date, datetime
from decimal import Decimal
from pathlib import Path
from typing import Any

import xlsxwriter
from xlsxwriter.utility import xl_rowcol_to_cell as place

from pipeline.documents.buyer_order import OrderBook, Record

MADE_ON = datetime(2000, 1, 1)
"""A fixed day, so that the same order gives the same bytes."""
ORDER = (
    ("item_no", "Item", 12, "text"), ("what", "What it is", 30, "text"), ("offer", "Offer", 32, "text"),
    ("packs", "Packs", 8, "count"), ("pack_size", "Pack", 9, "units"), ("pack_price", "Price of a pack", 15, "money"),
    ("amount_usd", "Amount", 13, "money"), ("order_by", "Order by", 13, "day"),
)  # fmt: skip
PACKS, PRICE, AMOUNT, SIZE = 3, 5, 6, 4
"""Columns of the order that formulas speak of."""
NEED = (
    ("item_no", "Item", 12, "text"), ("what", "What it is", 30, "text"), ("need_p10", "Low need (P10)", 14, "units"),
    ("need_p50", "Middle need (P50)", 16, "units"), ("need_p90", "High need (P90)", 15, "units"),
    ("on_hand", "On hand", 10, "units"), ("ordered", "Ordered", 10, "units"),
    ("top_up_p50", "Top-up, middle", 14, "units"), ("top_up_p90", "Top-up, high", 13, "units"),
    ("chance_short", "Chance of running out", 20, "share"), ("left_usd", "One left over costs", 18, "money4"),
    ("rush_usd", "One in a hurry costs more", 23, "money4"), ("why", "Why", 90, "text"),
)  # fmt: skip
SPOOLS = (
    ("item_no", "Item", 12, "text"), ("colour", "Colour", 12, "text"), ("spacing_in", "Spacing, in", 11, "units"),
    ("spool_size_ft", "Spool, ft", 10, "units"), ("spools", "Spools", 8, "count"),
    ("pack_price", "Price of a spool", 15, "money"), ("amount_usd", "Amount", 13, "money"),
    ("feet", "Cut, ft", 10, "units"), ("offcut_ft", "Besides, ft", 11, "units"),
    ("chance_covered", "Seasons covered", 15, "share"), ("plan_usd", "Line in the end", 15, "money"),
    ("bound_usd", "No less than", 14, "money"), ("order_by", "Order by", 13, "day"),
)  # fmt: skip
CUTS = (
    ("item_no", "Item", 12, "text"), ("colour", "Colour", 12, "text"), ("spacing_in", "Spacing, in", 11, "units"),
    ("cut_no", "Way of cutting", 14, "count"), ("spools", "Spools cut so", 13, "count"),
    ("spool_size_ft", "Spool, ft", 10, "units"), ("pieces", "Pieces", 8, "count"),
    ("length_ft", "Length, ft", 11, "units"), ("sockets", "Sockets", 9, "count"), ("left_ft", "Left, ft", 10, "units"),
)  # fmt: skip
FORMATS = {
    "text": "@", "count": "#,##0", "units": "#,##0.##", "money": "$#,##0.00", "money4": "$#,##0.0000", "share": "0.0 %",
    "day": "d mmm yyyy", "setting": "General",
}  # fmt: skip
Columns = Sequence[tuple[str, str, int, str]]


class _Book:
    """The workbook being written, with its formats."""

    def __init__(self, book: Any) -> None:
        self.book = book
        self.formats = {key: book.add_format({"num_format": text}) for key, text in FORMATS.items()}
        self.strong = {
            key: book.add_format({"num_format": text, "bold": True, "top": 1}) for key, text in FORMATS.items()
        }
        self.head = book.add_format({"bold": True, "bottom": 1, "text_wrap": True, "valign": "top"})
        self.title = book.add_format({"bold": True, "font_size": 13})

    def sheet(self, name: str, columns: Columns, top: int = 0) -> Any:
        """A sheet with its headings."""
        sheet = self.book.add_worksheet(name)
        for at, (_, heading, width, _) in enumerate(columns):
            sheet.set_column(at, at, width)
            sheet.write_string(top, at, heading, self.head)
        sheet.freeze_panes(top + 1, 1)
        return sheet

    def write(self, sheet: Any, row: int, column: int, value: Any, kind: str) -> None:
        """A cell by its kind; text is written as text, what is not known is left blank."""
        if value is None:
            return
        if isinstance(value, str):
            sheet.write_string(row, column, value, self.formats["text"])
        elif isinstance(value, date):
            sheet.write_datetime(row, column, datetime(value.year, value.month, value.day), self.formats[kind])
        else:
            sheet.write_number(row, column, float(value), self.formats[kind])


def write_order(order: OrderBook, path: Path) -> None:
    """Write the workbook. Amounts and sums are formulas over its own cells; text is never one."""
    with xlsxwriter.Workbook(path, {"strings_to_formulas": False, "strings_to_urls": False}) as book:
        book.set_properties({"title": order.title, "created": MADE_ON})
        made = _Book(book)
        _order(made, order)
        _needs(made, order)
        if order.spools:
            _spools(made, order)
        if order.cut_list:
            _rows(made, made.sheet("Cut list", CUTS), CUTS, order.cut_list)
        _assumptions(made, order)


def _rows(made: _Book, sheet: Any, columns: Columns, rows: Sequence[Record]) -> None:
    for at, row in enumerate(rows, start=1):
        for column, (key, _, _, kind) in enumerate(columns):
            made.write(sheet, at, column, row.get(key), kind)
    sheet.autofilter(0, 0, max(len(rows), 1), len(columns) - 1)


def _product(made: _Book, sheet: Any, row: int, column: int, factors: tuple[int, int], value: Any) -> None:
    first, second = (place(row, factor) for factor in factors)
    sheet.write_formula(row, column, f"=ROUND({first}*{second},2)", made.formats["money"], float(value))


def _order(made: _Book, order: OrderBook) -> None:
    """The order: a block a supplier with its sum, and the sum of all."""
    sheet = made.sheet("Order", ORDER, top=1)
    sheet.write_string(0, 0, order.title, made.title)
    row, sums, whole = 2, [], Decimal(0)
    for supplier, lines in order.by_supplier:
        sheet.write_string(row, 0, supplier, made.title)
        first = row = row + 1
        for line in lines:
            for column, (key, _, _, kind) in enumerate(ORDER):
                if column != AMOUNT:
                    made.write(sheet, row, column, line[key], kind)
            _product(made, sheet, row, AMOUNT, (PACKS, PRICE), line["amount_usd"])
            row += 1
        amount = sum((Decimal(line["amount_usd"]) for line in lines), Decimal(0))
        whole += amount
        sheet.write_string(row, 0, f"All from {supplier}", made.strong["text"])
        of_lines = f"=SUM({place(first, AMOUNT)}:{place(row - 1, AMOUNT)})"
        sheet.write_formula(row, AMOUNT, of_lines, made.strong["money"], float(amount))
        sums.append(place(row, AMOUNT))
        row += 2
    sheet.write_string(row, 0, "The whole order", made.strong["text"])
    sheet.write_formula(row, AMOUNT, f"={'+'.join(sums)}", made.strong["money"], float(whole))
    made.book.define_name("order_total", f"=Order!{place(row, AMOUNT, row_abs=True, col_abs=True)}")


def _needs(made: _Book, order: OrderBook) -> None:
    """Each item's need, what there will be, and what being wrong by one costs, from the named assumptions."""
    sheet = made.sheet("Need", NEED)
    _rows(made, sheet, NEED, order.needs)
    keys = [key for key, *_ in NEED]
    given = {one.name: one.value for one in order.assumptions}
    for at, row in enumerate(order.needs, start=1):
        if row["pack_price"] is None or not row["pack_size"]:
            continue
        price = Decimal(row["pack_price"]) / Decimal(row["pack_size"])
        for key, names in (("left_usd", ("holding_rate", "obsolete_share")), ("rush_usd", ("rush_premium",))):
            if any(given.get(name) is None for name in names):
                continue
            worth = price * sum((Decimal(given[name] or 0) for name in names), Decimal(0))
            formula = f"=({'+'.join(names)})*{float(row['pack_price']):.15g}/{float(row['pack_size']):.15g}"
            sheet.write_formula(at, keys.index(key), formula, made.formats["money4"], float(worth))


def _spools(made: _Book, order: OrderBook) -> None:
    """The mix of spools, each with its amount."""
    sheet = made.sheet("Spools", SPOOLS)
    _rows(made, sheet, SPOOLS, order.spools)
    keys = [key for key, *_ in SPOOLS]
    factors = (keys.index("spools"), keys.index("pack_price"))
    for at, row in enumerate(order.spools, start=1):
        _product(made, sheet, at, keys.index("amount_usd"), factors, row["spools"] * row["pack_price"])


def _assumptions(made: _Book, order: OrderBook) -> None:
    """A setting a row; its value is a cell by the setting's name."""
    columns = (("name", "Setting", 20, "text"), ("value", "Value", 12, "setting"), ("origin", "Where from", 40, "text"),
               ("meaning", "Meaning", 90, "text"))  # fmt: skip
    sheet = made.sheet("Assumptions", columns)
    for at, one in enumerate(order.assumptions, start=1):
        for column, (key, _, _, kind) in enumerate(columns):
            made.write(sheet, at, column, getattr(one, key), kind)
        made.book.define_name(one.name, f"=Assumptions!{place(at, 1, row_abs=True, col_abs=True)}")
