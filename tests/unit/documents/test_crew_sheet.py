"""The sheet to hang up: one page, nobody's name, what to do, and no joint blamed for what chance gives."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

import polars as pl
import pytest
from support.made_results import CREWS, made_results, made_tables
from support.pdf_reading import read_pdf

from pipeline.documents.crew_sheet import MOST_SPACINGS, MOST_TERMS, crew_sheet_document
from pipeline.documents.manager_connections_tables import KIND_WORDS
from pipeline.documents.model import Document, Note, Table
from pipeline.documents.results import Results
from pipeline.render import html_of, pdf_of


def frame(rows: list[dict[str, Any]]) -> pl.DataFrame:
    return pl.DataFrame(rows, infer_schema_length=None)


def multiplier(term: str, times: float, low: float, high: float) -> dict[str, Any]:
    return {"season": 2025, "term": term, "what": f"a house with {term} against one without", "multiplier": times,
            "low": low, "high": high, "jobs": 40}  # fmt: skip


def pair(kind: str, other: str, told: bool) -> dict[str, Any]:
    return {"season": 2025, "kind": kind, "other": other, "told_apart": told}


def results(**tables: list[dict[str, Any]]) -> Results:
    return made_results(tables=made_tables() | {f"decisions.{name}": frame(rows) for name, rows in tables.items()})


def said(document: Document) -> str:
    return " ".join(str(b.text) for b in document.blocks if isinstance(b, Note)).replace("\N{NO-BREAK SPACE}", " ")


def table_of(document: Document, name: str) -> Table | None:
    return next((b for b in document.blocks if isinstance(b, Table) and b.name == name), None)


def full() -> Results:
    """As much as a season can put on the sheet: every kind of connection, many terms and spacings."""
    kinds = [k for k in KIND_WORDS if k != "all"]
    rates = [
        {"season": 2025, "branch": "all", "kind": kind, "connections": 1200, "connection_nights": Decimal(60_000),
         "failed_points": 40 - n, "unknown_kind_points": 3, "per_connection": 0.03,
         "per_1000_connection_nights": 1.5 - n / 10, "low": 0.4, "high": 2.1}
        for n, kind in enumerate([*kinds, "all"])
    ]  # fmt: skip
    reach = [
        {"season": 2025, "spacing_in": Decimal(spacing), "feet_hung": Decimal(100 * spacing), "watts_each": 0.6,
         "feet_ft": 250.0, "sockets_ft": 200.0, "watts_ft": 90.0, "first_limit": "watts", "reach_ft": 90.0,
         "drop_share": 0.01, "drop_ft": 300.0}
        for spacing in (6, 9, 12, 15, 18, 24)
    ]  # fmt: skip
    made = results(
        hours_multipliers=[multiplier(f"quite a long name {n}", 1.1 + n / 10, 1.05, 2.5) for n in range(9)],
        connection_ratios=[pair(kinds[n], kinds[-1], True) for n in range(len(kinds) - 1)],
        feed_reach=reach,
    )
    return made_results(tables=made.tables | {"measures.connection_failures": frame(rates)})


def test_the_fullest_sheet_prints_on_one_page() -> None:
    document = crew_sheet_document(full())
    pages = [body for body in read_pdf(pdf_of(document)).objects.values() if b"/Type/Page/" in body]
    assert len(pages) == 1
    assert table_of(document, "slow_foot").rows.__len__() == MOST_TERMS  # type: ignore[union-attr]
    assert table_of(document, "feed_reach").rows.__len__() == MOST_SPACINGS  # type: ignore[union-attr]


def test_nobody_is_named() -> None:
    page = html_of(crew_sheet_document(full()))
    for crew, _ in CREWS:
        assert crew not in page


def test_what_protects_a_person_stands_first_with_its_sources() -> None:
    document = crew_sheet_document(results())
    assert str(document.lead).startswith("Hours per foot are not a target for a person on a ladder.")
    first = " ".join(str(b.text) for b in document.sections[0].blocks if isinstance(b, Note))
    for source in ("1926.1053(b)(5)(i)", "1926.1053(b)(1)", "1926.501(b)(1)", "GFCI", "Unplug", "from memory"):
        assert source in first
    feeds = next(section for section in document.sections if section.name == "feeds")
    assert "maker's label" in str(feeds.blocks[0].text)  # type: ignore[union-attr]


def test_only_what_is_told_apart_slows_a_foot() -> None:
    document = crew_sheet_document(
        results(hours_multipliers=[
            multiplier("masonry", 1.4, 1.2, 1.6), multiplier("trim", 1.1, 0.9, 1.3), multiplier("feet", 1.8, 1.7, 1.9),
            multiplier("old lines", 0.8, 0.7, 0.9),
        ])
    )  # fmt: skip
    slow = table_of(document, "slow_foot")
    assert slow is not None
    assert [row.key for row in slow.rows] == ["masonry", "old_lines"]
    assert "do not tell what makes a foot slow" in said(crew_sheet_document(results()))


@pytest.mark.parametrize(
    ("pairs", "words"),
    [
        ([pair("inline_tap", "timer", False)], "none is to be avoided for them"),
        ([], "none is to be avoided for them"),
        ([pair("inline_tap", "timer", True), pair("splice", "timer", False)],
         "leave a choice: inline tap, which failed more often than a timer, beyond chance"),
        ([pair("inline_tap", "timer", True), pair("splice", "timer", True)], "inline tap and splice, which failed"),
        ([pair("inline_tap", "plug", True)], "inline tap, which failed more often than a plug"),
    ],
)  # fmt: skip
def test_a_kind_is_to_be_avoided_only_where_chance_could_not_have_done_it(
    pairs: list[dict[str, Any]], words: str
) -> None:
    tables = made_tables() | {"decisions.connection_ratios": frame(pairs or [pair("plug", "timer", False)])}
    assert words in said(crew_sheet_document(made_results(tables=tables)))


def test_without_service_calls_nothing_is_said_of_joints() -> None:
    tables = made_tables()
    del tables["measures.connection_failures"]
    assert "nothing is known of joints" in said(crew_sheet_document(made_results(tables=tables)))
