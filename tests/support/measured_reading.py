"""A program that reads and checks folders named on its standard input, and says what came of it and what it took.

For each folder a line of JSON: what is said of the files besides those of the season, a digest of all that was found
in the season's own, and the most memory that this process and its children held together, MB.
"""

from __future__ import annotations

import hashlib
import json
import sys
import threading
import time
from pathlib import Path

import polars as pl

from pipeline.errors import PerfootError
from pipeline.validation import check_folder
from pipeline.workbook import read_folder

SAMPLED_SECONDS = 0.005


def memory_mb(pid: str) -> float:
    """What a process holds now."""
    try:
        pages = int(Path(f"/proc/{pid}/statm").read_text(encoding="utf-8").split()[1])
    except (OSError, IndexError):
        return 0
    return pages * 4096 / 1e6


def held_mb() -> float:
    """What this process and its children hold now."""
    children = Path("/proc/self/task").glob("*/children")
    pids = [pid for listed in children for pid in listed.read_text(encoding="utf-8").split()]
    return memory_mb("self") + sum(map(memory_mb, pids))


class Watch:
    """Looks again and again at what is held, and keeps the most."""

    def __init__(self) -> None:
        self.most, self.is_on = 0.0, True
        self._thread = threading.Thread(target=self._look)

    def _look(self) -> None:
        while self.is_on:
            self.most = max(self.most, held_mb())
            time.sleep(SAMPLED_SECONDS)

    def __enter__(self) -> Watch:
        self._thread.start()
        return self

    def __exit__(self, *_: object) -> None:
        self.is_on = False
        self._thread.join()


def own_digest(frames: list[pl.DataFrame], own: set[str]) -> str:
    """A digest of the rows that stem from the season's own files."""
    rows = [frame.filter(pl.col("source_file").is_in(list(own))).rows() for frame in frames]
    return hashlib.sha256(repr(rows).encode()).hexdigest()


def told(folder: Path, own: set[str]) -> dict[str, object]:
    """What reading and checking a folder gives."""
    reading = read_folder(folder)
    checked = check_folder(reading)
    frames = [checked.findings, checked.intake, *checked.records.values(), *checked.refused.values()]
    return {
        "digest": own_digest(frames, own),
        "problems": {file.path: file.problem for file in reading.files if file.path not in own and file.problem},
        "own": {file.path: file.problem for file in reading.files if file.path in own},
        "rows": [row for row in checked.intake.rows(named=True) if row["source_file"] not in own],
    }


def main() -> None:
    """A request is a folder and the names of the season's own files, as JSON."""
    for line in sys.stdin:
        folder, own = json.loads(line)
        started = time.monotonic()
        with Watch() as watch:
            try:
                answer = told(Path(folder), set(own))
            except PerfootError as error:
                answer = {"said": str(error)}
        answer |= {"peak_mb": round(watch.most), "seconds": round(time.monotonic() - started, 2)}
        print(json.dumps(answer, default=str), flush=True)


if __name__ == "__main__":
    main()
