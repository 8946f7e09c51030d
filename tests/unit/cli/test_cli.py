"""Each command as a person runs it: what is written, what is said, and the exit code."""

from __future__ import annotations

import json
import shutil
import subprocess
import sys
from pathlib import Path

import pytest
from support.demo import DEMO, SEASONS, closed

from pipeline import cli
from pipeline.warehouse import open_store

JOBS = """Job #,Customer,Crew,Work,Terms,Stories,Invoiced,Installed,Feet
1,C1,Maple,new,sold,1,700,2025-11-10,100
2,C2,Maple,new,sold,2,{invoiced},2025-11-11,120
"""
NAMES = {
    "owner.html", "owner.pdf", "manager.html", "manager.pdf", "buyer.html", "buyer.pdf", "intake.html", "intake.pdf",
    "crew-sheet.html", "crew-sheet.pdf", "rate-card.html", "rate-card.pdf", "season.xlsx", "figures.json",
    "order.xlsx", "rejects.xlsx",
}  # fmt: skip
OVERHEADS = "Expense,Season amount,Spread by\nRent,440,feet\n"


def folder_of(tmp_path: Path, invoiced: str = "800") -> Path:
    folder = tmp_path / "records"
    folder.mkdir()
    (folder / "jobs.csv").write_text(JOBS.format(invoiced=invoiced), encoding="utf-8")
    (folder / "overheads.csv").write_text(OVERHEADS, encoding="utf-8")
    return folder


def run(*words: object) -> int:
    return cli.main([str(word) for word in words])


def test_the_demo_writes_four_reports_the_figures_and_the_rejected_rows_of_each_season() -> None:
    for season in SEASONS:
        names = {path.name for path in (closed() / "reports" / str(season)).iterdir()}
        assert names == NAMES


def test_the_summary_says_what_a_foot_cost_and_names_the_files(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert run("close", folder_of(tmp_path), "--direct", "--out", tmp_path) == 0
    said = capsys.readouterr().out
    assert str(tmp_path / "reports/2025/owner.html") in said
    assert "A foot cost $2.00" in said  # 440 over 220 ft


def test_jobs_alone_have_no_cost_rather_than_a_cost_of_nothing(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    folder = folder_of(tmp_path)
    (folder / "overheads.csv").unlink()
    assert run("close", folder, "--direct", "--out", tmp_path) == 0
    assert "nothing can be said about cost" in capsys.readouterr().out
    with open_store(tmp_path / "perfoot.duckdb", read_only=True) as store:
        assert store.read("measures.job_cost")["total_usd"].to_list() == [None, None]


def test_json_prints_one_object_and_nothing_else(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert run("close", folder_of(tmp_path), "--direct", "--json", "--out", tmp_path) == 0
    captured = capsys.readouterr()
    value = json.loads(captured.out)
    assert captured.err == ""
    assert value["outcome"] == "closed"
    assert value["seasons"][0]["season"] == 2025
    assert Path(value["seasons"][0]["files"]["owner"]).is_file()


def test_quiet_prints_nothing(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert run("close", folder_of(tmp_path), "--direct", "--quiet", "--out", tmp_path) == 0
    assert capsys.readouterr() == ("", "")


def test_check_writes_the_intake_report_and_loads_nothing(tmp_path: Path) -> None:
    assert run("check", folder_of(tmp_path), "--quiet", "--out", tmp_path) == 0
    assert (tmp_path / "reports/2025/intake.html").is_file()
    assert not (tmp_path / "perfoot.duckdb").exists()


def test_too_much_rejected_is_3_with_the_intake_report_and_no_store(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert run("close", folder_of(tmp_path, "see note"), "--direct", "--out", tmp_path) == 3
    assert "nothing is loaded" in capsys.readouterr().err
    assert "see note" in (tmp_path / "reports/2025/intake.html").read_text(encoding="utf-8")
    assert not (tmp_path / "perfoot.duckdb").exists()


def test_strict_refuses_a_season_with_one_rejected_row(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert run("close", DEMO / "2025", "--direct", "--strict", "--out", tmp_path) == 3
    assert "--strict" in capsys.readouterr().err


def test_a_folder_that_is_not_there_is_2(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert run("close", tmp_path / "nowhere", "--direct", "--out", tmp_path) == 2
    assert "there is no folder" in capsys.readouterr().err


def test_a_folder_without_spreadsheets_is_2(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (tmp_path / "empty").mkdir()
    assert run("close", tmp_path / "empty", "--direct", "--out", tmp_path) == 2
    assert "holds no spreadsheet" in capsys.readouterr().err


def test_a_folder_of_several_seasons_is_2_and_is_told_how_to_close_them(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert run("close", DEMO, "--direct", "--out", tmp_path) == 2
    said = capsys.readouterr().err
    assert "several seasons (2023, 2024, 2025)" in said
    assert "one at a time" in said


def test_an_unknown_option_is_2(capsys: pytest.CaptureFixture[str]) -> None:
    with pytest.raises(SystemExit) as left:
        run("close", "--sideways")
    assert left.value.code == 2
    capsys.readouterr()


def test_a_store_in_use_is_4_and_names_the_program(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    folder = folder_of(tmp_path)
    store = tmp_path / "perfoot.duckdb"
    hold = "import duckdb, sys; con = duckdb.connect(sys.argv[1]); print('held', flush=True); sys.stdin.read()"
    with subprocess.Popen(
        [sys.executable, "-c", hold, str(store)], stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True
    ) as holder:
        assert holder.stdout is not None
        assert holder.stdout.readline() == "held\n"
        assert run("close", folder, "--direct", "--out", tmp_path) == 4
        assert f"PID {holder.pid}" in capsys.readouterr().err
        holder.communicate("")


def test_a_control_total_that_does_not_agree_is_5_and_the_store_stays_as_it_was(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    from pipeline import warehouse

    folder = folder_of(tmp_path)
    assert run("close", folder, "--direct", "--quiet", "--out", tmp_path) == 0
    build = warehouse.build_models

    def build_and_lose_a_dollar(store: warehouse.Store) -> list[str]:
        built = build(store)
        store.con.execute("insert into audit.control values (2025, 'main', 'labor', 1, 0, 0, 0, 0, 1)")
        return built

    monkeypatch.setattr(warehouse, "build_models", build_and_lose_a_dollar)
    assert run("close", folder, "--direct", "--out", tmp_path) == 5
    assert "part labor" in capsys.readouterr().err
    with open_store(tmp_path / "perfoot.duckdb", read_only=True) as store:
        assert store.read("audit.control")["difference_usd"].sum() == 0
        assert store.read("measures.job_cost").height == 2


def test_anything_else_is_1_with_a_sentence_and_the_log(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    from pipeline import workbook

    def fail(folder: Path) -> None:
        raise RuntimeError("a cable came loose")

    monkeypatch.setattr(workbook, "read_folder", fail)
    assert run("close", folder_of(tmp_path), "--direct", "--out", tmp_path) == 1
    said = capsys.readouterr().err
    assert "Traceback" not in said
    assert str(tmp_path / "perfoot.log") in said
    assert "a cable came loose" in (tmp_path / "perfoot.log").read_text(encoding="utf-8")


def test_closing_the_same_folder_twice_changes_no_figure_and_no_row(tmp_path: Path) -> None:
    once, twice = tmp_path / "once", tmp_path / "twice"
    assert run("close", DEMO / "2024", "--direct", "--quiet", "--out", once) == 0
    shutil.copytree(once, twice)
    assert run("close", DEMO / "2024", "--direct", "--quiet", "--out", twice) == 0
    figures = "reports/2024/figures.json"
    assert (once / figures).read_bytes() == (twice / figures).read_bytes()
    with (
        open_store(once / "perfoot.duckdb", read_only=True) as one,
        open_store(twice / "perfoot.duckdb", read_only=True) as other,
    ):
        query = "select schema_name || '.' || table_name as name from duckdb_tables() order by all"
        names = one.query(query)["name"].to_list()
        assert names == other.query(query)["name"].to_list()
        for name in names:
            left, right = one.read(name), other.read(name)
            if name == "audit.runs":
                left, right = left.drop("started"), right.drop("started")
            assert left.equals(right), name


def test_check_prints_every_sheet_and_every_finding_as_json(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert run("check", DEMO / "2025", "--json", "--out", tmp_path) == 0
    value = json.loads(capsys.readouterr().out)
    assert list(value)[:2] == ["sheets", "findings"]
    for sheet in value["sheets"]:
        assert list(sheet) == [
            "file", "sheet", "part", "table", "read", "accepted", "rejected", "held", "set_aside", "why",
        ]  # fmt: skip
        assert sheet["read"] == sum(sheet[place] for place in ("accepted", "rejected", "held", "set_aside"))
    keys = ["file", "sheet", "row", "column", "value", "rule", "severity", "message", "remedy"]
    assert {tuple(finding) for finding in value["findings"]} == {tuple(keys)}
    # data_demo/mistakes.csv: the first letter for a figure that was planted in the runs of 2025.
    (slip,) = [f for f in value["findings"] if f["value"] == "7O.5 ft"]
    assert (slip["file"], slip["sheet"], slip["row"], slip["column"]) == ("runs.xlsx", "runs", 690, "column E 'Feet'")
    assert slip["message"] == '"7O.5 ft" is not a length'


def test_a_season_that_is_refused_is_still_told_in_full_as_json(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert run("check", folder_of(tmp_path, "see note"), "--json", "--out", tmp_path) == 3
    value = json.loads(capsys.readouterr().out)
    assert (value["outcome"], value["exit_code"]) == ("failed", 3)
    assert value["sheets"]
    assert "see note" in {finding["value"] for finding in value["findings"]}


def test_check_says_what_to_mend_within_a_screen(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("COLUMNS", "80")
    monkeypatch.setenv("LINES", "24")
    assert run("check", DEMO / "2025", "--out", tmp_path) == 0
    captured = capsys.readouterr()
    lines = [*captured.out.splitlines(), *captured.err.splitlines()]
    assert sum(-(-max(len(line), 1) // 80) for line in lines) <= 24
    assert "  32 errors, whose rows are rejected" in lines


def test_the_guide_answers_and_a_name_that_it_does_not_know_is_2(capsys: pytest.CaptureFixture[str]) -> None:
    assert run("guide", "jobs", "feet") == 0
    assert capsys.readouterr().out.startswith("jobs.feet (column of a sheet)\n  Fastened roofline feet.\n")
    assert run("guide", "job_cost", "--json") == 0
    assert json.loads(capsys.readouterr().out)[0]["name"] == "measures.job_cost"
    assert run("guide", "feets") == 2
    assert "did you mean feet" in capsys.readouterr().err
