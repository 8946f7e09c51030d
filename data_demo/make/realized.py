"""What came true in each season, for tests to compare with: before any mistake was planted."""

from __future__ import annotations

from collections import defaultdict

from data_demo.make.demand import return_chance
from data_demo.make.houses import KINDS
from data_demo.make.records import Season
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
        parts.append(_block(f"realized.{year}.sums", sums))
        parts.append(_block(f"realized.{year}.hours_by_task", dict(sorted(hours.items()))))
        parts.append(_block(f"realized.{year}.failed_per_1000_connection_nights", rates))
    return "\n".join(parts)
