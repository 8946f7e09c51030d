"""The same stages as a Prefect flow: its runs and artifacts are the firm's history.

Import this module only after Prefect's settings are in the environment (see server.private_environment).
Tasks share the season in hand through the flow's closure: Prefect never copies, hashes or stores a frame.
"""

from __future__ import annotations

import time
from collections.abc import Callable

import httpx
from prefect import flow, task
from prefect.artifacts import create_link_artifact, create_table_artifact
from prefect.cache_policies import NO_CACHE
from prefect.exceptions import PrefectException

from pipeline.errors import PerfootError
from pipeline.flows.close import STAGES, Closed, Say, report_refusal
from pipeline.flows.server import ServerFailed
from pipeline.flows.stages import SeasonInHand, Stage, StageResult, abandon

ARTIFACT_ROWS = 200
"""Rows of a table kept in an artifact; the store holds them all."""


def _as_task(name: str, stage: Stage, hand: SeasonInHand) -> Callable[[], StageResult]:
    @task(name=name, cache_policy=NO_CACHE, persist_result=False)
    def run_stage() -> StageResult:
        result = stage(hand)
        if result.table:
            create_table_artifact(
                table=result.table[:ARTIFACT_ROWS],
                key=f"{name.replace(' ', '-')}-{hand.season}",
                description=result.sentence,
            )
        return result

    return run_stage


def _link_reports(hand: SeasonInHand) -> None:
    for name, path in hand.written.items():
        create_link_artifact(
            link=path.resolve().as_uri(), key=f"report-{name}-{hand.season}", description=f"{name}, {hand.season}"
        )


def close_as_flow(hand: SeasonInHand, say: Say) -> Closed:
    """Close a season as the flow `close_season`.

    Raises PerfootError, or ServerFailed where the server went away; the store is then as before.
    """
    said: dict[str, str] = {}

    @flow(name="close_season", validate_parameters=False, persist_result=False)
    def close_season(folder: str, season: int | None) -> None:
        try:
            for name, stage in STAGES:
                since = time.monotonic()
                said[name] = _as_task(name, stage, hand)().sentence
                say(name, said[name], time.monotonic() - since)
            _link_reports(hand)
        except BaseException as error:
            abandon(hand, error)
            raise

    try:
        close_season(hand.request.folder.name, hand.request.season)
    except PerfootError as error:
        report_refusal(hand, error)
        raise
    except (httpx.HTTPError, PrefectException) as error:
        raise ServerFailed(f"it went away in the middle ({type(error).__name__})") from error
    return Closed(hand.season, said, hand)
