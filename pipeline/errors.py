"""Every error that a person can meet, with the exit code it ends in.

Each message is one sentence or two: what is wrong, where, and how to put it right.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any


class PerfootError(Exception):
    """The base of all errors that are meant for the person at the keyboard.

    `sheets` and `findings` are the rows of audit.intake and audit.findings, where a season was read and then refused.
    """

    exit_code = 1
    sheets: Sequence[Mapping[str, Any]] = ()
    findings: Sequence[Mapping[str, Any]] = ()


class UsageError(PerfootError):
    """The command or a setting is wrong: nothing was read."""

    exit_code = 2


class TooMuchRejected(PerfootError):
    """More rows were rejected than `reject_limit` allows: nothing is loaded."""

    exit_code = 3


class StoreUnavailable(PerfootError):
    """The store is in use by another program or cannot be opened."""

    exit_code = 4


class ControlDifference(PerfootError):
    """A control total does not agree: the season is not loaded."""

    exit_code = 5
