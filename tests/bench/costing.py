"""How long the measures take to build, beside one plain join and group-by over the same tables.

    python3 -m pipeline.setup python -m tests.bench.costing [JOBS ...]

Each season has so many jobs (30,000 without a number), six hours rows and four goods rows a job. The aims: the cost of
30,000 jobs in under 3 s; a million within 3 times the plain query and 4 GB of memory. `cost` builds what a foot cost
and why, with every part, view and control total; `all` builds the connections, loads, crews and returns too, and runs
every check. A season is loaded by one process and built by another, so that the peak is the building's own. What was
found is kept in costing.json, by the number of jobs, with its date, and with the time of this machine's processors
beside the clock's: other work on a machine delays the clock.
"""

from __future__ import annotations

import json
import resource
import shutil
import subprocess
import sys
import tempfile
from collections.abc import Callable
from datetime import date
from pathlib import Path
from time import perf_counter, process_time
from typing import Any

import duckdb

from pipeline import __version__
from pipeline.warehouse import Store, build_models, drop_passing, open_store, run_checks, transaction
from pipeline.warehouse import models as warehouse_models
from pipeline.warehouse.files import SqlFile
from tests.bench import made_store

PLAIN = """
    create or replace temp table plain as
    with pay as (
        select hours.season, hours.branch, hours.job_no, sum(hours.hours * workers.hourly_wage::double) as usd
        from records.hours
        inner join records.workers using (season, worker_no)
        group by all
    ),

    goods as (
        select
            materials.season, materials.branch, materials.job_no,
            sum(materials.quantity * (items.pack_price / items.pack_size)) as usd
        from records.materials
        inner join records.items using (season, item_no)
        group by all
    )

    select jobs.season, jobs.branch, jobs.job_no, jobs.feet, pay.usd as pay_usd, goods.usd as goods_usd
    from records.jobs
    left join pay using (season, branch, job_no)
    left join goods using (season, branch, job_no)
"""
"""Wages and list prices on jobs, in floating point: the least that a cost a job can be."""
COST = (
    "audit.control", "audit.goods_findings", "measures.goods_beyond_built", "measures.goods_outside_jobs",
    "measures.item_use", "measures.job_cost", "measures.job_segments", "measures.leased_schedule",
    "measures.leased_write_downs", "measures.missing_costs", "measures.season_cost", "measures.season_level",
    "measures.segment_cost", "measures.service_cost", "measures.shrinkage", "measures.standard_cost",
    "measures.task_hours", "measures.variances", "measures.worker_years",
)  # fmt: skip
"""What a foot cost: these, and all that they read."""
SLOWEST = 12
KEPT = Path(__file__).with_suffix(".json")


def timed(work: Callable[[], object]) -> tuple[float, float]:
    """Seconds of the clock and of the processors that a piece of work takes."""
    clock, processor = perf_counter(), process_time()
    work()
    return perf_counter() - clock, process_time() - processor


def load(jobs: int, path: Path) -> None:
    """Make a season and load it."""
    records = made_store.season(jobs)
    with open_store(path) as store:
        made_store.load(store, records)


def timed_models(taken: dict[str, float]) -> Callable[[Store, SqlFile], None]:
    """What makes a model, and notes the seconds of the processors that it took."""
    make = warehouse_models.make_model

    def made(store: Store, file: SqlFile) -> None:
        taken[file.name] = round(timed(lambda: make(store, file))[1], 3)

    return made


def copied(path: Path) -> tuple[float, float]:
    """Seconds of the clock and of the processors that it takes to write the hours rows once more as they are: no table
    of what each hour cost is written in less."""
    copy = path.with_suffix(".copy")
    shutil.copy(path, copy)

    def work() -> None:
        with transaction(store):
            store.con.execute("create table facts.copied as select * from records.hours")

    with open_store(copy) as store:
        taken = timed(work)
    copy.unlink()
    return taken


def built(path: Path, wanted: tuple[str, ...] | None, plain: tuple[float, float]) -> dict[str, Any]:
    """Build the wanted models of a copy of a store, or all of them with their checks; say how long it took."""
    taken: dict[str, float] = {}
    make = warehouse_models.make_model
    copy = path.with_suffix(".copy")
    shutil.copy(path, copy)
    names: list[str] = []

    def work() -> None:
        with transaction(store):
            names.extend(build_models(store, wanted))
            if wanted is None:
                taken["all checks"] = round(timed(lambda: run_checks(store, made_store.START.year))[1], 3)
            drop_passing(store)

    with open_store(copy) as store:
        warehouse_models.make_model = timed_models(taken)
        try:
            whole = timed(work)
        finally:
            warehouse_models.make_model = make
    copy.unlink()
    slowest = sorted(taken, key=lambda name: -taken[name])[:SLOWEST]
    return {
        "models": len(names),
        "seconds": round(whole[0], 2),
        "processor_seconds": round(whole[1], 2),
        "times_the_plain_query": round(whole[0] / plain[0], 1),
        "times_its_processor_seconds": round(whole[1] / plain[1], 1),
        "slowest_models_processor_seconds": {name: taken[name] for name in slowest},
    }


def build(path: Path) -> dict[str, Any]:
    """Build what a foot cost, then everything, of one store; say what took how long and how much memory it took."""
    with open_store(path, read_only=True) as store:
        plain = min(timed(lambda: store.con.execute(PLAIN)) for _ in range(3))
        rows = {
            name: store.con.execute(f"select count(*) from records.{name}").fetchall()[0][0]
            for name in ("jobs", "hours", "materials")
        }
    copy = copied(path)
    found = {name: built(path, wanted, plain) for name, wanted in (("cost", COST), ("all", None))}
    return {
        "date": date.today().isoformat(),
        "perfoot": __version__,
        "duckdb": duckdb.__version__,
        "rows": rows,
        "plain_seconds": round(plain[0], 2),
        "plain_processor_seconds": round(plain[1], 2),
        "copy_of_hours_seconds": round(copy[0], 2),
        "copy_of_hours_processor_seconds": round(copy[1], 2),
        **found,
        "peak_memory_gb": round(resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024**2, 2),
    }


def main(jobs: int) -> None:
    """Load a season of so many jobs, build it, print what was found and keep it."""
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder, "store.duckdb")
        subprocess.run([sys.executable, "-m", "tests.bench.costing", "load", str(jobs), str(path)], check=True)
        found = build(path)
    kept = json.loads(KEPT.read_text(encoding="utf-8")) if KEPT.exists() else {}
    kept[f"{jobs:,} jobs"] = found
    KEPT.write_text(json.dumps(kept, indent=2) + "\n", encoding="utf-8")
    print(json.dumps(found, indent=2), flush=True)


if __name__ == "__main__":
    if sys.argv[1:2] == ["load"]:
        load(int(sys.argv[2]), Path(sys.argv[3]))
    else:
        for number in sys.argv[1:] or ["30000"]:
            main(int(number))
