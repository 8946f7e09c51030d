"""The manager's sections of connections."""

from __future__ import annotations

from collections.abc import Callable

import polars as pl
import pytest
from support.made_results import made_results, made_tables

from pipeline.documents import manager_document
from pipeline.documents.listing import figures_of
from pipeline.documents.manager_connections_charts import failure_finding
from pipeline.documents.manager_connections_gaps import CLOSE, answer
from pipeline.documents.manager_connections_tables import causes
from pipeline.documents.model import Block, Chart, Document, Note, Section, Table
from pipeline.documents.results import Results

Tables = dict[str, pl.DataFrame]
SPACE = "\N{NO-BREAK SPACE}"


def with_tables(change: Callable[[Tables], object], **more: object) -> Results:
    tables = made_tables()
    change(tables)
    return made_results(tables=tables, **more)


def words(document: Document) -> str:
    return " ".join(str(block.text) for block in document.blocks if isinstance(block, Note))


def named(document: Document, name: str) -> Block | None:
    return next((b for b in document.blocks if isinstance(b, Chart | Table) and b.name == name), None)


def section(document: Document, name: str) -> Section:
    return next(s for s in document.sections if s.name == name)


def apart(*kinds: str) -> Results:
    """Inline taps, which fail most often, told apart from these kinds."""

    def change(tables: Tables) -> None:
        pairs = tables["decisions.connection_ratios"]
        told = (pl.col("kind") == "inline_tap") & pl.col("other").is_in(kinds)
        tables["decisions.connection_ratios"] = pairs.with_columns(told_apart=told)

    return with_tables(change)


def test_a_kind_of_connection_is_the_worst_only_where_it_can_be_told_from_every_other() -> None:
    # 19 / (310 x 45) x 1,000 = 1.36, of which the exact limits of 19, 11.4 to 29.7, support the tenths.
    rate = "1.4 per"
    every = str(failure_finding(apart("plug", "splice", "taped_socket", "timer")))
    assert every == f"An inline tap fails most often: {rate} 1,000 connection-nights"
    assert str(failure_finding(apart("taped_socket", "timer"))).endswith("cannot be told from a splice or a plug")
    assert str(failure_finding(apart("plug", "taped_socket", "timer"))).endswith("cannot be told from a splice")
    assert str(failure_finding(apart())).endswith("cannot be told from any other kind")


def test_one_kind_alone_is_said_to_be_alone() -> None:
    def change(tables: Tables) -> None:
        rows = tables["measures.connection_failures"]
        tables["measures.connection_failures"] = rows.filter(pl.col("kind").is_in(["plug", "all"]))
        tables["decisions.connection_ratios"] = tables["decisions.connection_ratios"].clear()

    assert str(failure_finding(with_tables(change))).startswith("Only one kind of connection is in the records, a plug")


def test_causes_run_up_to_all_calls() -> None:
    # Calls 24, 14, 9, 5 of 52.
    records = causes(made_results())
    assert [round(float(r["cumulative_share"]), 4) for r in records] == [0.4615, 0.7308, 0.9038, 1.0]


def test_failures_of_no_known_kind_are_counted_out_loud_with_what_they_allow() -> None:
    # 3 beside the 71 of the kinds: 3 / 74. 71 and 74 in 111,600 nights: .636 and .663.
    said = words(manager_document(made_results()))
    assert f"3 failed points have no known kind, 4.1{SPACE}% of all: the rate of all kinds is 0.64 if none" in said
    assert "at a connection and 0.66 if all of them were" in said


def test_one_failure_of_no_known_kind_is_spoken_of_as_one() -> None:
    def change(tables: Tables) -> None:
        rows = tables["measures.connection_failures"]
        tables["measures.connection_failures"] = rows.with_columns(unknown_kind_points=pl.lit(1))

    said = words(manager_document(with_tables(change)))
    assert "1 failed point has no known kind" in said
    assert "if it was not at a connection" in said


def test_without_connections_no_rate_is_given() -> None:
    tables = {name: frame for name, frame in made_tables().items() if "connection" not in name}
    document = manager_document(made_results(level=2, tables=tables))
    assert "failure rates cannot be given" in words(document)
    assert named(document, "failures") is None


def test_no_failure_is_no_rate_of_nothing_and_draws_no_order_of_kinds() -> None:
    def change(tables: Tables) -> None:
        rows = tables["measures.connection_failures"]
        tables["measures.connection_failures"] = rows.with_columns(
            failed_points=pl.lit(0), per_1000_connection_nights=pl.lit(0.0), low=pl.lit(0.0), high=pl.lit(0.033)
        )
        for name in ("decisions.connection_ratios", "decisions.connection_price", "measures.failure_repeats"):
            tables[name] = tables[name].clear()

    document = manager_document(with_tables(change))
    assert "No connection failed this season; up to 0.033 in 1,000" in str(document.lead)
    assert named(document, "failures") is not None
    assert "price of one more connection cannot be given" in words(document)
    assert all(b.kind != "dots" for b in document.blocks if isinstance(b, Chart) and b.name == "failures")


def test_service_calls_that_were_not_handed_in_are_said_to_be_unknown() -> None:
    def change(tables: Tables) -> None:
        rows = tables["measures.connection_failures"]
        nothing = [pl.lit(None, pl.Float64).alias(n) for n in ("per_1000_connection_nights", "low", "high", "pooled")]
        unknown = pl.lit(None, pl.Int64).alias("failed_points")
        tables["measures.connection_failures"] = rows.with_columns([unknown, *nothing])

    document = manager_document(with_tables(change))
    assert "service calls were not handed in" in str(document.lead)
    assert "rates over all branches are unknown" in words(document)


@pytest.mark.parametrize(
    ("chance", "factor", "said"),
    [(0.049, 1.31, "come in clusters"), (0.05, 1.31, "could be chance itself"), (0.9, 0.97, "no more than chance")],
)
def test_clusters_are_said_to_be_there_only_where_the_test_sees_them(chance: float, factor: float, said: str) -> None:
    def change(tables: Tables) -> None:
        rows = tables["measures.failure_dispersion"]
        tables["measures.failure_dispersion"] = rows.with_columns(chance=pl.lit(chance), factor=pl.lit(factor))

    assert said in words(manager_document(with_tables(change)))


def test_the_pairs_that_can_be_told_apart_are_shown_and_the_others_counted() -> None:
    # Five kinds make ten pairs; four are with timers.
    document = manager_document(made_results())
    table = named(document, "connection_ratios")
    assert isinstance(table, Table)
    assert len(table.rows) == 4
    assert "6 other pairs of kinds cannot be told apart." in words(document)
    assert "No two kinds of connection can be told apart" in words(manager_document(apart()))


def test_a_week_beyond_its_limits_is_named_and_weeks_within_are_not_spoken_of() -> None:
    chart = named(manager_document(made_results()), "failure_weeks")
    assert isinstance(chart, Chart)
    assert str(chart.title) == f"One week lies beyond what chance gives: that of 8{SPACE}Dec{SPACE}2025 (more)"

    def change(tables: Tables) -> None:
        rows = tables["measures.failure_weeks"]
        tables["measures.failure_weeks"] = rows.with_columns(beyond=pl.lit("inside"))

    calm = named(manager_document(with_tables(change)), "failure_weeks")
    assert isinstance(calm, Chart)
    assert str(calm.title) == "No week had more failures, or fewer, than chance gives"


def test_recurrent_failures_are_bounded() -> None:
    said = words(manager_document(made_results()))
    assert "Of 68 failed points, 7 were on a job's later call for the same kind" in said
    assert "at most so many failed again, at least 2, since" in said


def test_the_cautions_stand_before_the_ways_across_a_gap() -> None:
    blocks = section(manager_document(made_results()), "gaps").blocks
    kinds = [block.kind if isinstance(block, Note) else "table" for block in blocks]
    assert kinds == ["caution", "caution", "text", "table"]
    assert "void its listing" in str(blocks[0].text)  # type: ignore[union-attr]


def test_ways_across_a_gap_are_advised_only_over_gaps_where_one_is_clearly_cheapest() -> None:
    said = words(manager_document(made_results()))
    assert (
        f"Line with a socket every 12 in: at 2{SPACE}ft sockets capped cost least; at 8{SPACE}ft it is too close to "
        f"call; at 20{SPACE}ft a cut and a jumper cost least." in said
    )


def test_no_way_is_advised_where_nobody_said_that_it_is_allowed() -> None:
    def change(tables: Tables) -> None:
        rows = tables["decisions.gap_crossings"]
        allowed = pl.when(pl.col("way") == "cap").then(True)
        tables["decisions.gap_crossings"] = rows.with_columns(allowed=allowed)

    document = manager_document(with_tables(change))
    assert "give the setting gap_allowed:cut as yes or no" in words(document)
    table = named(document, "gaps")
    assert isinstance(table, Table)
    assert "cheapest" not in {column.key for column in table.columns}


@pytest.mark.parametrize(("chance", "way"), [(0.99, "sockets capped"), (0.989, CLOSE)])
def test_a_way_is_the_cheapest_from_99_percent_on(chance: float, way: str) -> None:
    rows = [{"way": "cap", "chance_cheapest": chance}, {"way": "cut", "chance_cheapest": 1 - chance}]
    assert answer(rows) == way


def test_open_calls_have_their_column_and_their_limits_where_known() -> None:
    figures = figures_of(manager_document(made_results()))
    assert figures["manager.calls.all.open_calls"].value == 2
    days = figures["manager.calls.all.median_days"]
    assert (days.value, days.low, days.high) == (1.0, 1.0, 2.0)


def test_every_number_of_the_sections_has_a_name() -> None:
    figures = figures_of(manager_document(made_results()))
    for name in ("failures.plug.pooled", "connection_ratios.inline_tap.timer.chance_all_pairs",
                 "failure_weeks.rate.2025-12-08",
                 "failures_by_crew.crew.north.aspen.ratio", "gaps.gap_8.cut",
                 "failure_terms.age.each_season_since_the_lines_were_cut.multiplier", "fault_usd"):  # fmt: skip
        assert f"manager.{name}" in figures
