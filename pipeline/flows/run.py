"""Run closes one after another: as Prefect flows with a server of the command's own, else directly."""

from __future__ import annotations

import logging
import os
from collections.abc import Callable, Iterator
from contextlib import ExitStack
from pathlib import Path

from pipeline.flows.close import Closed, Say, close_directly
from pipeline.flows.server import PrivateServer, ServerFailed, answers, configured_server, private_environment
from pipeline.flows.stages import Request, SeasonInHand, check

Notice = Callable[[str], None]
"""Told in one sentence of something unexpected that does not stop the work."""

HOME = Path(".perfoot") / "prefect"
"""Prefect's private home, beside the reports: the history of the firm's runs."""


def close_seasons(requests: list[Request], say: Say, notice: Notice, *, direct: bool) -> Iterator[Closed]:
    """Close each request in turn. Both ways run the same stages and give the same figures."""
    if direct:
        yield from (close_directly(SeasonInHand(request), say) for request in requests)
        return
    yield from _close_with_server(requests, say, notice)


def _close_with_server(requests: list[Request], say: Say, notice: Notice) -> Iterator[Closed]:
    hands = [SeasonInHand(request) for request in requests]
    with ExitStack() as ending:
        try:
            close_as_flow = _prepare(hands, ending)
        except (ServerFailed, ImportError, OSError) as error:
            notice(f"Prefect could not start ({error}); the same stages run without it.")
            yield from (close_directly(hand, say) for hand in hands)
            return
        for hand in hands:
            try:
                yield close_as_flow(hand, say)
            except ServerFailed as error:
                notice(f"Prefect's server failed ({error}); the same stages run without it.")
                yield close_directly(SeasonInHand(hand.request, reading=hand.reading), say)


def _prepare(hands: list[SeasonInHand], ending: ExitStack) -> Callable[[SeasonInHand, Say], Closed]:
    """A server that answers and the flow to run on it.

    The reading, the checks and the imports go on while the server comes up: it is what takes longest.
    """
    server = None
    configured = configured_server(os.environ)
    if configured is not None and not answers(configured):
        raise ServerFailed(f"no server answers at {configured}")
    if configured is None:
        home = (hands[0].request.out / HOME).resolve()
        server = ending.enter_context(PrivateServer(home, home / "server.log"))
        os.environ.update(private_environment(home), PREFECT_API_URL=server.api_url)
    for hand in hands:
        check(hand)
    from pipeline.flows.prefect_close import close_as_flow

    _log_to_file_alone()
    if server is not None:
        server.wait()
    return close_as_flow


def _log_to_file_alone() -> None:
    """Prefect's loggers print tracebacks of errors that we put in a sentence: they go to our log file."""
    ours = logging.getLogger("perfoot").handlers
    names = [name for name in logging.root.manager.loggerDict if name.split(".")[0] in ("prefect", "uvicorn")]
    for name in names:
        logger = logging.getLogger(name)
        logger.handlers = list(ours) if name == "prefect" else []
        logger.propagate = name != "prefect"
