"""A folder's spreadsheets are found without leaving it; links, pipes and folders in their place are named."""

from __future__ import annotations

import os
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest

from pipeline.workbook import folder as module
from pipeline.workbook.folder import find_spreadsheets, plain_name, read_file
from pipeline.workbook.looking import Unreadable

SUFFIXES = (".xlsx", ".csv")


def found(folder: Path) -> dict[str, str | None]:
    return {one.name: one.problem for one in find_spreadsheets(folder, SUFFIXES)}


def test_spreadsheets_of_subfolders_are_found_in_the_order_of_their_paths(tmp_path: Path) -> None:
    for name in ("b.csv", "a/z.XLSX", "a/a.csv", "note.txt", ".hidden.csv", "~$b.xlsx"):
        (tmp_path / name).parent.mkdir(exist_ok=True)
        (tmp_path / name).write_text("x", encoding="utf-8")
    assert list(found(tmp_path).items()) == [("a/a.csv", None), ("a/z.XLSX", None), ("b.csv", None)]


def test_a_link_is_named_and_never_followed(tmp_path: Path) -> None:
    outside = tmp_path / "outside"
    inside = tmp_path / "season"
    outside.mkdir()
    inside.mkdir()
    (outside / "jobs.csv").write_text("x", encoding="utf-8")
    (inside / "jobs.csv").symlink_to(outside / "jobs.csv")
    (inside / "zero.csv").symlink_to("/dev/zero")
    (inside / "self.csv").symlink_to(inside / "self.csv")
    (inside / "other").symlink_to(outside, target_is_directory=True)
    (inside / "loop").symlink_to(inside, target_is_directory=True)
    link = "it is a link and is not followed; put the file itself into the folder."
    links = "it is a link to a folder and is not followed; put the folder itself into this one."
    assert found(inside) == {"jobs.csv": link, "loop": links, "other": links, "self.csv": link, "zero.csv": link}
    with pytest.raises(Unreadable, match="it cannot be read"):
        read_file(inside / "jobs.csv")


def test_a_folder_by_the_name_of_a_spreadsheet_is_named_and_its_files_are_found(tmp_path: Path) -> None:
    (tmp_path / "a.xlsx").mkdir()
    (tmp_path / "a.xlsx" / "b.csv").write_text("x", encoding="utf-8")
    problem = "it is a folder by the name of a spreadsheet; name it without the ending. The files in it were read."
    assert found(tmp_path) == {"a.xlsx": problem, "a.xlsx/b.csv": None}


def test_a_pipe_is_named_and_not_waited_for(tmp_path: Path) -> None:
    os.mkfifo(tmp_path / "a.csv")
    assert found(tmp_path) == {"a.csv": "it is no file but a pipe or a device; remove it from the folder."}
    with pytest.raises(Unreadable, match="a pipe or a device"):
        read_file(tmp_path / "a.csv")


def test_a_file_that_is_too_large_is_not_read(tmp_path: Path) -> None:
    (tmp_path / "a.csv").touch()
    os.truncate(tmp_path / "a.csv", module.LARGEST_FILE_BYTES)
    assert len(read_file(tmp_path / "a.csv")) == module.LARGEST_FILE_BYTES
    os.truncate(tmp_path / "a.csv", module.LARGEST_FILE_BYTES + 1)
    with pytest.raises(Unreadable, match="it is larger than 256 MB; split it into smaller files"):
        read_file(tmp_path / "a.csv")


@pytest.mark.parametrize(
    ("name", "shown"),
    [
        ("Löhne 2025 № 1.csv", "Löhne 2025 № 1.csv"),
        ("a\nb\x1b[2J.csv", "a\\nb\\x1b[2J.csv"),
        ("jobs\u202ecod.csv", "jobs\\u202ecod.csv"),
        ("jobs\udcff.csv", "jobs\\udcff.csv"),
    ],
)
def test_a_name_is_shown_in_signs_that_can_be_seen(name: str, shown: str) -> None:
    assert plain_name(name) == shown


def test_names_that_would_be_shown_alike_stay_apart(tmp_path: Path) -> None:
    for name in ("a\n.csv", "a\\n.csv"):
        (tmp_path / name).write_text("x", encoding="utf-8")
    assert len(found(tmp_path)) == 2


@contextmanager
def as_nobody() -> Iterator[None]:
    """For an administrator no file is unreadable."""
    was = os.geteuid()
    if was == 0:
        os.seteuid(65_534)
    try:
        yield
    finally:
        os.seteuid(was)


def test_a_file_and_a_folder_that_may_not_be_read_are_named() -> None:
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        folder.chmod(0o755)
        (folder / "closed").mkdir(mode=0o000)
        (folder / "a.csv").touch(mode=0o000)
        with as_nobody():
            closed = "this folder cannot be opened (Permission denied); allow it to be read, or remove it."
            assert found(folder) == {"a.csv": None, "closed": closed}
            with pytest.raises(Unreadable, match=r"it cannot be read \(Permission denied\); allow it to be read"):
                read_file(folder / "a.csv")
