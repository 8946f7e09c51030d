"""What is shown while the work goes on, and the log beside it.

Progress goes to standard error, results to standard output.
"""

from __future__ import annotations

import json
import logging
import os
import shutil
import sys
from collections.abc import Iterable
from pathlib import Path

from pipeline.errors import UsageError

LOG_NAME = "perfoot.log"
WIDEST = 120
"""Columns beyond which lines of prose are hard to read."""
SCREEN = (80, 24)
"""Columns and lines of a terminal that does not say its size."""


class Screen:
    """The terminal of a run. With `as_json` one object is printed and nothing else, with `quiet` errors alone."""

    def __init__(self, *, as_json: bool, quiet: bool) -> None:
        self.as_json = as_json
        self.quiet = quiet
        self.log = logging.getLogger("perfoot")
        size = shutil.get_terminal_size(SCREEN)
        self.columns, self.height = size.columns, size.lines
        self.width = min(size.columns, WIDEST)

    def say(self, stage: str, sentence: str, seconds: float) -> None:
        """Tell of a stage that has ended."""
        self.log.info("%s: %s (%.2f s)", stage, sentence, seconds)
        if not (self.quiet or self.as_json):
            print(self.stage(stage, sentence), file=sys.stderr, flush=True)

    @staticmethod
    def stage(stage: str, sentence: str) -> str:
        """The line of a stage."""
        return f"  {stage:<30} {sentence}"

    def lines_left(self, text: str) -> int:
        """Lines that a screen has left beside a text and the line that is typed next."""
        taken = sum(max(1, -(-len(line) // self.columns)) for line in text.splitlines())
        return self.height - taken - 1

    def notice(self, sentence: str) -> None:
        """Tell of something unexpected that does not stop the work."""
        self.log.warning("%s", sentence)
        if not self.as_json:
            print(sentence, file=sys.stderr, flush=True)

    def show(self, text: str) -> None:
        """Show a result."""
        if not (self.quiet or self.as_json):
            print(text, flush=True)

    def show_json(self, value: object) -> None:
        """Print the one object of a run with --json."""
        if self.as_json:
            print(json.dumps(value, indent=2, default=str), flush=True)

    def fail(self, sentence: str, details: Iterable[str] = ()) -> None:
        """Tell why the work ended, with what there is to mend."""
        self.log.error("%s", sentence)
        print(sentence, file=sys.stderr)
        if not (self.quiet or self.as_json):
            for line in details:
                print(line, file=sys.stderr)


def leave_closed_pipe() -> None:
    """Stop writing where nobody reads any more, such as behind `| head`."""
    os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())


def start_log(out: Path) -> Path:
    """Write the log into a folder. Raises UsageError where that cannot be."""
    try:
        out.mkdir(parents=True, exist_ok=True)
        handler = logging.FileHandler(out / LOG_NAME, encoding="utf-8", errors="backslashreplace")
    except OSError as error:
        raise UsageError(f"cannot write into {out}: {error.strerror}; name another folder with --out.") from None
    handler.setFormatter(logging.Formatter("%(asctime)s %(levelname)s %(name)s %(message)s"))
    _log_to(handler)
    return out / LOG_NAME


def keep_no_log() -> None:
    """Write no log: the command has no folder of its own in which one could stand."""
    _log_to(logging.NullHandler())


def _log_to(handler: logging.Handler) -> None:
    end_log()
    logger = logging.getLogger("perfoot")
    logger.handlers = [handler]
    logger.setLevel(logging.INFO)
    logger.propagate = False


def end_log() -> None:
    """Close the log."""
    logger = logging.getLogger("perfoot")
    for handler in logger.handlers:
        handler.close()
    logger.handlers = []
