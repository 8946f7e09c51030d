"""The buyer's report: what to order, of whom, by when, and how sure the need is."""

from __future__ import annotations

from typing import Any

from pipeline.documents import wording
from pipeline.documents.build import counted, figure, listed, note, row, rows_by, slug, table, without_empty
from pipeline.documents.buyer_backtest import backtest_section
from pipeline.documents.buyer_spools import spool_blocks
from pipeline.documents.buyer_sure import left_blocks, sure_blocks
from pipeline.documents.closing import closing_section
from pipeline.documents.columns import column, prose, words
from pipeline.documents.compare_goods import buyer_changes
from pipeline.documents.formats import SETTING_FORMATS
from pipeline.documents.model import (
    Axis,
    Block,
    Chart,
    Column,
    Document,
    Estimate,
    Figure,
    Point,
    Row,
    Section,
    Series,
    Source,
    Table,
    Text,
    say,
)
from pipeline.documents.parts import exact, share_of, total
from pipeline.documents.results import Results, label_of
from pipeline.settings import known_settings

Record = dict[str, Any]

DEAREST_ITEMS = 8
"""Items drawn: those of which the order costs most."""
ORDER_SETTINGS = (
    "return_rate", "new_jobs_low", "new_jobs_likely", "new_jobs_high", "doubtful_share", "rush_premium", "rush_share",
    "holding_rate", "obsolete_share", "service_floor", "rise_goods",
)  # fmt: skip
"""Settings on which the order rests."""


def buyer_document(results: Results) -> Document:
    """The buyer's report for the season after."""
    lines = [r for r in results.rows("decisions.order_lines") if r["packs"]]
    enough = [r for r in results.rows("decisions.order_lines") if not r["packs"]]
    sections: list[Section] = []
    if lines:
        chart = need_chart(lines, results)
        sections += [Section("pictures", "Need against what there will be", (chart,))] if chart else []
        sections.append(Section("order", "The order, by supplier", _order(lines)))
        sections.append(Section("need", "Why so much: need, and what there will be", _need_blocks(lines)))
        sure = sure_blocks(results)
        sections += [Section("sure", "What would change it, and what waiting costs", sure)] if sure else []
    if enough:
        sections.append(Section("enough", "Enough is on hand", (_enough_table(enough),)))
    left = left_blocks(results)
    sections += [Section("left_over", "Use up first", left)] if left else []
    sections.append(Section("spools", "How line was cut, and which spools to buy", spool_blocks(results)))
    if lines or enough:
        sections.append(Section("assumptions", "What the order rests on", _assumptions(results)))
        sections.append(backtest_section(results))
    sections.append(buyer_changes(results))
    methods = (wording.ORDER_METHOD, wording.NEED_METHOD, wording.SPOOL_METHOD)
    sections.append(closing_section(results, "buyer", methods, (wording.ORDER_CAUTION,)))
    return Document(
        "buyer", f"What to order for season {label_of(results.season + 1)}", results.season, results.firm,
        _lead(results, lines), _figures(results, lines), tuple(sections),
    )  # fmt: skip


def _total(results: Results, lines: list[Record]) -> Figure:
    return Figure(
        "order_total_usd", "the whole order", total(r["amount_usd"] for r in lines), "usd", "usd",
        "sum of packs x price of a pack", Source("decisions.order_lines", f"season={results.season + 1}"),
    )  # fmt: skip


def _first_day(results: Results, lines: list[Record]) -> Figure | None:
    days = [r for r in lines if r["order_by"] is not None]
    if not days:
        return None
    first = min(days, key=lambda r: (r["order_by"], r["item_no"]))
    return Figure(
        "first_order_by", "the first last day to order", first["order_by"], "date", "date",
        "the earliest of the lines' last days to order",
        Source("decisions.order_lines", f"season={results.season + 1}, item_no={first['item_no']}"),
    )  # fmt: skip


def _lead(results: Results, lines: list[Record]) -> Text:
    if not results.rows("decisions.order_lines"):
        why = " ".join(results.said("reorder"))
        return Text((why or "No order can be given: the records do not say which goods the season used.",))
    if not lines:
        return Text(("Nothing needs to be ordered: what is on hand covers the need of next season.",))
    count = Figure("order_lines", "lines of the order", len(lines), "count", "lines", "items and pack sizes to order",
                   Source("decisions.order_lines", f"season={results.season + 1}"))  # fmt: skip
    suppliers = sorted({supplier_of(r) for r in lines})
    of_whom = f" from {listed(suppliers)}" if len(suppliers) <= 3 else ""
    first = say("Order {} of goods, {}{}", _total(results, lines), counted(count, "line", "lines"), of_whom)
    day = _first_day(results, lines)
    if day is None:
        return say("{}; the records name no last day to order.", first)
    return say("{}. The first line must be ordered by {}.", first, day)


def _figures(results: Results, lines: list[Record]) -> tuple[Figure, ...]:
    if not lines:
        return ()
    dearest = max(lines, key=lambda r: r["amount_usd"])
    at = f"season={results.season + 1}, item_no={dearest['item_no']}"
    figures = (
        _total(results, lines),
        _first_day(results, lines),
        Figure(f"dearest.{slug(dearest['item_no'])}.amount_usd", f"of it on {dearest['item_no']}, the dearest line",
               dearest["amount_usd"], "usd", "usd", "packs x price of a pack", Source("decisions.order_lines", at)),
        _likeliest_short(results, lines),
    )  # fmt: skip
    return tuple(figure for figure in figures if figure is not None)


def _likeliest_short(results: Results, lines: list[Record]) -> Figure | None:
    """The item that is likeliest to run short, even with the order."""
    known = [r for r in lines if r["chance_short"] is not None]
    if not known:
        return None
    record = max(known, key=lambda r: r["chance_short"])
    return Figure(
        f"likeliest_short.{slug(record['item_no'])}.chance_short",
        f"chance of running short of {record['item_no']}, the likeliest",
        record["chance_short"], "chance", "chance", column("chance_short").definition,
        Source("decisions.order_lines", f"season={results.season + 1}, item_no={record['item_no']}"),
    )  # fmt: skip


def supplier_of(record: Record) -> str:
    """Who sells a line's item."""
    return record["supplier"] or "supplier not named"


def item_words(record: Record) -> str:
    """What an item is, as far as its colour and unit."""
    known = (str(record["kind"] or "").replace("_", " "), record.get("colour"))
    return f"{', '.join(word for word in known if word)} ({record['unit']})"


def _order(lines: list[Record]) -> tuple[Block, ...]:
    by_supplier: dict[str, list[Record]] = {}
    for record in sorted(lines, key=lambda r: (-r["amount_usd"], r["item_no"])):
        by_supplier.setdefault(supplier_of(record), []).append(record)
    sums = {supplier: total(r["amount_usd"] for r in rows) for supplier, rows in by_supplier.items()}
    ordered = sorted(by_supplier, key=lambda supplier: (-(sums[supplier] or 0), supplier))
    return tuple(order_table(supplier, by_supplier[supplier]) for supplier in ordered)


def _need_columns(*more: str) -> tuple[Column, ...]:
    keys = ("need_p10", "need_p50", "need_p90", "on_hand", *more, "chance_short")
    return tuple(column(key) for key in keys)


def _need_blocks(lines: list[Record]) -> tuple[Block, ...]:
    """Each ordered item's need and how it is met, and of which more than a pack beyond the high need is ordered."""
    by_item = {r["item_no"]: r for r in sorted(lines, key=lambda r: r["amount_usd"])}
    shown = sorted(by_item.values(), key=lambda r: (-r["amount_usd"], r["item_no"]))
    columns = without_empty(
        (words("item_no", "Item"), words("unit", "Unit"), *_need_columns("ordered", "top_up_p50", "top_up_p90")), shown
    )
    rows = rows_by(shown, columns, "decisions.order_lines", ("season", "item_no"))
    above = [r for r in shown if r.get("fewer_usd") is not None]
    said = (note(_above(above)),) if above else ()
    return (*said, table("need_by_item", "Need and how it is met", columns, rows))


def _above(above: list[Record]) -> Text:
    """What is said of items of which more than a pack beyond the high need is ordered."""
    dearer = [
        say("{} for {}", figure("fewer_usd", record, _at(record), name=f"fewer.{slug(record['item_no'])}"),
            str(record["item_no"]))
        for record in above
    ]  # fmt: skip
    costs, items = say(listed(["{}"] * len(dearer)), *dearer), listed([str(r["item_no"]) for r in above])
    more = "more than a pack beyond the high need is ordered, for the price of more packs or the cost of a shortage"
    end = "Fewer would cost more in the end, with a year's holding of what is left over"
    return say("Of {} {}. {}: {}.", items, more, end, costs)


def _at(record: Record) -> Source:
    return Source("decisions.order_lines", f"season={record['season']}, item_no={record['item_no']}")


def order_table(supplier: str, lines: list[Record]) -> Table:
    """A supplier's lines, the dearest first, and their sum."""
    columns = without_empty(
        (
            words("item_no", "Item"),
            words("what", "What it is"),
            column("packs"),
            column("pack_size"),
            column("pack_price"),
            column("amount_usd", unit="usd"),
            column("order_by", unit=""),
        ),
        [r | {"what": item_words(r)} for r in lines],
    )
    shown = [r | {"what": item_words(r)} for r in lines]
    rows: tuple[Row, ...] = rows_by(shown, columns, "decisions.order_lines", ("season", "item_no", "offer"))
    sums = {"item_no": "All", "amount_usd": total(r["amount_usd"] for r in lines)}
    source = Source("decisions.order_lines", f"season={lines[0]['season']}, supplier={supplier}")
    rows = (*rows, row(sums, columns, "all", source, strong=True))
    return table(f"order.{slug(supplier)}", supplier, columns, rows)


def _enough_table(records: list[Record]) -> Table:
    columns = without_empty((words("item_no", "Item"), words("what", "What it is"), *_need_columns()), [
        r | {"what": item_words(r)} for r in records
    ])  # fmt: skip
    shown = [r | {"what": item_words(r)} for r in records]
    rows = rows_by(shown, columns, "decisions.order_lines", ("season", "item_no", "offer"))
    return table("enough", "Items of which nothing is ordered", columns, rows)


def need_chart(lines: list[Record], results: Results) -> Chart | None:
    """Need and what there will be, for the dearest items, each as a share of its middle need."""
    known = [r for r in lines if r["need_p50"] and None not in (r["need_p10"], r["need_p90"], r["on_hand"])]
    # An item that is ordered in several packs is drawn once.
    by_item = {r["item_no"]: r for r in sorted(known, key=lambda r: r["amount_usd"])}
    dearest = sorted(by_item.values(), key=lambda r: (-r["amount_usd"], r["item_no"]))[:DEAREST_ITEMS]
    if not dearest:
        return None
    need, there = [], []
    for record in dearest:
        middle = record["need_p50"]
        low, high = share_of(record["need_p10"], middle), share_of(record["need_p90"], middle)
        own = [r for r in lines if r["item_no"] == record["item_no"]]
        stock = exact(record["on_hand"]) + sum(exact(r["packs"]) * exact(r["pack_size"]) for r in own)
        key, label = slug(record["item_no"], record.get("offer") or ""), str(record["item_no"])
        need.append(Point(key, label, 1, low, high))
        there.append(Point(key, label, share_of(stock, middle) or 0))
    shares = Axis("share of the middle need", "of middle need", "percent")
    return Chart(
        "need", "ranges", _need_title(results, dearest), shares,
        "item",
        (Series("need", "need, low to high", tuple(need)), Series("there", "on hand and ordered", tuple(there))),
        "need (10th to 90th percentile), and stock with the order, over the middle need of the item",
        Source("decisions.order_lines", f"season={results.season + 1}"),
    )  # fmt: skip


def _need_title(results: Results, lines: list[Record]) -> Text:
    """What the picture shows: which of its items may run short, and how likely that is."""
    short = _likeliest_short(results, lines)
    if short is None:
        return Text(("The dearest items: what there will be against what may be needed",))
    item = max((r for r in lines if r["chance_short"] is not None), key=lambda r: r["chance_short"])["item_no"]
    return say("Of the dearest items {} is the likeliest to run short: {}", item, short)


def _setting(results: Results, name: str) -> Estimate:
    """A setting's value, printed as its kind is: a share as 80 %, not as .8."""
    form = SETTING_FORMATS.get(known_settings()[name].kind, "given_number")
    return Estimate(results.settings.number(name), format=form)


def _assumptions(results: Results) -> tuple[Block, ...]:
    given = {r["setting"]: r for r in results.settings.rows()}
    known = known_settings()
    columns = (
        words("setting", "Setting"),
        Column("value", "Value", "", "given_number", "the setting in force"),
        words("origin", "Where from"),
        prose("text", "Meaning"),
    )
    records: list[Record] = [
        {**given[name]} | {"value": _setting(results, name), "text": known[name].text}
        for name in ORDER_SETTINGS
        if name in given
    ]
    rows = rows_by(records, columns, "reference.settings", ("setting",))
    return (table("settings", "Settings in force", columns, rows), *(note(s) for s in results.said("reorder")))
