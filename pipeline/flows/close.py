"""Closing a season: the stages in order, run directly or as a Prefect flow."""

from __future__ import annotations

import time
from collections.abc import Callable
from dataclasses import asdict, dataclass
from pathlib import Path

from pipeline.errors import PerfootError
from pipeline.flows.loads import loads_on_feeds
from pipeline.flows.measures import (
    cost_function,
    cost_per_foot,
    crew_hours_per_foot,
    failure_points_per_connection,
    price,
    reorder_quantities,
)
from pipeline.flows.rejects import write_rejects_workbook
from pipeline.flows.reports import reports, season_folder, write_documents
from pipeline.flows.seasons import season_before
from pipeline.flows.stages import Request, SeasonInHand, Stage, StageResult, intake, load, run_stages

STAGES: tuple[tuple[str, Stage], ...] = (
    ("intake", intake),
    ("load", load),
    ("cost per foot", cost_per_foot),
    ("cost function", cost_function),
    ("crew hours per foot", crew_hours_per_foot),
    ("failure points per connection", failure_points_per_connection),
    ("loads on feeds", loads_on_feeds),
    ("reorder quantities", reorder_quantities),
    ("price", price),
    ("the season before", season_before),
    ("reports", reports),
)
"""The whole story, top to bottom."""

Say = Callable[[str, str, float], None]
"""Told of each stage as it ends: its name, what it has to say, and its seconds."""


@dataclass(frozen=True)
class Closed:
    """A season that was closed: what was said and which files were written."""

    season: int
    said: dict[str, str]
    hand: SeasonInHand

    @property
    def written(self) -> dict[str, Path]:
        """The files, by name."""
        return self.hand.written


def close_directly(hand: SeasonInHand, say: Say) -> Closed:
    """Run the stages in this process, without Prefect. Raises PerfootError; the store is then as before."""
    said = {}
    since = time.monotonic()
    try:
        for name, result in run_stages(hand, STAGES):
            said[name] = result.sentence
            say(name, result.sentence, time.monotonic() - since)
            since = time.monotonic()
    except PerfootError as error:
        report_refusal(hand, error)
        raise
    return Closed(hand.season, said, hand)


def report_refusal(hand: SeasonInHand, error: PerfootError) -> None:
    """Write the intake report of a season that was refused, and let the error say what was read."""
    write_intake_report(hand)
    if hand.checked is not None:
        error.sheets = hand.checked.intake.to_dicts()
        error.findings = hand.checked.findings.to_dicts()


def write_intake_report(hand: SeasonInHand) -> dict[str, Path]:
    """The intake report and the rejects workbook of what was read and checked, whether or not it was loaded."""
    if hand.checked is None:
        return {}
    import polars as pl

    from pipeline.documents import build_intake_document
    from pipeline.documents.results import Results

    checked = hand.checked
    files = pl.DataFrame([asdict(file) for file in checked.files], infer_schema_length=None)
    results = Results(
        season=checked.season,
        firm=checked.settings.text("firm"),
        level=0,
        tables={
            "audit.intake": checked.intake,
            "audit.findings": checked.findings,
            "audit.files": files,
            "audit.corrections": checked.corrections,
        },
        settings=checked.settings,
        notes={},
    )
    hand.documents = (build_intake_document(results),)
    folder = season_folder(hand.request.out, checked.season)
    hand.written = write_documents(hand.documents, folder) | write_rejects_workbook(hand, folder)
    return hand.written


def check_only(request: Request) -> tuple[SeasonInHand, StageResult]:
    """Read and check a folder and write its intake report; nothing is loaded."""
    hand = SeasonInHand(request)
    try:
        result = intake(hand)
    except PerfootError as error:
        report_refusal(hand, error)
        raise
    write_intake_report(hand)
    return hand, result
