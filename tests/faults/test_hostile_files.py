"""Whatever lies in the folder: one sentence, the rest read as if it were not there, less than 1 GB, and no end."""

from __future__ import annotations

import json
import os
import re
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from support.small_season import small_season
from support.traps import TRAPS, Trap
from support.twelve_ways import one_csv_a_table, one_workbook

ROOT = Path(__file__).resolve().parents[2]
MOST_MB = 1000
PROGRAM = ROOT / "tests" / "support" / "measured_reading.py"


class Reader:
    """One process that reads every folder of these tests: what ends it ends them all."""

    def __init__(self) -> None:
        paths = os.pathsep.join([str(ROOT), str(ROOT / "tests")])
        self.process = subprocess.Popen(
            [sys.executable, "-W", "error", "-P", str(PROGRAM)], stdin=subprocess.PIPE, stdout=subprocess.PIPE,
            text=True, env={**os.environ, "PYTHONPATH": paths},
        )  # fmt: skip

    def told(self, folder: Path, own: list[str]) -> dict[str, Any]:
        assert self.process.stdin is not None
        assert self.process.stdout is not None
        self.process.stdin.write(json.dumps([str(folder), own]) + "\n")
        self.process.stdin.flush()
        answer: dict[str, Any] = json.loads(self.process.stdout.readline())
        return answer

    def end(self) -> None:
        self.process.communicate()


@pytest.fixture(scope="module")
def reader() -> Iterator[Reader]:
    process = Reader()
    yield process
    process.end()


@pytest.fixture(scope="module")
def season(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A sound season, half in a workbook and half in CSV."""
    folder = tmp_path_factory.mktemp("season")
    tables = small_season()
    half = len(tables) // 2
    one_workbook(dict(list(tables.items())[:half]), folder)
    one_csv_a_table(dict(list(tables.items())[half:]), folder)
    return folder


@pytest.fixture(scope="module")
def alone(reader: Reader, season: Path) -> dict[str, Any]:
    """What is found in the season by itself."""
    return reader.told(season, sorted(path.name for path in season.iterdir()))


@pytest.fixture
def folder(season: Path, tmp_path: Path) -> Path:
    """The season in a folder into which something else is put."""
    for path in season.iterdir():
        (tmp_path / path.name).write_bytes(path.read_bytes())
    return tmp_path


@pytest.mark.parametrize("trap", TRAPS, ids=lambda trap: trap.kind)
def test_a_file_that_means_harm_gets_one_sentence_and_harms_nothing(
    trap: Trap, reader: Reader, folder: Path, alone: dict[str, Any]
) -> None:
    own = sorted(path.name for path in folder.iterdir())
    trap.make(folder)
    told = reader.told(folder, own)
    print(f"{trap.kind}: {told.get('peak_mb')} MB, {told.get('seconds')} s, {told.get('problems')}")
    assert (told["digest"], told["own"]) == (alone["digest"], alone["own"])
    assert told["peak_mb"] < MOST_MB
    if trap.says is None:
        assert told["problems"] == {}
    else:
        (problem,) = told["problems"].values()
        assert re.search(trap.says, problem)
        assert len(problem) < 400
