"""Small frames of the store's measures and facts, for tests of the decisions."""

from __future__ import annotations

from datetime import date
from decimal import Decimal
from typing import Any

import polars as pl

from pipeline.settings import Settings

SEASON = 2031
QUANTITY = pl.Decimal(26, 12)
MONEY = pl.Decimal(18, 2)


def settings(**given: str) -> Settings:
    """Settings; a double underscore stands for the colon of a keyed one."""
    return Settings.from_pairs((key.replace("__", ":"), value) for key, value in given.items())


def _frame(rows: list[dict[str, Any]], schema: dict[str, Any]) -> pl.DataFrame:
    return pl.DataFrame(
        [{name: row.get(name) for name in schema} for row in rows], schema=schema, orient="row", strict=False
    )


def job_cost(rows: list[dict[str, Any]]) -> pl.DataFrame:
    """measures.job_cost: jobs of 100 ft that cost 300 labor and 200 materials, unless a row says otherwise."""
    money = {
        f"{part}_usd": MONEY for part in ("labor", "materials", "travel", "equipment", "service", "overhead", "total")
    }
    schema = {
        "season": pl.Int32, "branch": pl.String, "job_no": pl.String, "work": pl.String, "terms": pl.String,
        "feet": QUANTITY, **money, "is_final": pl.Boolean, "is_understated": pl.Boolean, "has_own_hours": pl.Boolean,
    }  # fmt: skip
    usual = {
        "season": SEASON, "branch": "main", "work": "new", "terms": "sold", "feet": Decimal(100),
        "labor_usd": Decimal(300), "materials_usd": Decimal(200), "travel_usd": None, "equipment_usd": Decimal(0),
        "service_usd": Decimal(0), "overhead_usd": Decimal(0), "total_usd": Decimal(500), "is_final": True,
        "is_understated": False, "has_own_hours": True,
    }  # fmt: skip
    return _frame([usual | {"job_no": f"{n:03d}"} | row for n, row in enumerate(rows)], schema)


def season_cost(costs: dict[int, float]) -> pl.DataFrame:
    """measures.season_cost of all branches: season and cost a foot."""
    return pl.DataFrame({"season": list(costs), "cost_usd_per_ft": list(costs.values())}).cast({"season": pl.Int32})


def job_hours(rows: list[dict[str, Any]]) -> pl.DataFrame:
    """facts.job_hours: two stories, slope 6, gutters, three workers, unless a row says otherwise."""
    shares = [f"share_{s}" for s in ("gutter", "shingle", "ridge", "masonry", "trim", "ground", "other")]
    schema = {
        "season": pl.Int32, "branch": pl.String, "job_no": pl.String, "crew": pl.String, "work": pl.String,
        "stories": pl.Int32, "slope": QUANTITY, "install_date": pl.Date, "feet": QUANTITY, "workers": pl.Int64,
        "prep_hours": QUANTITY, "install_hours": QUANTITY, **dict.fromkeys(shares, pl.Float64),
    }  # fmt: skip
    usual = {
        "season": SEASON, "branch": "main", "work": "new", "stories": 2, "slope": Decimal(6), "workers": 3,
        "install_date": date(SEASON, 11, 1), "prep_hours": Decimal(0), "share_gutter": 1.0,
        **dict.fromkeys(shares[1:], 0.0),
    }  # fmt: skip
    return _frame([usual | {"job_no": f"{n:03d}"} | row for n, row in enumerate(rows)], schema)


def exposure(rows: list[dict[str, Any]]) -> pl.DataFrame:
    """facts.connection_weeks: plugs on gutters, new, all in one week, unless a row says otherwise."""
    schema = {
        "season": pl.Int32, "branch": pl.String, "job_no": pl.String, "crew": pl.String, "surface": pl.String,
        "age_seasons": pl.Int32, "kind": pl.String, "week_start": pl.Date, "connections": pl.Int64,
        "connection_nights": pl.Float64, "failed_points": pl.Int64,
    }  # fmt: skip
    usual = {"season": SEASON, "branch": "main", "crew": "Maple", "kind": "plug", "surface": "gutter",
             "age_seasons": 0, "week_start": date(SEASON, 12, 1)}  # fmt: skip
    return _frame([usual | {"job_no": f"{n:03d}"} | row for n, row in enumerate(rows)], schema)


def counts(rows: list[dict[str, Any]]) -> pl.DataFrame:
    """facts.connection_counts, all branches."""
    whole = ("connections", "connection_nights", "failed_points", "unknown_kind_points")
    schema = {"season": pl.Int32, "branch": pl.String, "kind": pl.String, **dict.fromkeys(whole, pl.Int64)}
    usual = {"season": SEASON, "branch": "all", "unknown_kind_points": 0}
    return _frame([usual | row for row in rows], schema)


def failures(rows: list[dict[str, Any]]) -> pl.DataFrame:
    """measures.connection_failures of all branches, limits not widened."""
    whole = ("connections", "connection_nights", "failed_points", "unknown_kind_points")
    schema = {
        "season": pl.Int32, "branch": pl.String, "kind": pl.String, **dict.fromkeys(whole, pl.Int64),
        "widening": pl.Float64,
    }  # fmt: skip
    usual = {"season": SEASON, "branch": "all", "unknown_kind_points": 0, "widening": 1.0}
    return _frame([usual | row for row in rows], schema)


def service_cost(**row: Any) -> pl.DataFrame:
    """measures.service_cost of all branches."""
    schema = {
        "season": pl.Int32, "branch": pl.String, "calls": pl.Int32, "failed_points": pl.Int32,
        "usd_per_point": pl.Float64,
    }  # fmt: skip
    return _frame([{"season": SEASON, "branch": "all"} | row], schema)


def failure_costs(costs: list[tuple[float | None, int]]) -> pl.DataFrame:
    """facts.failure_costs: (usd of service, failed points) of jobs."""
    schema = {
        "season": pl.Int32, "branch": pl.String, "job_no": pl.String, "calls": pl.Int64, "points": pl.Int64,
        "service_usd": MONEY,
    }  # fmt: skip
    rows = [
        {"season": SEASON, "branch": "main", "job_no": f"{n:03d}", "calls": 1, "points": points,
         "service_usd": None if usd is None else Decimal(str(usd))}
        for n, (usd, points) in enumerate(costs)
    ]  # fmt: skip
    return _frame(rows, schema)


def connection_goods(rows: list[dict[str, Any]]) -> pl.DataFrame:
    """facts.connection_goods: pieces that last 4 seasons, one a connection, unless a row says otherwise."""
    schema = {
        "season": pl.Int32, "made_for": pl.String, "spacing_in": pl.Float64, "pieces": pl.Int32, "unit_usd": pl.Float64,
        "life_seasons": pl.Float64, "built": pl.Float64,
    }  # fmt: skip
    usual = {"season": SEASON, "pieces": 1, "life_seasons": 4.0, "built": 0.0}
    return _frame([usual | row for row in rows], schema)


def job_items(rows: list[dict[str, Any]]) -> pl.DataFrame:
    """facts.job_items: light line on new sold jobs, unless a row says otherwise."""
    schema = {
        "season": pl.Int32, "branch": pl.String, "job_no": pl.String, "work": pl.String, "terms": pl.String,
        "property_no": pl.String, "item_no": pl.String, "kind": pl.String, "unit": pl.String, "net": QUANTITY,
        "built": QUANTITY,
    }  # fmt: skip
    usual = {
        "season": SEASON, "branch": "main", "work": "new", "terms": "sold", "item_no": "LL", "kind": "light_line",
        "unit": "ft",
    }  # fmt: skip
    return _frame([usual | {"job_no": f"{n:03d}", "property_no": f"P{n}"} | row for n, row in enumerate(rows)], schema)


def item_use(rows: list[dict[str, Any]]) -> pl.DataFrame:
    """measures.item_use, of goods used without a job."""
    schema = {
        "season": pl.Int32, "branch": pl.String, "item_no": pl.String, "kind": pl.String, "unit": pl.String,
        "net_used": QUANTITY, "net_without_job": QUANTITY,
    }  # fmt: skip
    usual = {"season": SEASON, "branch": "main", "item_no": "SUND", "kind": "sundry", "unit": "each"}
    return _frame([usual | row for row in rows], schema)


def property_seasons(rows: list[dict[str, Any]]) -> pl.DataFrame:
    """facts.property_seasons."""
    schema = {
        "season": pl.Int32, "branch": pl.String, "property_no": pl.String, "customer_no": pl.String,
        "terms": pl.String, "tenure": pl.Int32, "returned": pl.Boolean,
    }  # fmt: skip
    usual = {"season": SEASON, "branch": "main", "terms": "leased", "tenure": 1}
    named = [usual | {"property_no": f"P{n}"} | row for n, row in enumerate(rows)]
    return _frame([{"customer_no": row["property_no"]} | row for row in named], schema)


def items(rows: list[dict[str, Any]]) -> pl.DataFrame:
    """records.items: a green light line of 100 ft at $10, unless a row says otherwise."""
    names = ("item_no", "kind", "unit", "colour", "supplier", "replaces")
    schema = {
        **dict.fromkeys(names, pl.String), "pack_size": QUANTITY, "pack_price": QUANTITY, "spacing_in": QUANTITY,
        "life_seasons": QUANTITY, "lead_days": pl.Int32, "socket": pl.String, "wire": pl.String, "volts": QUANTITY,
    }  # fmt: skip
    usual = {
        "item_no": "LL", "kind": "light_line", "unit": "ft", "colour": "green", "supplier": "Any Supply",
        "pack_size": Decimal(100), "pack_price": Decimal(10), "spacing_in": Decimal(12),
    }  # fmt: skip
    return _frame([usual | row for row in rows], schema)


def offers(rows: list[dict[str, Any]]) -> pl.DataFrame:
    """records.offers."""
    schema = {
        "item_no": pl.String, "pack_size": QUANTITY, "pack_price": QUANTITY, "min_packs": pl.Int32,
        "order_by": pl.Date,
    }  # fmt: skip
    return _frame([{"item_no": "LL", "min_packs": 1} | row for row in rows], schema)


def closing_stock(rows: list[dict[str, Any]]) -> pl.DataFrame:
    """facts.closing_stock."""
    schema = {"season": pl.Int32, "item_no": pl.String, "usable": QUANTITY, "doubtful": QUANTITY}
    return _frame([{"season": SEASON, "item_no": "LL", "usable": Decimal(0), "doubtful": Decimal(0)} | r for r in rows],
                  schema)  # fmt: skip


def shuffled(frame: pl.DataFrame) -> pl.DataFrame:
    """The same rows in another order."""
    return frame.sample(fraction=1.0, shuffle=True, seed=11)
