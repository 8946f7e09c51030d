"""Results of an invented firm, by hand and by a seeded draw, for tests of documents and pages."""

from __future__ import annotations

import random
from datetime import date
from decimal import Decimal
from typing import Any

import polars as pl
from support.made_changes import change_tables
from support.made_failures import CREWS, SEASON, failure_comparisons, failure_tables, usd

from pipeline.documents.results import Results
from pipeline.settings import Settings

PARTS = ("labor", "materials", "travel", "equipment", "service", "overhead")
MONEY = pl.Decimal(18, 2)


def made_jobs(count: int = 60, seed: int = 7) -> list[dict[str, Any]]:
    """Jobs whose parts add up to their total, drawn with a seed."""
    draw = random.Random(seed)
    jobs = []
    for number in range(1, count + 1):
        crew, branch = CREWS[number % len(CREWS)]
        feet = Decimal(draw.randrange(60, 420))
        rates = {"labor": 2.6, "materials": 0.9, "travel": 0.2, "equipment": 0.1, "service": 0.25, "overhead": 0.8}
        parts = {f"{part}_usd": usd(float(feet) * rates[part] * draw.uniform(0.6, 1.5)) for part in PARTS}
        total = sum(parts.values())
        invoiced = usd(float(feet) * draw.uniform(4.2, 8.4))
        margin = invoiced - total
        jobs.append(
            {
                "season": SEASON, "branch": branch, "job_no": str(1000 + number), "crew": crew,
                "work": draw.choice(("new", "repeat")), "terms": draw.choice(("leased", "sold")),
                "stories": draw.choice((1, 2, 3)), "size_band": "up to 150 ft" if feet <= 150 else "over 150 ft",
                "feet": feet, **parts, "total_usd": total, "cost_usd_per_ft": float(total / feet),
                "invoiced_usd": invoiced, "margin_usd": margin, "margin_share": float(margin / invoiced),
                "is_understated": False, "understated_why": None, "has_own_hours": True,
            }
        )  # fmt: skip
    return jobs


def sums(jobs: list[dict[str, Any]], **more: Any) -> dict[str, Any]:
    """A row of season_cost or segment_cost over some jobs."""
    keys = ("feet", *(f"{part}_usd" for part in PARTS), "total_usd", "invoiced_usd", "margin_usd")
    out: dict[str, Any] = {key: sum((job[key] for job in jobs), Decimal(0)) for key in keys}
    return out | {
        "season": SEASON,
        "jobs": len(jobs),
        "losing_jobs": sum(job["margin_usd"] < 0 for job in jobs),
        "margin_share": float(out["margin_usd"] / out["invoiced_usd"]),
        "cost_usd_per_ft": float(out["total_usd"] / out["feet"]),
        "charged_usd_per_ft": float(out["invoiced_usd"] / out["feet"]),
        **more,
    }


def cost_tables(jobs: list[dict[str, Any]]) -> dict[str, list[dict[str, Any]]]:
    season = sums(
        jobs, branch="all", open_jobs=1, understated_jobs=0, owner_usd=usd(2150), total_without_owner_usd=None
    )
    season["total_without_owner_usd"] = season["total_usd"] - season["owner_usd"]
    segments = []
    for view in ("work", "terms", "stories", "size_band", "branch"):
        for segment in sorted({str(job[view]) for job in jobs}):
            chosen = [job for job in jobs if str(job[view]) == segment]
            segments.append(sums(chosen, branch="all", view=view, segment=segment))
    earlier = [
        season | {"season": SEASON - back, "cost_usd_per_ft": season["cost_usd_per_ft"] - 0.11 * back,
                  "charged_usd_per_ft": season["charged_usd_per_ft"] - 0.2 * back}
        for back in (2, 1)
    ]  # fmt: skip
    return {
        "measures.job_cost": jobs,
        "measures.season_cost": [season],
        "measures.segment_cost": segments,
        "all:measures.season_cost": [*earlier, season],
    }


def price_tables() -> dict[str, list[dict[str, Any]]]:
    chances = ((0.5, 7.45, 7.2, 7.7), (0.8, 7.8, 7.45, 8.2), (0.9, 8.0, 7.6, 8.5), (0.95, 8.2, 7.7, 8.8))
    return {
        "decisions.price_table": [
            {"season": SEASON + 1, "segment": "all", "chance": chance, "price_usd_per_ft": price,
             "cost_usd_per_ft": 4.85, "margin": 1 - 4.85 / price, "low": low, "high": high}
            for chance, price, low, high in chances
        ],
        "decisions.rate_card": [
            {"season": SEASON + 1, "line": line, "term": term, "what": what, "basis": basis, "amount_usd": amount,
             "low": low, "high": high}
            for line, term, what, basis, amount, low, high in (
                (1, "visit", "Going to a house", "usd a job", 240.0, 220.0, 260.0),
                (2, "least", "No job under", "usd a job", 300.0, None, None),
                (3, "surface", "each foot on gutter and ground", "usd a foot", 6.85, 6.4, 7.3),
                (4, "surface", "each foot on ridge", "usd a foot", 7.4, 6.6, 8.2),
                (5, "stories", "2 stories or more, on each foot", "usd a foot", 0.9, 0.5, 1.3),
            )
        ],
    }  # fmt: skip


def crew_tables() -> dict[str, list[dict[str, Any]]]:
    raw = ((14, 2900, 3.1, 0.88, 0.78, 0.98), (16, 3300, 3.4, 1.02, 0.92, 1.12),
           (15, 3100, 3.9, 1.05, 0.94, 1.18), (15, 2800, 4.4, 1.19, 1.06, 1.33))  # fmt: skip
    hours, compared = [], []
    for (crew, branch), (jobs, feet, per_100, ratio, low, high) in zip(CREWS, raw, strict=True):
        observed = feet * per_100 / 100
        key = {"season": SEASON, "branch": branch, "crew": crew, "jobs": jobs}
        hours.append(
            key | {"feet": Decimal(feet), "prep_hours": Decimal(str(observed * 0.2)),
                   "install_hours": Decimal(str(observed * 0.8)), "takedown_hours": Decimal(30),
                   "service_hours": Decimal(12), "drive_hours": Decimal(25), "hours_per_100_ft": per_100,
                   "install_hours_per_100_ft": per_100 * 0.8}
        )  # fmt: skip
        compared.append(
            key | {"observed_hours": observed, "expected_hours": observed / ratio, "ratio": ratio, "low": low,
                   "high": high, "pooled_ratio": 1 + (ratio - 1) * 0.7, "pooled_low": low + 0.01,
                   "pooled_high": high - 0.01, "told_apart": not low < 1 < high, "faults": 17,
                   "expected_faults": 17.0, "fault_ratio": 1.0, "fault_low": 0.58, "fault_high": 1.6, "note": None}
        )  # fmt: skip
    tasks = (("prep", 95), ("drive", 110), ("install", 380), ("service", 48), ("takedown", 120), ("weather", 22))
    return {
        "measures.crew_hours": hours,
        "decisions.crew_comparison": compared,
        "measures.task_hours": [
            {"season": SEASON, "branch": branch, "task": task, "hours": Decimal(amount), "overtime_hours": Decimal(4),
             "loaded_usd": usd(amount * 29), "premium_usd": usd(45)}
            for task, amount in tasks
            for branch in ("north", "south")
        ],
    }  # fmt: skip


def order_tables() -> dict[str, list[dict[str, Any]]]:
    lines = (
        ("LL12", "light_line", "ft", "warm white", "Northfork Supply", 9, 500, 145, 3900, 4600, 5400, 860, 0.06),
        ("B9WW", "bulb", "each", "warm white", "Northfork Supply", 12, 250, 118, 2700, 3300, 3900, 700, 0.08),
        ("FG1", "fastener", "each", None, "Halden Hardware", 5, 1000, 62, 4200, 5000, 5800, 400, 0.09),
        ("PLM", "plug", "each", "green", None, 0, 100, 41, 40, 60, 85, 220, 0.0),
    )
    return {
        "decisions.order_lines": [
            {"season": SEASON + 1, "item_no": item, "kind": kind, "unit": unit, "colour": colour, "supplier": supplier,
             "offer": "list", "packs": packs, "pack_size": Decimal(size), "pack_price": usd(price),
             "amount_usd": usd(packs * price), "need_p10": low, "need_p50": middle, "need_p90": high,
             "on_hand": Decimal(on_hand), "chance_short": short, "order_by": date(2026, 5, 31) if packs else None,
             "why": "service floor" if packs else "on hand"}
            for item, kind, unit, colour, supplier, packs, size, price, low, middle, high, on_hand, short in lines
        ],
        "decisions.offcut": [
            {"season": SEASON, "item_no": item, "spacing_in": Decimal(12), "colour": "warm white",
             "spool_sizes": "500", "runs": 40, "feet": Decimal(1000), "net_ft": Decimal(1000 + offcut),
             "offcut_ft": Decimal(offcut), "offcut_share": offcut / 1000, "possible_ft": Decimal(10),
             "possible_share": 0.01, "kept_ft": Decimal(40), "spools": 3, "spool_ft": Decimal(1500),
             "bound_ft": Decimal(1500), "unit_cost_usd": 0.3, "saved_usd": usd(saved)}
            for item, offcut, saved in (("LL12", 90, 24), ("LL15", 50, 12))
        ],
        "decisions.spool_plan": [
            {"season": SEASON + 1, "spacing_in": Decimal(12), "colour": "warm white", "spool_size_ft": Decimal(size),
             "item_no": "LL12", "spools": spools, "feet": Decimal(feet), "offcut_ft": Decimal(offcut),
             "bound_usd": usd(1290), "plan_usd": usd(1305), "pack_price": usd(price), "order_by": None,
             "supplier": "Northfork Supply", "chance_covered": 0.94, "draws": 200}
            for size, spools, feet, offcut, price in ((500, 8, 3940, 60, 130), (250, 3, 741, 9, 265))
        ],
    }  # fmt: skip


def intake_tables() -> dict[str, list[dict[str, Any]]]:
    sheets = (("season.xlsx", "Jobs", "jobs", 66, 60, 1, 1, 4), ("season.xlsx", "Hours", "hours", 812, 801, 5, 2, 4),
              ("goods.csv", "", "items", 12, 11, 0, 0, 1), ("season.xlsx", "Notes", None, 9, 0, 0, 0, 9))  # fmt: skip
    findings = [
        {"source_file": "season.xlsx", "source_sheet": "Hours", "source_row": 14 + number,
         "column_name": "column G 'Hours'", "value": "26", "rule": "hours_lie_within_a_day", "severity": "error",
         "message": "26 hours are more than a day has.", "remedy": "Write the hours of one worker and one day."}
        for number in range(5)
    ]  # fmt: skip
    findings.append(findings[0] | {"source_sheet": "Jobs", "column_name": "column C 'Crew'", "value": "birch",
                    "rule": "a_name_has_one_spelling", "severity": "note", "message": '"birch" was read as "Birch".',
                    "remedy": "Nothing need be done."})  # fmt: skip
    return {
        "audit.intake": [
            {"run_id": "r", "season": SEASON, "source_file": file, "source_sheet": sheet, "record_table": record,
             "rows_read": read, "accepted": accepted, "rejected": rejected, "held": held, "set_aside": aside,
             "headings": "", "left_out": "column K 'Phone': personal data" if record == "jobs" else "",
             "note": None if record else "no headings of a table were found"}
            for file, sheet, record, read, accepted, rejected, held, aside in sheets
        ],
        "audit.findings": findings,
        "audit.control": [
            {"season": SEASON, "branch": branch, "part": part, "read_usd": usd(1000), "on_jobs_usd": usd(700),
             "spread_usd": usd(250), "outside_usd": usd(50), "refused_usd": usd(0), "difference_usd": usd(0)}
            for branch in ("north", "south")
            for part in PARTS
        ],
    }  # fmt: skip


def made_tables() -> dict[str, pl.DataFrame]:
    rows = {**cost_tables(made_jobs()), **price_tables(), **crew_tables(), **failure_tables(), **failure_comparisons(),
            **order_tables(),
            **intake_tables(), **change_tables()}  # fmt: skip
    return {name: pl.DataFrame(records, infer_schema_length=None) for name, records in rows.items()}


def made_results(level: int = 4, **changes: Any) -> Results:
    """A whole season of results; `changes` replace fields of the Results."""
    values: dict[str, Any] = {
        "season": SEASON,
        "firm": "Lantern Ridge Rooflines (invented)",
        "level": level,
        "tables": made_tables(),
        "settings": Settings.from_pairs([("compensation", "0.06"), ("joint_minutes", "4")]),
        "notes": {"crews": [], "price": ["The chance rests on three seasons."]},
    }
    return Results(**(values | changes))
