"""Every figure that a report prints leads back to rows of the store, by the name that it has in figures.json."""

from __future__ import annotations

import json
from decimal import Decimal
from functools import cache
from pathlib import Path

import pytest
from python_calamine import CalamineWorkbook
from support.demo import closed

from pipeline.cli import main
from pipeline.documents.trace import Traced
from pipeline.documents.trace_figure import keys_of, way_on
from pipeline.errors import UsageError
from pipeline.flows.trace import records_in, trace
from pipeline.flows.trace_figure import printed_figures, trace_figure
from pipeline.warehouse import open_store
from pipeline.warehouse.tracing import prepare

SEASON = 2025


def store() -> Path:
    return closed() / "perfoot.duckdb"


@cache
def traced_figures() -> dict[str, Traced]:
    figures = printed_figures(store(), SEASON)
    with open_store(store(), read_only=True) as opened:
        prepare(opened)
        read, records = cache(opened.read), cache(records_in(opened))
        return {figure["name"]: trace_figure(read, figure, records) for figure in figures}


def test_every_name_in_figures_json_is_traced_to_its_definition_and_its_rows() -> None:
    figures = {figure["name"]: figure for figure in printed_figures(store(), SEASON)}
    traced = traced_figures()
    assert traced.keys() == figures.keys()
    assert len(traced) > 3_000
    for name, found in traced.items():
        facts = dict(found.facts)
        assert found.lines, name
        assert facts["definition"] == figures[name]["definition"]
        assert facts["made in"].startswith("sql/")
        assert str(figures[name]["value"]) in facts["value"]
        if found.adds_up:
            assert found.sum == found.value


def test_half_of_the_figures_stand_as_they_are_in_a_row_of_a_measure() -> None:
    """The others are sums, shares and differences of the rows that are listed."""
    found = sum(any("this is the figure" in line["rule"] for line in one.lines) for one in traced_figures().values())
    assert found > len(traced_figures()) / 2


def test_a_job_s_cost_and_cost_of_a_foot_are_the_sum_of_its_records() -> None:
    figures = {figure["name"]: figure for figure in printed_figures(store(), SEASON)}
    names = [name for name in figures if name.startswith("owner.losing_jobs.") and name.endswith(".total_usd")]
    assert names
    for name in names:
        found = traced_figures()[name]
        assert found.adds_up
        assert found.sum == Decimal(figures[name]["value"])
        assert any(line["source_file"] for line in found.lines)


def test_a_figure_is_traced_in_the_terminal_as_json_and_as_a_sheet(
    capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    sheet = tmp_path / "lines.xlsx"
    words = ["trace", "owner.cost_usd_per_ft", "--store", str(store()), "--sheet", str(sheet)]
    assert main(words) == 0
    said = " ".join(capsys.readouterr().out.split())
    assert "definition: sum of the jobs' cost / sum of their feet" in said
    assert "made in: sql/measures/season_cost.sql" in said
    assert "season: 2025 " in said
    assert "sum of the lines" not in said
    rows = CalamineWorkbook.from_path(sheet).get_sheet_by_index(0).to_python()
    assert not any(str(row[0]).startswith("Sum") for row in rows)
    assert main([*words[:-2], "--json"]) == 0
    found = json.loads(capsys.readouterr().out)
    assert dict(found["facts"])["read from"] == "measures.season_cost, season=2025, branch=all"


def test_a_name_that_no_report_prints_is_an_error_with_the_near_ones() -> None:
    with pytest.raises(UsageError, match=r"Did you mean .*owner\.cost_usd_per_ft"):
        trace(store(), ["owner.cost_usd_per_foot"])


def test_without_reports_beside_the_store_it_says_where_it_looked(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    with pytest.raises(UsageError, match="no reports of any season lie in"):
        trace(tmp_path / "perfoot.duckdb", ["owner.cost_usd_per_ft"])


def test_keys_may_hold_commas_and_equals_signs_of_their_own() -> None:
    found = keys_of("season=2026, item_no=B9, offer=offer, 1000 a pack, from 2 packs")
    assert found == {"season": "2026", "item_no": "B9", "offer": "offer, 1000 a pack, from 2 packs"}
    assert keys_of("") == {}


def test_a_way_on_is_named_only_where_a_trace_leads_there() -> None:
    assert way_on("measures.job_cost", {"season": 2025, "job_no": "7"}) == ("job", "2025", "7")
    assert way_on("decisions.price_table", {"season": 2026, "segment": "all", "chance": 0.8}) == ("price", "2025", "80")
    assert way_on("decisions.price_table", {"season": 2026, "segment": "new", "chance": 0.8}) is None
    assert way_on("measures.failure_causes", {"season": 2025, "cause": "water"}) is None
