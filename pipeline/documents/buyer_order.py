"""What order.xlsx holds: the order by supplier, each item's need, the spools, the cut list and the assumptions."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from pipeline.documents.buyer import ORDER_SETTINGS, item_words, supplier_of
from pipeline.documents.results import Results, label_of
from pipeline.settings import known_settings

Record = dict[str, Any]


@dataclass(frozen=True)
class Assumption:
    """A setting on which the order rests; `value` is None where it was not given."""

    name: str
    value: Decimal | None
    origin: str
    meaning: str


@dataclass(frozen=True)
class OrderBook:
    """The workbook's content. Rows are those of the store's tables, with `what` in words."""

    title: str
    by_supplier: tuple[tuple[str, tuple[Record, ...]], ...]
    needs: tuple[Record, ...]
    spools: tuple[Record, ...]
    cut_list: tuple[Record, ...]
    assumptions: tuple[Assumption, ...]


def order_book(results: Results) -> OrderBook | None:
    """The order workbook for the season after, or None where nothing is ordered."""
    records = [record | {"what": item_words(record)} for record in results.rows("decisions.order_lines")]
    by_supplier: dict[str, list[Record]] = {}
    for record in sorted(records, key=lambda r: (supplier_of(r), r["item_no"], r["offer"] or "")):
        if record["packs"]:
            by_supplier.setdefault(supplier_of(record), []).append(record)
    if not by_supplier:
        return None
    needs = {record["item_no"]: record for record in sorted(records, key=lambda r: (r["item_no"], -r["packs"]))[::-1]}
    return OrderBook(
        f"Order for season {label_of(results.season + 1)}",
        tuple((supplier, tuple(lines)) for supplier, lines in by_supplier.items()),
        tuple(needs[name] for name in sorted(needs)),
        tuple(results.rows("decisions.spool_plan")),
        tuple(results.rows("decisions.cut_list")),
        _assumptions(results),
    )


def _assumptions(results: Results) -> tuple[Assumption, ...]:
    origins = {row["setting"]: row["origin"] for row in results.settings.rows()}
    known = known_settings()
    return tuple(
        Assumption(name, results.settings.number(name), origins.get(name) or "not given", known[name].text)
        for name in ORDER_SETTINGS
    )
