"""The store when things go wrong: killed in the middle of a load, held by another program, closed twice."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
import time
from pathlib import Path

import polars as pl
import pytest
from support.tables import Season, load

from pipeline.errors import StoreUnavailable
from pipeline.warehouse import Run, build_models, open_store, record_outcome, run_checks, transaction

ROOT = Path(__file__).resolve().parents[2]
PATIENCE_S = 60

LOADS_AND_WAITS = """
import sys, time
from pathlib import Path
from pipeline.warehouse import build_models, open_store, transaction
from support.tables import Season, load
with open_store(Path(sys.argv[1])) as store, transaction(store):
    load(store, Season(jobs="| job_no | feet |" + "".join(f"\\n| {n} | 100 |" for n in range(500))))
    if sys.argv[2] == "built":
        build_models(store)
    print("ready", flush=True)
    time.sleep(600)
"""


def started(path: Path, after: str) -> subprocess.Popen[str]:
    """A program that is in the middle of closing a season."""
    paths = os.pathsep.join([str(ROOT), str(ROOT / "tests")])
    program = subprocess.Popen(
        [sys.executable, "-c", LOADS_AND_WAITS, str(path), after],
        stdout=subprocess.PIPE,
        text=True,
        env={**os.environ, "PYTHONPATH": paths},
    )
    assert program.stdout is not None
    assert program.stdout.readline().strip() == "ready"
    return program


def ended(program: subprocess.Popen[str]) -> None:
    program.send_signal(signal.SIGKILL)
    program.wait(PATIENCE_S)
    assert program.stdout is not None
    program.stdout.close()


def close_three_jobs(path: Path, run: Run | None = None) -> None:
    season = Season(
        jobs="| job_no | feet | invoiced |\n| 1 | 100 | 700 |\n| 2 | 50 | 400 |\n| 3 | 75.5 | 500 |",
        hours="| job_no | hours |\n| 1 | 5 |\n| 2 | 3 |\n| 3 | 4.25 |",
        workers="| worker_no | hourly_wage |\n| W1 | 21.50 |",
        settings={"owner_wage": "35"},
    )
    run = run or Run("2025-a", "2026-03-01T08:00:00+00:00", "0.1", "season 2025")
    with open_store(path) as store, transaction(store):
        load(store, season, run)
        build_models(store)
        run_checks(store, 2025)
        record_outcome(store, run, season=2025, files=(), outcome="closed")


def contents(path: Path) -> dict[str, pl.DataFrame]:
    with open_store(path, read_only=True) as store:
        names = store.con.execute(
            "select schema_name || '.' || table_name from duckdb_tables() order by all"
        ).fetchall()
        return {name: store.read(name) for (name,) in names}


def assert_same(left: dict[str, pl.DataFrame], right: dict[str, pl.DataFrame]) -> None:
    assert list(left) == list(right)
    for name in left:
        assert left[name].equals(right[name]), name


@pytest.mark.parametrize("after", ["loaded", "built"])
def test_killed_in_the_middle_of_a_load_the_store_opens_with_the_old_season_whole(tmp_path: Path, after: str) -> None:
    path = tmp_path / "season.duckdb"
    close_three_jobs(path)
    before = contents(path)
    ended(started(path, after))
    assert_same(contents(path), before)
    close_three_jobs(path)
    assert_same(contents(path), before)


def test_a_store_in_use_names_the_program_that_holds_it_and_what_to_do(tmp_path: Path) -> None:
    path = tmp_path / "season.duckdb"
    program = started(path, "loaded")
    try:
        since = time.monotonic()
        with pytest.raises(StoreUnavailable) as caught, open_store(path):
            pass
        assert time.monotonic() - since < 5
        assert f"PID {program.pid}" in str(caught.value)
        assert "Close that program, or wait" in str(caught.value)
        assert caught.value.exit_code == 4
    finally:
        ended(program)


def test_the_same_season_closed_twice_gives_the_same_content(tmp_path: Path) -> None:
    path = tmp_path / "season.duckdb"
    close_three_jobs(path)
    before = contents(path)
    close_three_jobs(path)
    assert_same(contents(path), before)


def test_a_run_that_starts_later_changes_nothing_but_when_it_started(tmp_path: Path) -> None:
    path = tmp_path / "season.duckdb"
    close_three_jobs(path)
    before = contents(path)
    close_three_jobs(path, Run("2025-a", "2026-04-01T08:00:00+00:00", "0.1", "season 2025"))
    after = contents(path)
    assert after.pop("audit.runs").drop("started").equals(before.pop("audit.runs").drop("started"))
    assert_same(after, before)
