"""Start, await and surely end the Prefect server that a command keeps for itself."""

from __future__ import annotations

import os
import socket
import subprocess
import sys
import time
import urllib.error
import urllib.request
from collections.abc import Mapping
from pathlib import Path
from types import TracebackType

STARTUP_SECONDS = 120
"""How long a server may take to answer; a fresh home on a busy small machine needs 15 s."""

STOP_SECONDS = 5
"""How long a server may take to end when asked before it is killed."""


class ServerFailed(Exception):
    """The server did not answer; the message says why."""


def private_environment(home: Path) -> dict[str, str]:
    """Prefect's settings for a private home at `home`: no analytics, no outside connection, quiet."""
    return {
        "PREFECT_HOME": str(home),
        "PREFECT_SERVER_ANALYTICS_ENABLED": "false",
        "DO_NOT_TRACK": "1",
        "PREFECT_LOGGING_LEVEL": "WARNING",
        "PREFECT_LOGGING_TO_API_ENABLED": "false",
        "PREFECT_SERVER_EPHEMERAL_STARTUP_TIMEOUT_SECONDS": str(STARTUP_SECONDS),
        "PREFECT_UI_ENABLED": "0",
        "PREFECT__SERVER_FINAL": "1",
    }


def configured_server(environ: Mapping[str, str]) -> str | None:
    """The address of a server that the user has set up; it wins over one of our own."""
    return environ.get("PREFECT_API_URL") or None


def answers(api_url: str) -> bool:
    """Whether a server answers at this address; proxies are for other hosts than one's own."""
    opener = urllib.request.build_opener(urllib.request.ProxyHandler({}))
    try:
        with opener.open(f"{api_url.rstrip('/')}/health", timeout=2):
            return True
    except (urllib.error.URLError, OSError, ValueError):
        return False


def _free_port() -> int:
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        return int(probe.getsockname()[1])


class PrivateServer:
    """A server on 127.0.0.1 that lives no longer than this process.

    Started at once on construction, so that it comes up beside the imports and the reading; `wait` returns
    when it answers. Use as a context manager: leaving ends the server.
    """

    def __init__(self, home: Path, log: Path) -> None:
        home.mkdir(parents=True, exist_ok=True)
        log.parent.mkdir(parents=True, exist_ok=True)
        self.log = log
        self.port = _free_port()
        with log.open("ab") as out:
            self.process = subprocess.Popen(
                [sys.executable, "-m", "pipeline.flows.server_process", str(self.port)],
                stdin=subprocess.PIPE,
                stdout=out,
                stderr=out,
                env={**os.environ, **private_environment(home)},
                start_new_session=True,
            )

    @property
    def api_url(self) -> str:
        """Where the server's interface answers."""
        return f"http://127.0.0.1:{self.port}/api"

    def wait(self, seconds: float = STARTUP_SECONDS) -> None:
        """Return when the server answers; raise ServerFailed where it ends or stays silent."""
        deadline = time.monotonic() + seconds
        while time.monotonic() < deadline:
            if self.process.poll() is not None:
                raise ServerFailed(f"it ended with code {self.process.returncode}; see {self.log}")
            if answers(self.api_url):
                return
            time.sleep(0.05)
        raise ServerFailed(f"it did not answer within {seconds:.0f} s; see {self.log}")

    def stop(self) -> None:
        """End the server; safe to call twice."""
        if self.process.stdin:
            self.process.stdin.close()
        if self.process.poll() is None:
            try:
                self.process.wait(STOP_SECONDS)
            except subprocess.TimeoutExpired:
                self.process.kill()
                self.process.wait()

    def __enter__(self) -> PrivateServer:
        return self

    def __exit__(self, kind: type[BaseException] | None, error: BaseException | None, at: TracebackType | None) -> None:
        self.stop()
