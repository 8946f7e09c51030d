"""What came true in each season, and what of it a right intake accepts, for tests to compare with."""

from __future__ import annotations

import math
from collections import defaultdict
from statistics import fmean, pstdev

from data_demo.make.demand import return_chance
from data_demo.make.houses import KINDS
from data_demo.make.records import Record, Season
from data_demo.make.truth import Truth


def _block(name: str, values: dict[str, float]) -> str:
    lines = [f"[{name}]"]
    lines += [f'"{key}" = {value:.10g}' for key, value in values.items()]
    return "\n".join(lines) + "\n"


def realized_text(truth: Truth, seasons: list[Season]) -> str:
    """TOML: sums, true rates by kind and true chances of returning, a table a season."""
    parts = []
    for season in seasons:
        jobs, year = season.jobs, season.season
        hours: dict[str, float] = defaultdict(float)
        for row in season.tables["hours"]:
            hours[row["task"]] += row["hours"]
        workmanship = {crew["name"]: crew["workmanship"] for crew in truth["crews"]}
        rates = {}
        for kind in KINDS:
            nights = sum(job.house.points[kind] * job.lit_nights for job in jobs)
            says = truth["faults"]
            expected = sum(
                job.house.points[kind] * job.lit_nights * workmanship[job.crew] * (1 + says["ageing"] * job.age)
                for job in jobs
            )
            rates[kind] = says["per_1000"][kind] * expected / nights
        sums = {
            "jobs": len(jobs),
            "new_jobs": sum(job.work == "new" for job in jobs),
            "feet": sum(job.house.feet for job in jobs),
            "invoiced": sum(job.invoiced for job in jobs),
            "calls": len(season.calls),
            "failed_points": sum(call.points for call in season.calls if call.kind != "none"),
            "return_chance": sum(return_chance(truth, job) for job in jobs) / len(jobs),
        }
        sums["hidden_difficulty_log_sd"] = pstdev(math.log(job.house.hidden) for job in jobs)
        parts.append(_block(f"realized.{year}.sums", sums))
        parts.append(_block(f"realized.{year}.return_chance_by_terms_and_tenure", _return_chances(truth, season)))
        steep = {crew: fmean(j.house.steepness for j in jobs if j.crew == crew) for crew in workmanship}
        parts.append(_block(f"realized.{year}.mean_steepness_by_crew", steep))
        parts.append(_block(f"realized.{year}.hours_by_task", dict(sorted(hours.items()))))
        parts.append(_block(f"realized.{year}.failed_per_1000_connection_nights", rates))
    return "\n".join(parts)


def _return_chances(truth: Truth, season: Season) -> dict[str, float]:
    """The mean true chance of coming back; seasons on the property from the fifth on together."""
    cells: dict[str, list[float]] = defaultdict(list)
    for job in season.jobs:
        cells[f"{job.house.terms} {min(job.tenure, 5)}"].append(return_chance(truth, job))
    return {cell: fmean(chances) for cell, chances in sorted(cells.items())}


def _is_rejected(row: Record) -> bool:
    return any(slip.expected == "rejected" for slip in row.slips)


def accepted_text(season: Season) -> str:
    """TOML: sums over the rows that a right intake accepts, once mistakes are planted: neither rejected nor held."""
    tables = season.tables
    jobs = {row["job_no"]: row for row in tables["jobs"] if not _is_rejected(row)}

    def kept(table: str) -> list[Record]:
        return [r for r in tables[table] if not _is_rejected(r) and (r["job_no"] is None or r["job_no"] in jobs)]

    hours: dict[str, float] = defaultdict(float)
    for row in kept("hours"):
        hours[row["task"]] += row["hours"]
    sums = {
        "jobs": len(jobs),
        "new_jobs": sum(row["work"] == "new" for row in jobs.values()),
        "open_jobs": sum(row["takedown_date"] is None for row in jobs.values()),
        "invoiced": sum(row["invoiced"] for row in jobs.values()),
        "invoiced_other": sum(row["invoiced_other"] or 0 for row in jobs.values()),
        "feet": sum(row["feet"] for row in kept("runs")),
        "calls": len(kept("service_calls")),
        "received": sum(-row["amount"] if row["kind"] == "refund" else row["amount"] for row in kept("receipts")),
    }
    name = f"realized.{season.season}.accepted"
    return _block(name, sums) + "\n" + _block(f"{name}_hours_by_task", dict(sorted(hours.items())))
