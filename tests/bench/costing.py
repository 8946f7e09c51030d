"""How long the measures take to build, beside one plain join and group-by over the same tables.

    python3 -m pipeline.setup python -m tests.bench.costing [JOBS] [memory|FOLDER]

The season has JOBS jobs (30,000 without one), six hours rows and four goods rows a job. The aims: 30,000 jobs in under
3 s; a million within 3 times the plain query and 4 GB of memory. The models that take longest are named.
"""

from __future__ import annotations

import resource
import sys
import tempfile
from collections.abc import Callable
from pathlib import Path
from time import perf_counter

from pipeline.warehouse import Store, build_models, open_store, run_checks, transaction
from pipeline.warehouse.models import build_order, make_model
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
SLOWEST = 12


def seconds_of_models(store: Store) -> dict[str, float]:
    """How long each model takes."""
    taken = {}
    for file in build_order(store):
        start = perf_counter()
        make_model(store, file)
        taken[file.name] = perf_counter() - start
    return taken


def timed(work: Callable[[], object], name: str) -> float:
    """Print and return how long a piece of work takes."""
    start = perf_counter()
    work()
    taken = perf_counter() - start
    print(f"{name}: {taken:.2f} s", flush=True)
    return taken


def main(jobs: int, place: str) -> None:
    """Make a season, load it, build everything, say what took how long and how much memory it took."""
    with tempfile.TemporaryDirectory() as folder:
        path = ":memory:" if place == "memory" else str(Path(place or folder, "store.duckdb"))
        records = made_store.season(jobs)
        with open_store(path) as store:
            timed(lambda: made_store.load(store, records), f"{jobs:,} jobs loaded")
            records.clear()
            before = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
            plain = min(timed(lambda: store.con.execute(PLAIN), "plain join and group-by") for _ in range(3))
            with transaction(store):
                built = timed(lambda: build_models(store), "all models")
            timed(lambda: run_checks(store, made_store.START.year), "all checks")
            peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
            print(f"models: {built / plain:.1f} times the plain query; peak memory {peak / 1024**2:.2f} GB "
                  f"(after loading {before / 1024**2:.2f})")  # fmt: skip
            taken = seconds_of_models(store)
            for name in sorted(taken, key=lambda name: -taken[name])[:SLOWEST]:
                print(f"    {name}: {taken[name]:.2f} s")


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 30_000, sys.argv[2] if len(sys.argv) > 2 else "")
