"""The flow and the direct way run the same stages, and no server outlives its command."""

from __future__ import annotations

import json
import os
import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest
from support.demo import DEMO, closed

from pipeline import cli

JOBS = """Job #,Customer,Crew,Work,Terms,Stories,Invoiced,Installed,Feet
1,C1,Maple,new,sold,1,700,2025-11-10,100
2,C2,Maple,new,sold,2,800,2025-11-11,120
"""
SECONDS = 60
"""How long a server may take to come up or to go away on a busy machine."""


def perfoot(*words: object, **environment: str) -> subprocess.Popen[str]:
    return subprocess.Popen(
        [sys.executable, "-m", "pipeline.cli", *map(str, words)],
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
        env={**os.environ, **environment},
        cwd=DEMO.parent,
    )


def servers_of(home: Path) -> list[int]:
    """Processes whose Prefect home this is."""
    mark = f"PREFECT_HOME={home}".encode()
    found = []
    for entry in Path("/proc").iterdir():
        if entry.name.isdigit() and int(entry.name) != os.getpid():
            try:
                if mark in (entry / "environ").read_bytes().split(b"\0"):
                    found.append(int(entry.name))
            except OSError:
                continue
    return found


def wait_for(condition: object, what: str) -> None:
    deadline = time.monotonic() + SECONDS
    while time.monotonic() < deadline:
        if condition():  # type: ignore[operator]
            return
        time.sleep(0.1)
    pytest.fail(f"{what} within {SECONDS} s")


@pytest.fixture(scope="module")
def flowed(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Season 2023 closed as a flow."""
    out = tmp_path_factory.mktemp("flow")
    done = perfoot("close", DEMO / "2023", "--json", "--out", out)
    printed, errors = done.communicate(timeout=240)
    assert done.returncode == 0, errors
    assert errors == ""
    assert json.loads(printed)["outcome"] == "closed"
    return out


def test_both_ways_give_the_same_figures(flowed: Path) -> None:
    figures = "reports/2023/figures.json"
    assert (flowed / figures).read_bytes() == (closed() / figures).read_bytes()


def test_the_flow_leaves_its_runs_and_artifacts_in_its_home(flowed: Path) -> None:
    import sqlite3

    con = sqlite3.connect(flowed / ".perfoot/prefect/prefect.db")
    try:
        states = con.execute("select name, state_name from flow_run join (select id as f, name as flow from flow) "
                             "on f = flow_id where flow = 'close_season'").fetchall()  # fmt: skip
        tasks = {row[0] for row in con.execute("select state_name from task_run")}
        artifacts = {key: (kind, data) for key, kind, data in con.execute("select key, type, data from artifact")}
    finally:
        con.close()
    assert [state for _, state in states] == ["Completed"]
    assert tasks == {"Completed"}
    for measure in ("cost-per-foot", "crew-hours-per-foot", "failure-points-per-connection", "reorder-quantities"):
        assert artifacts[f"{measure}-2023"][0] == "table"
    assert "reports/2023/owner.html" in artifacts["report-owner-2023"][1]


def test_no_server_is_left_after_the_flow(flowed: Path) -> None:
    assert servers_of(flowed / ".perfoot/prefect") == []


@pytest.mark.parametrize("sign", [signal.SIGTERM, signal.SIGKILL])
def test_a_command_that_is_killed_leaves_no_server(sign: signal.Signals, tmp_path: Path) -> None:
    command = perfoot("close", DEMO / "2023", "--out", tmp_path)
    home = (tmp_path / ".perfoot/prefect").resolve()
    wait_for(lambda: servers_of(home), "the server started")
    command.send_signal(sign)
    command.communicate(timeout=SECONDS)
    assert command.returncode != 0
    wait_for(lambda: not servers_of(home), "the server went away")


@pytest.fixture(scope="module")
def small(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A folder with a season of two jobs."""
    folder = tmp_path_factory.mktemp("small") / "records"
    folder.mkdir()
    (folder / "jobs.csv").write_text(JOBS, encoding="utf-8")
    return folder


def test_where_prefect_cannot_start_the_same_stages_run_and_say_so(small: Path, tmp_path: Path) -> None:
    (tmp_path / ".perfoot").write_text("a file where the home should be", encoding="utf-8")
    done = perfoot("close", small, "--quiet", "--out", tmp_path)
    _, errors = done.communicate(timeout=120)
    assert done.returncode == 0
    assert errors.count("\n") == 1
    assert "Prefect could not start" in errors
    direct = tmp_path / "direct"
    assert cli.main(["close", str(small), "--direct", "--quiet", "--out", str(direct)]) == 0
    figures = "reports/2025/figures.json"
    assert (tmp_path / figures).read_bytes() == (direct / figures).read_bytes()


def test_a_server_of_the_user_s_own_that_does_not_answer_is_done_without(small: Path, tmp_path: Path) -> None:
    done = perfoot("close", small, "--quiet", "--out", tmp_path, PREFECT_API_URL="http://127.0.0.1:9/api")
    _, errors = done.communicate(timeout=120)
    assert done.returncode == 0
    assert "Prefect" in errors
    assert (tmp_path / "reports/2025/owner.html").is_file()
