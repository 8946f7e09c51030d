"""The demo as it is kept: made again to the same bytes, its mistakes where the list says, every table there."""

from __future__ import annotations

import csv
import io
import zipfile
from datetime import datetime
from functools import cache
from pathlib import Path

import pytest
from openpyxl import load_workbook
from openpyxl.utils import column_index_from_string
from support.demo import DEMO, SEASONS, truth

from data_demo.make.__main__ import make
from pipeline.vocabulary import tables
from pipeline.workbook import FolderReading, read_folder

MOST_BYTES = 4_000_000
ENCODINGS = ("utf-16", "utf-8-sig", "cp1252")
"""What the demo's CSV files are kept in; each is refused by the bytes of the ones after it."""

Rows = list[list[object]]


@cache
def reading(season: int) -> FolderReading:
    return read_folder(DEMO / str(season))


def decoded(data: bytes) -> str:
    for encoding in ENCODINGS if data.startswith((b"\xff\xfe", b"\xfe\xff")) else ENCODINGS[1:]:
        try:
            return data.decode(encoding)
        except UnicodeDecodeError:
            continue
    raise AssertionError("none of the demo's encodings fits")


@cache
def cells(path: Path, sheet: str) -> Rows:
    """A sheet's cells, read without the pipeline."""
    if path.suffix == ".xlsx":
        return [list(row) for row in load_workbook(path)[sheet].iter_rows(values_only=True)]
    text = decoded(path.read_bytes())
    delimiter = max(",;\t", key=text.count)
    return [list(row) for row in csv.reader(io.StringIO(text, newline=""), delimiter=delimiter)]


def shown(value: object) -> str:
    if isinstance(value, datetime):
        return value.date().isoformat()
    return "" if value is None else f"{value:g}" if isinstance(value, int | float) else str(value)


def mistakes() -> list[dict[str, str]]:
    with (DEMO / "mistakes.csv").open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


def column_of(season: int, file: str, sheet: str, field: str) -> int:
    """The place of a field's column, from 0."""
    columns = [c for s in reading(season).sheets if (s.file, s.sheet) == (file, sheet) for c in s.columns]
    return column_index_from_string(next(c.letter for c in columns if c.field == field)) - 1


def unpacked(path: Path) -> dict[str, bytes]:
    """A file's bytes; of a workbook the bytes of its parts, since how tightly they are packed is up to the machine."""
    if path.suffix != ".xlsx":
        return {"": path.read_bytes()}
    with zipfile.ZipFile(path) as archive:
        return {entry.filename: archive.read(entry) for entry in archive.infolist()}


def made_files(folder: Path) -> list[str]:
    files = [path for season in SEASONS for path in (folder / str(season)).iterdir()]
    return sorted(p.relative_to(folder).as_posix() for p in [*files, folder / "mistakes.csv", folder / "truth.toml"])


def test_making_the_demo_again_gives_the_same_bytes(tmp_path: Path) -> None:
    make(tmp_path)
    assert made_files(tmp_path) == made_files(DEMO)
    for name in made_files(DEMO):
        assert unpacked(tmp_path / name) == unpacked(DEMO / name), name


def test_each_listed_mistake_stands_in_the_cell_that_the_list_names() -> None:
    for slip in mistakes():
        row = cells(DEMO / slip["season"] / slip["file"], slip["sheet"])[int(slip["row"]) - 1]
        place = column_of(int(slip["season"]), slip["file"], slip["sheet"], slip["column"])
        found = row[place] if place < len(row) else None
        expected = slip["cell"]
        assert shown(found) == (f"{float(expected):g}" if isinstance(found, int | float) else expected), slip


@pytest.mark.parametrize("season", SEASONS)
def test_every_season_has_as_many_mistakes_of_each_kind_as_the_truth_states(season: int) -> None:
    """Kinds that spoil one cell; a number used twice, a worker's day and the wrong total are listed row by row."""
    stated = truth()["mistakes"]
    kinds = [slip["kind"] for slip in mistakes() if int(slip["season"]) == season]
    for kind, name in {
        "letter for zero": "letter_for_zero", "about": "about", "see note": "see_note",
        "impossible date": "impossible_date", "outside the season": "outside_window",
        "takedown first": "takedown_before_install", "unknown word": "unknown_word", "over 24 h": "hours_over_24",
        "job number mistyped": "job_number_mistyped", "unknown item": "unknown_item", "wage missing": "wage_missing",
        "sockets off": "sockets_off", "feet disagree": "feet_disagree", "crew misspelt": "crew_near_miss",
        "call repeated": "call_repeated", "blank": "blank_required",
    }.items():  # fmt: skip
        assert kinds.count(kind) == stated[name], kind
    assert kinds.count("number used twice") == 2 * stated["job_number_twice"]
    assert kinds.count("wrong total") == 1


@pytest.mark.parametrize("season", SEASONS)
def test_under_one_percent_of_a_season_is_spoilt(season: int) -> None:
    spoilt = sum(int(slip["season"]) == season and slip["expected"] == "rejected" for slip in mistakes())
    assert 0 < spoilt < 0.01 * sum(file.rows for file in reading(season).files)


@pytest.mark.parametrize("season", SEASONS)
def test_every_table_is_kept_every_season(season: int) -> None:
    assert {sheet.table for sheet in reading(season).sheets} - {None} == set(tables())


@pytest.mark.parametrize("season", SEASONS)
def test_every_file_says_in_its_first_row_that_it_is_invented(season: int) -> None:
    for path in sorted((DEMO / str(season)).iterdir()):
        sheet = load_workbook(path, read_only=True).sheetnames[0] if path.suffix == ".xlsx" else ""
        assert "invented" in str(cells(path, sheet)[0][0]), path.name


@pytest.mark.parametrize("season", SEASONS)
def test_a_season_has_220_to_380_jobs_two_branches_and_five_to_seven_crews(season: int) -> None:
    assert 220 <= truth()["realized"][str(season)]["sums"]["jobs"] <= 380
    assert len(truth()["branches"]) == 2
    assert 5 <= len(truth()["crews"]) <= 7


def test_the_demo_is_a_few_megabytes() -> None:
    assert sum((DEMO / name).stat().st_size for name in made_files(DEMO)) < MOST_BYTES


def test_the_readme_names_every_kind_of_mistake() -> None:
    text = (DEMO / "README.md").read_text(encoding="utf-8")
    assert "invented" in text.splitlines()[0]
    assert {slip["kind"] for slip in mistakes()} <= {
        line.split("|")[1].strip() for line in text.splitlines() if "|" in line
    }
