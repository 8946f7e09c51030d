"""The manager's report."""

from __future__ import annotations

import polars as pl
from support.made_results import made_results, made_tables

from pipeline.documents import manager_document
from pipeline.documents.listing import figures_of
from pipeline.documents.manager_charts import failure_finding, rate_figure
from pipeline.documents.manager_tables import causes
from pipeline.documents.model import Chart, Note, Table


def words(document: object) -> str:
    return " ".join(str(block.text) for block in document.blocks if isinstance(block, Note))  # type: ignore[attr-defined]


def test_the_slowest_crew_that_can_be_told_apart_leads() -> None:
    lead = str(manager_document(made_results()).lead)
    assert lead.startswith("Drift #2 (south) took 19\N{NO-BREAK SPACE}% more hours than the average crew")


def test_crews_that_cannot_be_told_apart_are_said_to_be_so() -> None:
    tables = made_tables()
    tables["decisions.crew_comparison"] = tables["decisions.crew_comparison"].with_columns(told_apart=pl.lit(False))
    document = manager_document(made_results(tables=tables))
    assert "These crews cannot be told apart" in str(document.lead)
    assert "These crews cannot be told apart" in words(document)
    assert figures_of(document)["manager.crews_told_apart"].value == 0


def failed(*counts: tuple[str, int]) -> str:
    """The finding over kinds with these failed points in 50,000 connection-nights each, the worst first."""
    records = [
        {"kind": kind, "failed_points": points, "connection_nights": 50_000, "per_1000_connection_nights": points / 50,
         "low": None, "high": None}
        for kind, points in counts
    ]  # fmt: skip
    return str(failure_finding(records, rate_figure(records[0], 2025)))


def test_a_kind_of_connection_is_the_worst_only_where_chance_could_not_have_put_it_first() -> None:
    # 60 against 30 over the same nights: P(X >= 60 | 90, 1/2) is under .001. Against 45 it is .086 and more.
    assert failed(("plug", 60), ("splice", 30)).startswith("A plug fails most often: ")
    assert failed(("plug", 60), ("splice", 45)).endswith("but cannot be told from a splice")
    assert failed(("plug", 60), ("inline_tap", 59), ("splice", 45)).endswith(
        "cannot be told from an inline tap or a splice"
    )


def test_without_a_comparison_crews_are_shown_raw_and_unranked() -> None:
    tables = made_tables()
    del tables["decisions.crew_comparison"]
    document = manager_document(made_results(tables=tables, notes={"crews": ["Fewer than 8 jobs a crew."]}))
    assert str(document.lead).startswith("Fewer than 8 jobs a crew.")
    assert "not ranked" in words(document)
    crews = next(b for b in document.blocks if isinstance(b, Table) and b.name == "crews")
    assert "ratio" not in {column.key for column in crews.columns}


def test_causes_run_up_to_all_calls() -> None:
    # Calls 24, 14, 9, 5 of 52.
    records = causes(made_results())
    assert [round(float(r["cumulative_share"]), 4) for r in records] == [0.4615, 0.7308, 0.9038, 1.0]


def test_the_cautions_are_printed() -> None:
    said = words(manager_document(made_results()))
    for caution in ("not a target for a person on a ladder", "1926.1053(b)(1)", "1926.1053(b)(5)(i)",
                    "1926.501(b)(1)", "Rates are associations", "void its listing", "label come first"):  # fmt: skip
        assert caution in said


def test_failures_of_no_known_kind_are_counted_out_loud() -> None:
    # 3 beside the 71 of the kinds: 3 / 74
    assert "3 failed points have no known kind, 4.1\N{NO-BREAK SPACE}% of all" in words(
        manager_document(made_results())
    )


def test_without_connections_no_rate_is_given() -> None:
    tables = {name: frame for name, frame in made_tables().items() if "connection" not in name}
    document = manager_document(made_results(level=2, tables=tables))
    assert "failure rates cannot be given" in words(document)
    assert "failures" not in {block.name for block in document.blocks if isinstance(block, Chart | Table)}
