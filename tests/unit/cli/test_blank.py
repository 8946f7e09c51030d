"""`perfoot blank`: what it says, what it refuses, and that what it writes can be checked."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from pipeline import cli


def run(*words: object) -> int:
    return cli.main([str(word) for word in words])


def test_the_workbook_is_written_and_named_and_no_log_beside_it(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    file = tmp_path / "season.xlsx"
    assert run("blank", file) == 0
    said = capsys.readouterr()
    assert str(file) in said.out
    assert said.err == ""
    assert [path.name for path in tmp_path.iterdir()] == ["season.xlsx"]


def test_json_names_the_file_and_quiet_says_nothing(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert run("blank", tmp_path / "one.xlsx", "--json") == 0
    assert json.loads(capsys.readouterr().out) == {"outcome": "written", "file": str(tmp_path / "one.xlsx")}
    assert run("blank", tmp_path / "two.xlsx", "--quiet") == 0
    assert capsys.readouterr() == ("", "")


def test_a_file_that_is_there_is_never_written_over(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    file = tmp_path / "season.xlsx"
    file.write_text("a season's work", encoding="utf-8")
    assert run("blank", file) == 2
    assert capsys.readouterr().err == f"{file} is there already and stays as it is; name another file.\n"
    assert file.read_text(encoding="utf-8") == "a season's work"


@pytest.mark.parametrize(
    ("name", "said"),
    [
        pytest.param("season.xls", "does not end in .xlsx; name the workbook so.", id="another kind of file"),
        pytest.param("nowhere/season.xlsx", "name a file in a folder that is there.", id="no such folder"),
    ],
)
def test_a_name_that_cannot_be_written_is_2_with_one_sentence(
    name: str, said: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert run("blank", tmp_path / name) == 2
    error = capsys.readouterr().err
    assert error.count("\n") == 1
    assert said in error
    assert list(tmp_path.iterdir()) == []


def test_a_workbook_that_was_not_filled_in_is_told_so(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    folder = tmp_path / "season"
    folder.mkdir()
    assert run("blank", folder / "season.xlsx", "--quiet") == 0
    assert run("check", folder, "--out", tmp_path) == 2
    assert (
        "season.xlsx Jobs: nothing but the example row is on it, so it tells nothing of jobs" in capsys.readouterr().err
    )
