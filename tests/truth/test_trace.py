"""Every figure leads back to its rows, and the rows add up to it."""

from __future__ import annotations

import json
from collections import Counter
from datetime import date
from decimal import Decimal
from pathlib import Path

import polars as pl
import pytest
from python_calamine import CalamineWorkbook
from support.demo import closed

from pipeline.cli import main
from pipeline.documents.trace import job_traced
from pipeline.errors import UsageError
from pipeline.flows.trace import trace
from pipeline.warehouse import open_store

SEASON = 2025


def store() -> Path:
    return closed() / "perfoot.duckdb"


def read(name: str) -> pl.DataFrame:
    with open_store(store(), read_only=True) as opened:
        return opened.read(name, SEASON)


def origins(lines: tuple[dict, ...], kind: str) -> Counter:
    return Counter((line["source_file"], line["source_row"]) for line in lines if kind in str(line["source_file"]))


def test_the_lines_of_a_job_are_its_cost_to_the_cent_part_by_part() -> None:
    jobs = read("measures.job_cost")
    for job in jobs.gather_every(9).iter_rows(named=True):
        traced = trace(store(), ["job", job["job_no"]], SEASON, job["branch"])
        assert traced.sum == traced.value == job["total_usd"]
        for part in ("labor", "materials", "travel", "equipment", "service", "overhead"):
            own = [line["amount_usd"] for line in traced.lines if line["part"] == part]
            assert sum(own, Decimal(0)) == (job[f"{part}_usd"] or 0), (job["job_no"], part)


def test_each_row_of_hours_and_goods_of_a_job_is_one_line() -> None:
    hours, goods = read("records.hours"), read("records.materials")
    direct = hours.filter(~pl.col("task").is_in(["shop", "training", "weather", "other_work"]))
    for job_no, branch in read("measures.job_cost").select("job_no", "branch").gather_every(40).iter_rows():
        lines = trace(store(), ["job", job_no], SEASON, branch).lines
        for frame, kind in ((direct, "hours"), (goods, "materials")):
            own = frame.filter((pl.col("job_no") == job_no) & (pl.col("branch") == branch))
            assert origins(lines, kind) == Counter(own.select("source_file", "source_row").iter_rows())


def test_lines_that_are_not_those_of_the_job_are_an_error_and_not_a_rounding() -> None:
    job = read("measures.job_cost").row(0, named=True)
    with pytest.raises(ValueError, match="the lines of labor"):
        job_traced(job, [])


@pytest.mark.parametrize("segment", ["gutter", "ridge", "new", "repeat", "leased", "2 stories", "under 100 ft"])
def test_the_jobs_of_a_segment_are_its_cost(segment: str) -> None:
    traced = trace(store(), ["cost", str(SEASON), *segment.split()])
    row = read("measures.segment_cost").filter(pl.col("segment") == segment)
    assert traced.sum == traced.value == row["total_usd"][0]
    # The last line may be what rounding adds.
    assert len([line for line in traced.lines if line["source_file"]]) == row["jobs"][0]


def test_the_hours_of_a_crew_are_its_rows() -> None:
    for row in read("measures.crew_hours").iter_rows(named=True):
        traced = trace(store(), ["crew", row["crew"]], SEASON, row["branch"])
        assert traced.sum == traced.value == row["prep_hours"] + row["install_hours"]


def test_the_expected_hours_of_a_crew_are_those_of_its_jobs() -> None:
    jobs = read("decisions.crew_jobs")
    for row in read("decisions.crew_comparison").filter(pl.col("ratio").is_not_null()).iter_rows(named=True):
        own = jobs.filter((pl.col("branch") == row["branch"]) & (pl.col("crew") == row["crew"]))
        assert own["hours"].sum() == pytest.approx(row["observed_hours"])
        assert own["expected_hours"].sum() == pytest.approx(row["expected_hours"])
        traced = trace(store(), ["crew", row["crew"]], SEASON, row["branch"])
        assert f"over {row['expected_hours']:,.2f} h that the average crew takes for them" in traced.notes[0]
        assert any("the average crew takes" in line["rule"] for line in traced.lines)


def test_the_net_use_of_an_item_is_its_movements() -> None:
    uses = read("measures.item_use")
    for item in uses["item_no"].unique().sort():
        traced = trace(store(), ["item", item], SEASON)
        assert traced.sum == traced.value == sum(uses.filter(pl.col("item_no") == item)["net_used"].drop_nulls())


def test_a_week_s_overtime_is_worked_through() -> None:
    # W02's week of 9 November: 64.75 h at 28.00; 24.75 h over 40; 1/2 x 28 x 24.75 = 346.50 (29 CFR 778.110).
    traced = trace(store(), ["worker", "w02", "2025-11-12"])
    assert sum(line["quantity"] for line in traced.lines) == Decimal("64.75")
    assert abs(sum(line["premium_usd"] for line in traced.lines) - Decimal("346.5")) < Decimal("0.000001")
    assert "premium 1/2 x 28.0000 x 24.75 = 346.50 usd (29 CFR 778.110)" in traced.notes[1]
    assert {line["what"].split(",")[0] for line in traced.lines} <= {str(date(2025, 11, day)) for day in range(9, 16)}


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (["job", "0"], 'there is no job "0" in this season'),
        (["job", "1999", "21007"], 'there is no job "1999 21007"'),
        (["cost", "guter"], "Did you mean gutter"),
        (["worker", "W02"], "name the worker and a day"),
        (["worker", "W02", "soon"], '"soon" is not a day'),
        (["worker", "W02", "2025-07-01"], "has no hours in the week of 2025-07-01"),
        (["luck"], "trace one of: job NUMBER"),
    ],
)
def test_what_is_not_there_is_told_with_what_to_ask(words: list[str], said: str) -> None:
    with pytest.raises(UsageError) as error:
        trace(store(), words)
    assert said in str(error.value)


def test_the_command_prints_the_lines_and_writes_them_into_a_sheet(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    job = read("measures.job_cost").row(5, named=True)
    words = ["trace", "job", job["job_no"], "--branch", job["branch"], "--store", str(store())]
    assert main([*words, "--sheet", str(tmp_path / "job.xlsx")]) == 0
    assert f"sum of the lines: {job['total_usd']:,.2f} usd" in capsys.readouterr().out
    rows = CalamineWorkbook.from_path(tmp_path / "job.xlsx").get_sheet_by_name("Lines").to_python()
    amounts = [row[5] for row in rows[3:] if isinstance(row[5], float)]
    assert amounts[-1] == pytest.approx(float(job["total_usd"]))
    assert sum(amounts[:-1]) == pytest.approx(amounts[-1], abs=1e-6)
    assert main([*words, "--json"]) == 0
    value = json.loads(capsys.readouterr().out)
    assert Decimal(value["sum"]) == job["total_usd"]
    assert main([*words, "--sheet", str(tmp_path / "job.xlsx")]) == 2
    assert "is there already" in capsys.readouterr().err
