"""rejects.xlsx beside the intake report: when it is written, what it keeps, and what becomes of an older one."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from support.put_right import HOURS, Book, made

from pipeline import cli
from pipeline.flows import rejects as module
from pipeline.warehouse import open_store

JOBS = """Job #,Customer,Crew,Work,Terms,Stories,Invoiced,Installed,Feet
1,C1,Maple,new,sold,1,700,2025-11-10,{feet}
2,C2,Maple,new,sold,2,800,2025-11-11,120
"""
LIMIT = "Setting,Value\nreject_limit,60 %\n"


def run(*words: object) -> int:
    return cli.main([str(word) for word in words])


def at(out: Path) -> Path:
    return out / "reports/2025/rejects.xlsx"


def put_right(path: Path, to: Path) -> None:
    book = Book(path)
    book.row("see note")["Hours"] = "6"
    book.row("~2")["Hours"] = "2"
    book.save(to)


def test_check_writes_it_and_names_it(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    folder = made(tmp_path / "in", hours=HOURS, settings=LIMIT)
    assert run("check", folder, "--json", "--out", tmp_path) == 0
    assert json.loads(capsys.readouterr().out)["files"]["rejects"] == str(at(tmp_path))
    assert Book(at(tmp_path)).places() == {"rejected": 2}


def test_it_is_written_too_where_too_much_was_rejected(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert run("close", made(tmp_path / "in", hours=HOURS), "--direct", "--out", tmp_path) == 3
    assert Book(at(tmp_path)).places() == {"rejected": 2}
    capsys.readouterr()


def test_it_goes_once_nothing_is_refused_any_more(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    folder = made(tmp_path / "in", hours=HOURS, settings=LIMIT)
    assert run("check", folder, "--quiet", "--out", tmp_path) == 0
    made(folder, hours=HOURS.replace("see note", "6").replace("~2", "2"))
    assert run("check", folder, "--quiet", "--out", tmp_path) == 0
    assert not at(tmp_path).exists()
    capsys.readouterr()


def test_corrections_in_force_are_kept_in_it_and_in_the_store(tmp_path: Path) -> None:
    folder = made(tmp_path / "in", hours=HOURS, settings=LIMIT)
    assert run("check", folder, "--quiet", "--out", tmp_path) == 0
    put_right(at(tmp_path), folder / "rejects.xlsx")
    assert run("close", folder, "--direct", "--quiet", "--out", tmp_path) == 0
    assert Book(at(tmp_path)).places() == {"accepted": 2}
    with open_store(tmp_path / "perfoot.duckdb", read_only=True) as store:
        rows = store.read("audit.corrections").select("origin_row", "old_value", "new_value", "place", "season").rows()
    assert rows == [(2, "see note", "6", "accepted", 2025), (4, "~2", "2", "accepted", 2025)]
    assert "Rows put right" in (tmp_path / "reports/2025/intake.html").read_text(encoding="utf-8")


def test_put_right_where_it_was_written_it_stays_put_right(tmp_path: Path) -> None:
    """Where the reports lie in the season's own folder, the workbook is put back by saving it."""
    folder = made(tmp_path / "in", hours=HOURS, settings=LIMIT)
    assert run("check", folder, "--quiet", "--out", folder) == 0
    put_right(at(folder), at(folder))
    for _ in range(2):
        assert run("check", folder, "--quiet", "--out", folder) == 0
        assert Book(at(folder)).places() == {"accepted": 2}
    assert [path.name for path in at(folder).parent.glob("*.xlsx")] == ["rejects.xlsx"]


def test_what_someone_typed_and_did_not_put_back_is_kept_under_another_name(tmp_path: Path) -> None:
    folder = made(tmp_path / "in", hours=HOURS, settings=LIMIT)
    for _ in range(2):
        assert run("check", folder, "--quiet", "--out", tmp_path) == 0
        put_right(at(tmp_path), at(tmp_path))
    assert run("check", folder, "--quiet", "--out", tmp_path) == 0
    names = {path.name for path in at(tmp_path).parent.glob("*.xlsx")}
    assert names == {"rejects.xlsx", "rejects changed.xlsx", "rejects changed 2.xlsx"}
    assert Book(at(tmp_path).with_name("rejects changed.xlsx")).row("6")["Origin row"] == "2"


def test_held_rows_too_many_to_list_are_counted(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(module, "MOST_HELD", 1)
    sheet = "Work date,Job #,Crew,Worker,Task,Hours\n" + "2025-11-10,1,Maple,W1,install,2\n" * 3
    folder = made(tmp_path / "in", jobs=JOBS.format(feet="1OO"), hours=sheet, settings=LIMIT)
    assert run("check", folder, "--quiet", "--out", tmp_path) == 0
    book = Book(at(tmp_path))
    assert book.places() == {"held": 1, "rejected": 1}
    assert any(
        "2 more held rows are not listed" in str(cell)
        for line in next(iter(book.lines.values()))
        for cell in line.values()
    )
