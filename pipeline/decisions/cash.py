"""Next season's cash by month: whether the order and the wages can be paid before the customers pay."""

from __future__ import annotations

from datetime import date
from decimal import Decimal

import polars as pl

from pipeline.settings import Settings

PLAN = {
    "season": pl.Int32, "month": pl.Date, "received_usd": pl.Float64, "pay_usd": pl.Float64, "goods_usd": pl.Float64,
    "road_usd": pl.Float64, "overhead_usd": pl.Float64, "net_usd": pl.Float64, "running_usd": pl.Float64,
}  # fmt: skip


def cash_plan(months: pl.DataFrame, orders: pl.DataFrame, settings: Settings, *, season: int) -> pl.DataFrame:
    """Next season's money in and out by month, June to May: rows of decisions.cash_plan.

    `months` is measures.cash_months of the season, `orders` decisions.order_lines for the next. It is this season again
    a year later: the same receipts, pay and the rest with the rises of the settings, and for goods the order, each line
    in the month of its last day to order (in June where it has none). Without an order, goods are this season's with
    their rise. No rows without receipts. Loans, taxes and drawings are in no record.
    """
    if months.is_empty():
        return pl.DataFrame(schema=PLAN)
    pay, goods, other = (
        1 + float(settings.number(name) or Decimal(0)) for name in ("rise_labor", "rise_goods", "rise_other")
    )
    ordered = _orders_by_month(orders, season + 1)
    rows = []
    for row in months.sort("month").iter_rows(named=True):
        month = date(row["month"].year + 1, row["month"].month, 1)
        bought = ordered.get(month, 0.0) if ordered else float(row["goods_usd"] or 0) * goods
        out = {
            "pay_usd": float(row["pay_usd"] or 0) * pay,
            "goods_usd": bought,
            "road_usd": float(row["road_usd"] or 0) * other,
            "overhead_usd": float(row["overhead_usd"] or 0) * other,
        }
        received = float(row["received_usd"])
        rows.append(
            {"season": season + 1, "month": month, "received_usd": received, **out}
            | {"net_usd": received - sum(out.values())}
        )
    frame = pl.DataFrame(rows, schema=PLAN | {"running_usd": pl.Float64})
    return frame.with_columns(running_usd=pl.col("net_usd").cum_sum()).select(list(PLAN))


def _orders_by_month(orders: pl.DataFrame, season: int) -> dict[date, float]:
    """Amounts of the order by the month in which they fall due, within the season's June to May."""
    due: dict[date, float] = {}
    first, last = date(season, 6, 1), date(season + 1, 5, 1)
    for row in orders.filter(pl.col("amount_usd") > 0).iter_rows(named=True):
        day = row["order_by"] or first
        month = min(max(date(day.year, day.month, 1), first), last)
        due[month] = due.get(month, 0.0) + float(row["amount_usd"])
    return due
