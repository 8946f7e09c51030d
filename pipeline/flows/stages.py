"""The stages of closing a season, plain functions in the order in which they run.

Each takes the season in hand, does one thing and returns what it has to say. From `load` on all of them work
inside one transaction: a season is replaced whole or not at all.
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Callable, Iterator
from contextlib import ExitStack
from dataclasses import dataclass, field
from datetime import UTC, datetime
from pathlib import Path
from typing import TYPE_CHECKING

from pipeline import __version__
from pipeline.errors import TooMuchRejected

if TYPE_CHECKING:
    import polars as pl

    from pipeline.documents.model import Document
    from pipeline.settings import Settings
    from pipeline.validation import Checked
    from pipeline.warehouse import Run, Store
    from pipeline.workbook import FolderReading

SEED = 20_251
"""Seed of every random draw, so that the same records give the same figures."""


@dataclass(frozen=True)
class Request:
    """What a person asked for: which folder, which season and branch, and where the results go."""

    folder: Path
    out: Path
    store: Path
    season: int | None = None
    branch: str | None = None
    strict: bool = False


def demo_folder() -> Path:
    """The demo's spreadsheets: beside the package in a checkout, inside it in an installed copy."""
    package = Path(__file__).resolve().parent.parent
    shipped = package / "_shipped" / "data_demo"
    return shipped if shipped.is_dir() else package.parent / "data_demo"


@dataclass
class SeasonInHand:
    """A season while it is being closed. `close` must be called at the end, whatever happened."""

    request: Request
    reading: FolderReading | None = None
    checked: Checked | None = None
    store: Store | None = None
    run: Run | None = None
    notes: dict[str, list[str]] = field(default_factory=dict)
    documents: tuple[Document, ...] = ()
    written: dict[str, Path] = field(default_factory=dict)
    work: ExitStack = field(default_factory=ExitStack)

    @property
    def season(self) -> int:
        """The season that the records turned out to be of."""
        assert self.checked is not None
        return self.checked.season

    @property
    def open_store(self) -> Store:
        """The store, inside the season's transaction."""
        assert self.store is not None
        return self.store

    def read(self, name: str) -> pl.DataFrame:
        """A table of the store, this season's rows."""
        return self.open_store.read(name, self.season)

    def read_all(self, name: str) -> pl.DataFrame:
        """A table of the store, every season."""
        return self.open_store.read(name)

    def settings_of(self, season: int) -> Settings:
        """The settings that were given with a season of the store."""
        from pipeline.settings import Settings

        rows = self.open_store.read("reference.settings", season)
        given = rows.filter((rows["origin"] == "given") & rows["value"].is_not_null())
        return Settings.from_pairs(given.select("setting", "value").iter_rows())


@dataclass(frozen=True)
class StageResult:
    """What a stage has to say: a sentence, and a table of text for Prefect's history."""

    sentence: str
    table: list[dict[str, str]] = field(default_factory=list)


def rows_as_text(frame: pl.DataFrame, columns: tuple[str, ...]) -> list[dict[str, str]]:
    """Rows as text: an artifact holds neither decimals nor dates."""
    shown = frame.select([name for name in columns if name in frame.columns])
    return [{key: "" if value is None else str(value) for key, value in row.items()} for row in shown.to_dicts()]


def check(hand: SeasonInHand) -> Checked:
    """Read the folder's sheets and check every row; done ahead of the other stages where something else is still
    starting."""
    from pipeline.validation import check_folder
    from pipeline.workbook import read_folder

    hand.reading = hand.reading or read_folder(hand.request.folder)
    hand.checked = check_folder(hand.reading, hand.request.season, hand.request.branch)
    return hand.checked


def intake(hand: SeasonInHand) -> StageResult:
    """Read the folder and check every row; raises TooMuchRejected, or UsageError where a setting that the hours need is
    missing, before anything is loaded."""
    from pipeline.validation import rejected_share, require_jobs
    from pipeline.warehouse import require_wage_bases

    checked = hand.checked or check(hand)
    require_jobs(checked)
    require_wage_bases(checked.records, checked.refused, checked.settings.rows())
    counts = checked.intake.select("rows_read", "accepted", "rejected", "held", "set_aside").sum().row(0)
    total, accepted, rejected, held, aside = counts
    sentence = (
        f"{total:,} rows read = {accepted:,} accepted + {rejected:,} rejected + {held:,} held + {aside:,} set aside"
    )
    _refuse_too_much(checked, rejected, rejected_share(checked), strict=hand.request.strict)
    table = rows_as_text(
        checked.intake,
        ("source_file", "source_sheet", "record_table", "rows_read", "accepted", "rejected", "held", "set_aside"),
    )
    return StageResult(sentence, table)


def _refuse_too_much(checked: Checked, rejected: int, share: float, *, strict: bool) -> None:
    limit = checked.settings.number("reject_limit")
    assert limit is not None
    if strict and rejected:
        raise TooMuchRejected(
            f"{rejected} rows were rejected and --strict allows none: nothing is loaded. "
            "The intake report names each row and how to mend it."
        )
    if share > float(limit):
        raise TooMuchRejected(
            f"{rejected} rows, {share:.1%} of the records, were rejected; the setting reject_limit allows "
            f"{float(limit):.1%}: nothing is loaded. The intake report names each row and how to mend it."
        )


def run_of(hand: SeasonInHand) -> Run:
    """The run's record: its id stands for what was read, by which version, so equal input has an equal id."""
    from pipeline.warehouse import Run

    checked = hand.checked
    assert checked is not None
    content = json.dumps(
        [__version__, checked.season, checked.branches, sorted((f.path, f.sha256) for f in checked.files)]
    )
    digest = hashlib.sha256(content.encode()).hexdigest()[:12]
    started = datetime.now(UTC).isoformat(timespec="seconds")
    return Run(
        run_id=f"{checked.season}-{digest}", started=started, version=__version__, folder=hand.request.folder.name
    )


def load(hand: SeasonInHand) -> StageResult:
    """Open the store, begin the transaction, replace the season and build every model; the totals must agree."""
    from pipeline.warehouse import build_models, load_season, open_store, record_outcome, run_checks, transaction

    checked = hand.checked
    assert checked is not None
    hand.run = run_of(hand)
    hand.store = hand.work.enter_context(open_store(hand.request.store))
    hand.work.enter_context(transaction(hand.store))
    load_season(
        hand.store,
        season=checked.season,
        branches=checked.branches,
        records=checked.records,
        refused=checked.refused,
        findings=checked.findings,
        intake=checked.intake.drop("part"),
        corrections=checked.corrections,
        files=checked.files,
        settings=checked.settings.rows(),
        run=hand.run,
    )
    built = build_models(hand.store)
    run_checks(hand.store, checked.season)
    record_outcome(hand.store, hand.run, season=checked.season, files=checked.files, outcome="closed")
    control = hand.read("audit.control")
    table = rows_as_text(
        control,
        ("branch", "part", "read_usd", "on_jobs_usd", "spread_usd", "outside_usd", "refused_usd", "difference_usd"),
    )
    return StageResult(f"season {checked.season} loaded, {len(built)} models built, control totals agree", table)


def commit(hand: SeasonInHand) -> None:
    """End the season's transaction: from here on the store holds the new season."""
    from pipeline.warehouse import drop_passing

    drop_passing(hand.open_store)
    hand.work.close()
    hand.store = None


def abandon(hand: SeasonInHand, error: BaseException) -> None:
    """Roll the season's transaction back and close the store."""
    hand.work.__exit__(type(error), error, error.__traceback__)
    hand.store = None


Stage = Callable[[SeasonInHand], StageResult]


def run_stages(hand: SeasonInHand, stages: tuple[tuple[str, Stage], ...]) -> Iterator[tuple[str, StageResult]]:
    """Run stages in order, giving each one's name and result as it ends; an error leaves the store as it was."""
    try:
        for name, stage in stages:
            yield name, stage(hand)
    except BaseException as error:
        abandon(hand, error)
        raise
