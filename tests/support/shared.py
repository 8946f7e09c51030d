"""What takes long is made once for the processes of a test run, in a folder of the run (tests/conftest.py)."""

from __future__ import annotations

import fcntl
import os
import shutil
import tempfile
from collections.abc import Callable
from pathlib import Path

VARIABLE = "PERFOOT_TESTS_SHARED"
"""Names the folder in the environment."""
_KEPT: list[tempfile.TemporaryDirectory[str]] = []


def _folder() -> Path:
    if VARIABLE in os.environ:
        return Path(os.environ[VARIABLE])
    if not _KEPT:
        # A program that borrows what the tests have, and is no test run.
        _KEPT.append(tempfile.TemporaryDirectory())
    return Path(_KEPT[0].name)


def made_once(name: str, make: Callable[[Path], None]) -> Path:
    """The folder of that name, in which nobody writes: made by the process that asks first, while the others wait."""
    out, done = _folder() / name, _folder() / f"{name}.done"
    with (_folder() / f"{name}.lock").open("w") as lock:
        # Whoever dies gives the lock back, and the next one begins anew.
        fcntl.flock(lock, fcntl.LOCK_EX)
        if not done.exists():
            shutil.rmtree(out, ignore_errors=True)
            make(out)
            done.touch()
    return out
