"""How an item's order was built up, in sentences beside its movements: need by driver, stock, packs."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from pipeline.documents.formats import show
from pipeline.documents.results import label_of

Record = dict[str, Any]


def order_notes(season: int, lines: Sequence[Record], drivers: Sequence[Record]) -> tuple[str, ...]:
    """The build-up of the order for a season: `lines` and `drivers` are an item's rows of decisions.order_lines and
    decisions.order_drivers. Without lines one sentence says that the order does not have the item."""
    where = f"season {label_of(season)}"
    if not lines:
        return (f"The order for {where} does not have this item: nothing says what it would be needed for.",)
    first = lines[0]
    unit = " ft" if first["unit"] == "ft" else ""

    def units(value: float | None) -> str:
        return f"{show(value, 'quantity')}{unit}"

    said = [
        f"Order for {where}: a need of {units(first['need_p50'])} in the middle, "
        f"{units(first['need_p10'])} to {units(first['need_p90'])} in eight seasons of ten."
    ]
    said += [
        _driver(record, units) for record in drivers if any(round(record[k]) for k in ("mean_need", "low", "high"))
    ]
    said.append(f"On hand: {units(first['on_hand'])}.")
    bought = [line for line in lines if line["packs"]]
    said += [
        f"Ordered: {show(line['packs'], 'count')} {'pack' if line['packs'] == 1 else 'packs'} of "
        f"{units(line['pack_size'])} at {show(line['pack_price'], 'usd_cents')} ({line['offer']}), "
        f"{show(line['amount_usd'], 'usd_cents')}"
        + (f", by {show(line['order_by'], 'date')}." if line["order_by"] else ".")
        for line in bought
    ] or ["Ordered: nothing."]
    if first["top_up_p90"]:
        said.append(
            f"Bought later, once the season's jobs are known: {units(first['top_up_p50'])} in the middle case, "
            f"{units(first['top_up_p90'])} in one season of ten."
        )
    said.append(f"Chance of running short: {show(first['chance_short'], 'chance')}.")
    if first["fewer_usd"] is not None:
        said.append(
            "More than a pack beyond the high need is ordered: fewer would cost "
            f"{show(first['fewer_usd'], 'usd_cents')} more in the end."
        )
    return tuple(said)


def _driver(record: Record, units: Any) -> str:
    share, low, high = record["variance_share"], units(record["low"]), units(record["high"])
    between = "" if low == high else f", {low} to {high} in eight seasons of ten"
    moves = "" if share is None else f"; {show(share, 'percent')} of what the need varies by"
    return f"Of it {record['what']}: {units(record['mean_need'])} on average{between}{moves}."
