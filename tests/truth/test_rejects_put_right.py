"""The demo's season 2025 with its refused rows put right in rejects.xlsx comes to what it would have been at once.

The demo is made again with the refused mistakes mended before they are written: what stands there in a cell is what a
person puts into the workbook, and what the season closed from those files says is what the corrected one must say.
Two service calls are in their file twice. That is put right in that file alone: they stay rejected in both.
"""

from __future__ import annotations

import shutil
from collections.abc import Callable
from functools import cache
from pathlib import Path
from typing import Any

import polars as pl
import pytest
from support.demo import DEMO, mistakes
from support.put_right import Book, without_formats

from data_demo.make.__main__ import Writer, make_seasons
from data_demo.make.mistakes import plant_mistakes
from data_demo.make.truth import read_truth
from pipeline import cli
from pipeline.flows.rejects import write_rejects_workbook
from pipeline.flows.reports import season_folder
from pipeline.flows.stages import Request, SeasonInHand, commit, intake, load, run_stages
from pipeline.vocabulary import ORIGIN, tables
from pipeline.warehouse import open_store
from pipeline.workbook import read_folder

SEASON = 2025
REPEATS = 2
MEASURES = ("measures.job_cost", "measures.season_cost", "measures.crew_hours", "measures.item_use", "audit.control")
Place = tuple[str, str, int]


def mend(folder: Path) -> Path:
    """Write the season with its warnings and without its refused mistakes; returns its folder."""
    truth = read_truth()
    season = make_seasons(truth)[-1]
    sound = {id(row): dict(row) for rows in season.tables.values() for row in rows}
    plant_mistakes(truth, season)
    for row in (row for rows in season.tables.values() for row in rows):
        for slip in row.slips:
            if slip.expected != "warning" and id(row) in sound:
                row[slip.field] = sound[id(row)][slip.field]
    Writer(truth, season, folder).write()
    return folder / str(SEASON)


def planted() -> set[Place]:
    """Where the mistakes are that refuse a row."""
    return mistakes(SEASON, "rejected") | mistakes(SEASON, "held")


@cache
def cells_of(folder: Path) -> dict[tuple[Place, str], str | None]:
    """Every cell of a season by its place and heading."""
    return {
        ((sheet.file, sheet.sheet, row["source_row"]), column.heading): row[column.field]
        for sheet in read_folder(folder).sheets
        for row in sheet.cells.iter_rows(named=True)
        for column in sheet.columns
    }


def put_right(book: Book, right: dict[tuple[Place, str], str | None]) -> None:
    """Change the cells that are wrong, as a person does who knows what was meant."""
    for line in book:
        place = (str(line["Origin file"]), str(line["Origin sheet"]), int(str(line["Origin row"])))
        for heading in line:
            if (place, heading) in right and (right[place, heading] or "") != line[heading]:
                line[heading] = right[place, heading]


def close(folder: Path, out: Path) -> Path:
    assert cli.main(["close", str(folder), "--direct", "--quiet", "--out", str(out)]) == 0
    return out / "perfoot.duckdb"


def stored(folder: Path, out: Path) -> Path:
    """The season read, checked and loaded, and its rejects.xlsx; the decisions and reports that `close` goes on to make
    are not compared here."""
    hand = SeasonInHand(Request(folder, out, out / "perfoot.duckdb", SEASON))
    for _ in run_stages(hand, (("intake", intake), ("load", load))):
        pass
    commit(hand)
    write_rejects_workbook(hand, season_folder(out, SEASON))
    return hand.request.store


def contents(store_file: Path) -> dict[str, pl.DataFrame]:
    """Records and measures of a store without where each row was read."""
    with open_store(store_file, read_only=True) as store:
        found = {name: store.read(f"records.{name}").drop(ORIGIN) for name in tables()}
        found |= {name: store.read(name) for name in MEASURES}
    return {name: frame.sort(frame.columns) for name, frame in found.items()}


@pytest.fixture(scope="module")
def mended(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return mend(tmp_path_factory.mktemp("mended"))


@pytest.fixture(scope="module")
def at_first(tmp_path_factory: pytest.TempPathFactory, mended: Path) -> dict[str, pl.DataFrame]:
    """What the season comes to whose rows were right at first."""
    return contents(stored(mended, tmp_path_factory.mktemp("at first")))


@pytest.mark.parametrize(
    ("spelled", "run"), [(lambda cell: cell, close), (without_formats, stored)], ids=["as text", "formats lost"]
)
def test_put_right_the_season_is_as_if_it_had_been_right_at_first(
    tmp_path: Path,
    mended: Path,
    at_first: dict[str, pl.DataFrame],
    spelled: Callable[..., Any],
    run: Callable[[Path, Path], Path],
) -> None:
    folder = tmp_path / "2025"
    shutil.copytree(DEMO / "2025", folder)
    run(folder, tmp_path)
    book = Book(tmp_path / "reports" / "2025" / "rejects.xlsx")
    put_right(book, cells_of(mended))
    book.save(folder / "rejects.xlsx", spelled)
    corrected = run(folder, tmp_path)
    found = contents(corrected)
    for name, frame in at_first.items():
        assert found[name].equals(frame), name
    with open_store(corrected, read_only=True) as store:
        intake, audit = store.read("audit.intake", SEASON), store.read("audit.corrections", SEASON)
    assert intake.select("rejected", "held").sum().row(0) == (REPEATS, 0)
    placed = intake.select(pl.sum_horizontal("accepted", "rejected", "held", "set_aside")).to_series()
    assert intake["rows_read"].to_list() == placed.to_list()
    assert set(audit["place"]) == {"accepted"}
    assert_audited(audit, mended, is_whole=spelled is not without_formats)


def assert_audited(audit: pl.DataFrame, mended: Path, *, is_whole: bool) -> None:
    """Each mended cell is in the audit, old and new; with all formats kept, nothing else is."""
    wrong, right = cells_of(DEMO / str(SEASON)), cells_of(mended)
    expected = {at: (wrong[at], text) for at, text in right.items() if wrong[at] != text}
    assert {place for place, _ in expected} <= planted()
    found = {
        (
            (row["origin_file"], row["origin_sheet"], row["origin_row"]),
            row["column_name"].partition("'")[2].removesuffix("'"),
        ): (row["old_value"], row["new_value"])
        for row in audit.iter_rows(named=True)
    }
    if is_whole:
        assert found == expected
    assert expected.keys() <= found.keys()
