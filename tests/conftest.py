"""How tests run: a failure shows the program's log, since a run elsewhere leaves no more than its output; drawn cases
are the same at each run and may take as long as a busy machine needs.
"""

from __future__ import annotations

import os
import tempfile
import time
from collections.abc import Generator, Iterator
from pathlib import Path

import pytest
from hypothesis import settings
from support.shared import VARIABLE

from pipeline.screen import LOG_NAME

RECENT_SECONDS = 120
"""Logs that were written this long before a failure may belong to it."""
MOST_LINES = 60

settings.register_profile("same at each run", deadline=None, derandomize=True, database=None)
settings.load_profile("same at each run")


def pytest_configure(config: pytest.Config) -> None:
    """A folder that all processes of the run share, made and at the end removed by the one that started them."""
    if hasattr(config, "workerinput"):
        return
    folder = tempfile.TemporaryDirectory()
    os.environ[VARIABLE] = folder.name
    config.add_cleanup(folder.cleanup)


def recent_tracebacks(folder: Path, since: float) -> Iterator[str]:
    """The ends of the logs below a folder that were written since a moment and hold a traceback."""
    for path in sorted(folder.rglob(LOG_NAME)):
        if path.stat().st_mtime >= since and "Traceback" in (text := path.read_text(encoding="utf-8")):
            yield f"{path}:\n" + "\n".join(text.splitlines()[-MOST_LINES:])


@pytest.hookimpl(wrapper=True)
def pytest_runtest_makereport(item: pytest.Item) -> Generator[None, pytest.TestReport, pytest.TestReport]:
    """Add the program's logs to the report of a failure."""
    report = yield
    if report.failed:
        folder = item.config._tmp_path_factory.getbasetemp()  # type: ignore[attr-defined]
        report.sections += [("perfoot's log", text) for text in recent_tracebacks(folder, time.time() - RECENT_SECONDS)]
    return report
