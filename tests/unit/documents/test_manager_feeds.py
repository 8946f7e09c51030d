"""The section on feeds of the manager's report: what it says of loads, splits, circuits, drops and days."""

from __future__ import annotations

from datetime import date, timedelta
from decimal import Decimal
from typing import Any

import polars as pl
import pytest
from support.made_results import made_results, made_tables

from pipeline.documents import manager_document
from pipeline.documents.manager_feeds import feed_pictures, feed_sections, feed_sentence
from pipeline.documents.model import Block, Chart, Note, Table
from pipeline.documents.results import Results

KEY = {"season": 2025, "branch": "north", "job_no": "1001"}


def feed(letter: str, share: float, **more: Any) -> dict[str, Any]:
    """A row of measures.feed_loads, its sockets a share of 200."""
    load = {
        "feed": letter,
        "crew": "Aspen",
        "circuit": None,
        "runs": 2,
        "feet": Decimal(100),
        "sockets": round(200 * share),
        "watts": Decimal(60),
        "volts": 120.0,
        "amps": 0.5,
        "gauge": 18,
        "feet_limit": 250.0,
        "sockets_limit": 200.0,
        "watts_limit": None,
        "first_limit": "sockets",
        "used_share": share,
        "is_over": share > 1,
        "drop_volts": 1.2,
        "drop_share": 0.01,
        "end_drop_volts": 2.4,
    }
    return KEY | load | more  # fmt: skip


def split(letter: str, share: float, **more: Any) -> dict[str, Any]:
    """A row of decisions.feeds_to_split."""
    return KEY | {"feed": letter, "place": 1, "why": "sockets", "feet": Decimal(100), "sockets": round(200 * share),
                  "watts": None, "used_share": share, "feeds_needed": 2, "at_ft": 50.0, "after_run": "2",
                  "make_usd": 1.6, "failure_usd": 2.5, "extra_usd": 4.1} | more  # fmt: skip


def circuit(watts: int | None, name: str | None = None) -> dict[str, Any]:
    """A row of measures.circuit_loads."""
    share = None if watts is None else watts / 1440
    return KEY | {"circuit": name, "feeds": 2, "runs": 4, "watts": None if watts is None else Decimal(watts),
                  "amps": None if watts is None else watts / 120, "breaker_amps": 15.0, "watts_limit": 1440.0,
                  "used_share": share, "is_over": None if share is None else share > 1}  # fmt: skip


def results(notes: dict[str, list[str]] | None = None, **tables: list[dict[str, Any]]) -> Results:
    """Results with these tables of feeds."""
    schemas = {"feed_loads": "measures", "circuit_loads": "measures", "installation_days": "measures",
               "feeds_to_split": "decisions", "feed_faults": "decisions", "feed_reach": "decisions",
               "feed_runs": "facts"}  # fmt: skip
    more = {f"{schemas[name]}.{name}": pl.DataFrame(rows, infer_schema_length=None) for name, rows in tables.items()}
    return made_results(tables=made_tables() | more, notes=notes or {})


def blocks(found: Results) -> tuple[Block, ...]:
    return feed_sections(found)[0].blocks


def said(found: Results) -> str:
    return " ".join(str(b.text) for b in blocks(found) if isinstance(b, Note)).replace("\N{NO-BREAK SPACE}", " ")


def test_the_label_and_the_code_come_before_any_list() -> None:
    found = blocks(results(feed_loads=[feed("A", 1.2)], feeds_to_split=[split("A", 1.2)]))
    first = found[0]
    assert isinstance(first, Note)
    assert first.kind == "caution"
    assert "maker's label" in str(first.text)
    assert "local code" in str(first.text)
    assert isinstance(blocks(results())[0], Note)
    assert any(isinstance(b, Table) and b.name == "feeds_to_split" for b in found[1:])


@pytest.mark.parametrize(
    ("shares", "sentence", "finding"),
    [
        ((1.2,), "1 feed passes a limit and should be split.", "1 of 1 feed passes a limit"),
        ((1.2, 1.3, 0.5), "2 feeds pass a limit and should be split.", "2 of 3 feeds pass a limit"),
        ((1.0, 0.5), None, "2 feeds are all within the limits"),
        ((0.4,), None, "1 feed is within the limits"),
    ],
)
def test_feeds_over_a_limit_are_counted_in_words(shares: tuple[float, ...], sentence: str | None, finding: str) -> None:
    found = results(feed_loads=[feed("ABC"[n], share) for n, share in enumerate(shares)])
    lead = feed_sentence(found)
    assert (None if lead is None else str(lead)) == sentence
    assert f"{finding}." in said(found)
    (chart,) = feed_pictures(found)
    assert str(chart.title) == finding
    assert sum(point.value for point in chart.series[0].points) == len(shares)


def test_a_feed_on_its_limit_is_in_the_last_class_within_it() -> None:
    (chart,) = feed_pictures(results(feed_loads=[feed("A", 1.0), feed("B", 1.0001), feed("C", 1.25), feed("D", 1.26)]))
    counts = {point.label: (point.value, point.role) for point in chart.series[0].points}
    assert counts["75 to 100 %"] == (1, "plain")
    assert counts["100 to 125 %"] == (2, "bad")
    assert counts["over 125 %"] == (1, "bad")


def test_without_feeds_it_says_what_is_missing_and_draws_nothing() -> None:
    found = results()
    assert "No run names the feed that it hangs on" in said(found)
    assert feed_pictures(found) == ()
    assert feed_sentence(found) is None
    assert not any(isinstance(b, Chart | Table) for b in blocks(found))


def test_the_limits_say_where_they_come_from() -> None:
    words = said(results(feed_loads=[feed("A", 0.5)]))
    assert "250 ft (common practice, no source) and 200 sockets (common practice, no source)" in words
    assert "No limit of watts is set: take it from the maker's label" in words


@pytest.mark.parametrize(
    ("low", "high", "words"),
    [(0.4, 1.3, "cannot be told from the rest"), (1.1, 3.0, "more than chance gives"), (0.1, 0.9, "no reason to load"),
     (1.1, None, "1.10 or more")],
)  # fmt: skip
def test_faults_are_called_more_only_where_the_interval_is_above_one(
    low: float, high: float | None, words: str
) -> None:
    row = {
        "season": 2025,
        "loaded_jobs": 3,
        "loaded_points": 6,
        "loaded_nights": 1000,
        "other_jobs": 40,
        "other_points": 60,
        "other_nights": 20000,
        "ratio": 1.2,
        "low": low,
        "high": high,
        "widening": 1.0,
    }
    text = said(results(feed_loads=[feed("A", 1.2)], feed_faults=[row]))  # fmt: skip
    assert words in text
    assert ("more than chance gives" in text) == (low > 1)


def test_circuits_that_no_run_names_are_bounded_by_the_whole_house() -> None:
    text = said(results(feed_loads=[feed("A", 0.5)], circuit_loads=[circuit(266), circuit(100)]))
    assert "No run names its circuit. Were all the lights of a house on one, the largest would draw 266 W" in text
    assert "1,440 W" in text
    named = said(results(feed_loads=[feed("A", 0.5)], circuit_loads=[circuit(266, "3")]))
    assert "The most that lights draw on one circuit is 266 W" in named
    dark = said(results(feed_loads=[feed("A", 0.5)], circuit_loads=[circuit(None)]))
    assert "What the lights draw on a circuit is not known" in dark


def test_a_circuit_over_its_limit_is_listed() -> None:
    found = blocks(results(feed_loads=[feed("A", 0.5)], circuit_loads=[circuit(1441, "3"), circuit(1440, "4")]))
    (listed,) = [b for b in found if isinstance(b, Table) and b.name == "circuits_over"]
    assert [row.cells[2] for row in listed.rows] == ["3"]


@pytest.mark.parametrize(("share", "words"), [(0.03, "within the 3 %"), (0.0301, "1 feed loses more than the 3 %")])
def test_a_drop_is_worth_a_word_above_3_percent(share: float, words: str) -> None:
    assert words in said(results(feed_loads=[feed("A", 0.5, drop_share=share)]))


def test_watts_and_feeds_that_are_not_known_are_said_so() -> None:
    runs = [KEY | {"run_no": str(n), "feed": None, "feet": Decimal(10), "watts": None} for n in (1, 2)]
    text = said(results(feed_loads=[feed("A", 0.5, watts=None, amps=None, drop_share=None)], feed_runs=runs))
    assert "2 runs name no feed and are on no feed's load." in text
    assert "1 feed has bulbs without watts in items" in text


def days(*counts: int | None) -> list[dict[str, Any]]:
    start = date(2025, 11, 1)
    return [
        KEY | {"job_no": f"10{n}", "install_date": start, "days_up": up, "lit_nights": 60,
               "takedown_date": None if up is None else start + timedelta(days=up)}
        for n, up in enumerate(counts)
    ]  # fmt: skip


def test_the_ninetieth_day_is_inside_and_the_next_is_listed() -> None:
    text = said(results(installation_days=days(90, 60)))
    assert "No installation that was taken down hung longer than the 90 days" in text
    text = said(results(installation_days=days(90, 91, None)))
    assert "1 installation hung longer than the 90 days" in text
    assert "101 in north (91 days)." in text
    assert "1 job has no takedown date" in text


def test_a_long_list_ends_with_where_the_rest_is() -> None:
    rows = [split("A", 1.5 - n / 100, job_no=str(n)) for n in range(22)]
    found = blocks(results(feed_loads=[feed("A", 1.5)], feeds_to_split=rows))
    (listed,) = [b for b in found if isinstance(b, Table) and b.name == "feeds_to_split"]
    assert len(listed.rows) == 20
    assert str(listed.note) == "2 more places are in decisions.feeds_to_split."


def test_the_page_tells_feeds_to_split_in_its_first_sentences() -> None:
    document = manager_document(results(feed_loads=[feed("A", 1.2)], feeds_to_split=[split("A", 1.2)]))
    assert "1 feed passes a limit and should be split." in str(document.lead)
