"""The demo, closed once for all tests that look at it, and its planted mistakes."""

from __future__ import annotations

import csv
import tomllib
from functools import cache
from pathlib import Path
from typing import Any

from support.shared import made_once

from pipeline import cli
from pipeline.validation import Checked, check_folder
from pipeline.workbook import read_folder

ROOT = Path(__file__).resolve().parents[2]
DEMO = ROOT / "data_demo"
SEASONS = (2023, 2024, 2025)


@cache
def checked(season: int) -> Checked:
    """A season of the demo, read and checked."""
    return check_folder(read_folder(DEMO / str(season)))


def _close(out: Path) -> None:
    assert cli.main(["demo", "--direct", "--quiet", "--out", str(out)]) == 0


@cache
def closed() -> Path:
    """The demo's three seasons closed without Prefect: the folder with reports and store."""
    return made_once("demo", _close)


@cache
def truth() -> dict[str, Any]:
    """The stated truth and what came true."""
    return tomllib.loads((DEMO / "truth.toml").read_text(encoding="utf-8"))


def mistakes(season: int, expected: str) -> set[tuple[str, str, int]]:
    """File, sheet and row of the planted mistakes of a season that should end so."""
    with (DEMO / "mistakes.csv").open(encoding="utf-8", newline="") as file:
        rows = list(csv.DictReader(file))
    return {
        (row["file"], row["sheet"], int(row["row"]))
        for row in rows
        if int(row["season"]) == season and row["expected"] == expected
    }
