"""The buyer's report on how sure the order is: what moves the need, what waiting costs, what to use up first."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

from pipeline.documents.build import Record, listed, note, row, rows_by, slug, table
from pipeline.documents.columns import column, words
from pipeline.documents.model import Axis, Block, Chart, Column, Figure, Point, Series, Source, Table, say
from pipeline.documents.parts import exact, total
from pipeline.documents.results import Results

USD = Axis("worth of the goods needed, less or more than on average", "usd", "usd")
MOST_LEFT = 8
"""Items with the most worth on hand that are listed to be used up first."""


def unit_prices(results: Results) -> dict[str, Decimal]:
    """Price of a unit of each item as it is ordered, usd."""
    prices: dict[str, Decimal] = {}
    for line in results.rows("decisions.order_lines"):
        if line["pack_price"] is not None and line["pack_size"]:
            prices.setdefault(line["item_no"], exact(line["pack_price"]) / exact(line["pack_size"]))
    return prices


def sure_blocks(results: Results) -> tuple[Block, ...]:
    """What moves the need, in money, and the cost of waiting past the early dates."""
    chart = _tornado(results)
    waiting = _waiting(results)
    return (*([chart] if chart else []), *waiting)


def _tornado(results: Results) -> Chart | None:
    """Each thing that moves the need: worth of goods in its 10th and 90th percentile, less its average."""
    prices = unit_prices(results)
    by_driver: dict[str, list[Any]] = {}
    for record in results.rows("decisions.order_drivers"):
        price = prices.get(record["item_no"])
        if price is None or None in (record["low"], record["high"], record["mean_need"]):
            continue
        low, high = (price * (exact(record[key]) - exact(record["mean_need"])) for key in ("low", "high"))
        known = by_driver.setdefault(record["driver"], [record["what"], Decimal(0), Decimal(0)])
        known[1] += low
        known[2] += high
    shown = sorted(
        ((high - low, driver, what, low, high) for driver, (what, low, high) in by_driver.items() if high > low),
        key=lambda one: (-one[0], one[1]),
    )
    if not shown:
        return None
    source = Source("decisions.order_drivers", f"season={results.season + 1}")
    definition = (
        "sum over the items of the price of a unit x (the driver's 10th or 90th percentile - its average); an upper "
        "end, as if every item moved the same way at once"
    )
    widest = Figure("need_moves_most_usd", f"from low to high: {shown[0][2]}", shown[0][0], "usd", "usd", definition,
                    source)  # fmt: skip
    less = tuple(Point(slug(driver), what, low) for _, driver, what, low, _ in shown)
    more = tuple(Point(slug(driver), what, high) for _, driver, what, _, high in shown)
    return Chart(
        "what_moves_the_need", "pairs", say("Most depends on {}: {} from low to high", str(shown[0][2]), widest), USD,
        "what moves the need", (Series("less", "in one season of ten, less", less),
                                Series("more", "in one season of ten, more", more)), definition, source,
    )  # fmt: skip


def _later_price(offers: list[Record], line: Record) -> Decimal | None:
    """The cheapest price of a unit without a last day, in packs of which no more must be taken than are ordered."""
    units = exact(line["packs"]) * exact(line["pack_size"])
    prices = [
        exact(offer["pack_price"]) / exact(offer["pack_size"])
        for offer in offers
        if offer["item_no"] == line["item_no"]
        and offer.get("order_by") is None
        and exact(offer.get("min_packs") or 1) * exact(offer["pack_size"]) <= units
    ]
    return min(prices, default=None)


def _waiting(results: Results) -> list[Block]:
    """What the lines with a last day would cost after it."""
    offers = [*results.rows("records.offers"), *results.rows("records.items")]
    rows: list[Record] = []
    for line in results.rows("decisions.order_lines"):
        if line["order_by"] is None or not line["packs"]:
            continue
        later = _later_price(offers, line)
        if later is None:
            continue
        early = exact(line["pack_price"]) / exact(line["pack_size"])
        extra = (later - early) * exact(line["packs"]) * exact(line["pack_size"])
        rows.append(line | {"early_usd": early, "later_usd": later, "extra_usd": extra})
    if not rows:
        return []
    rows.sort(key=lambda r: (r["order_by"], -r["extra_usd"], r["item_no"]))
    waiting = Figure("waiting_usd", "the same goods after the early dates", total(r["extra_usd"] for r in rows), "usd",
                     "usd", "sum of units x (the cheapest later price - the early price)",
                     Source("decisions.order_lines", f"season={results.season + 1}"))  # fmt: skip
    said = say("Bought after the early dates the same goods would cost {} more.", waiting)
    return [note(said), _waiting_table(rows)]


def _waiting_table(rows: list[Record]) -> Table:
    columns = (
        words("item_no", "Item"),
        column("order_by", unit=""),
        column("packs"),
        column("pack_size"),
        Column("early_usd", "Early price", "usd a unit", "rate", "price of a unit until that day"),
        Column("later_usd", "Later price", "usd a unit", "rate", "cheapest price of a unit without a last day"),
        Column("extra_usd", "Waiting costs", "usd", "usd_cents", "units x (later price - early price)"),
    )
    shown = rows_by(rows, columns, "decisions.order_lines", ("season", "item_no", "offer"))
    sums = {"item_no": "All", "extra_usd": total(r["extra_usd"] for r in rows)}
    source = Source("decisions.order_lines", f"season={rows[0]['season']}")
    title = "What waiting past the early dates costs"
    return table("waiting", title, columns, (*shown, row(sums, columns, "all", source, strong=True)))


def left_blocks(results: Results) -> tuple[Block, ...]:
    """What is on hand, to be used up before anything new is opened: the doubtful first."""
    prices = unit_prices(results)
    named = {record["item_no"]: record for record in results.rows("records.items")}
    rows: list[Record] = []
    for stock in results.rows("facts.closing_stock"):
        on_hand = exact(stock["usable"] or 0) + exact(stock["doubtful"] or 0)
        price = prices.get(stock["item_no"])
        if on_hand <= 0 or price is None:
            continue
        unit = (named.get(stock["item_no"]) or {}).get("unit")
        rows.append(stock | {"unit": unit, "worth_usd": on_hand * price})
    if not rows:
        return ()
    rows.sort(key=lambda r: (-r["worth_usd"], r["item_no"]))
    doubtful = [str(r["item_no"]) for r in rows if r["doubtful"]]
    blocks: list[Block] = []
    if doubtful:
        blocks.append(note(f"Look through the doubtful goods before the order goes out: {listed(doubtful)}."))
    columns = (
        words("item_no", "Item"),
        words("unit", "Unit"),
        Column("usable", "Usable", "units", "quantity", "counted as usable at the season's end"),
        Column("doubtful", "Doubtful", "units", "quantity", "counted as doubtful at the season's end"),
        Column("worth_usd", "Worth", "usd", "usd", "usable and doubtful units x the price of a unit as ordered"),
    )
    shown = rows_by(rows[:MOST_LEFT], columns, "facts.closing_stock", ("season", "item_no"))
    return (*blocks, table("left_over", "On hand, by what it is worth", columns, shown))
