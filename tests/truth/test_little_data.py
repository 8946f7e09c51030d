"""Seasons with little in them, closed whole: what the manager's page and the sheet say, and what they leave unsaid."""

from __future__ import annotations

import csv
from datetime import date, timedelta
from functools import cache
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any

import pytest

from pipeline.documents.listing import figures_of
from pipeline.documents.model import Chart, Document, Note, Table
from pipeline.flows.close import close_directly
from pipeline.flows.stages import Request, SeasonInHand

Rows = list[dict[str, Any]]
START = date(2025, 11, 3)
CALLS = ("call_no", "job_no", "call_date", "fixed_date", "cause", "connection_kind", "points")


def jobs(count: int, crews: tuple[str, ...] = ("Maple", "Oak")) -> Rows:
    return [
        {"job_no": 101 + n, "customer_no": f"C{n}", "crew": crews[n % len(crews)], "work": "new", "terms": "sold",
         "stories": 1 + n % 2, "invoiced": 900 + 20 * n, "feet": 100 + 10 * (n % 5),
         "install_date": START + timedelta(days=n), "takedown_date": date(2026, 1, 8)}
        for n in range(count)
    ]  # fmt: skip


def hours(of: Rows) -> Rows:
    """Four hours and a bit of two workers a job, alike for every crew."""
    return [
        {"work_date": job["install_date"], "job_no": job["job_no"], "crew": job["crew"],
         "worker_no": f"{job['crew']} {worker}", "task": "install", "hours": 4 + (int(job["job_no"]) * 7 % 5) / 4}
        for job in of for worker in (1, 2)
    ]  # fmt: skip


def runs(of: Rows) -> Rows:
    return [
        {"job_no": job["job_no"], "run_no": 1, "surface": "gutter", "feet": job["feet"], "spacing_in": 12,
         "line_item": "LL12", "bulb_item": "B9", "feed": "A"}
        for job in of
    ]  # fmt: skip


def connections(of: Rows, kinds: tuple[str, ...] = ("plug", "splice")) -> Rows:
    return [{"job_no": job["job_no"], "kind": kind, "count": 3} for job in of for kind in kinds]


def calls(of: Rows, count: int, kind: str = "plug") -> Rows:
    days = [job["install_date"] + timedelta(days=9) for job in of[:count]]
    return [
        dict(zip(CALLS, (f"S{n}", job["job_no"], day, day + timedelta(days=1), "plug", kind, 1), strict=True))
        for n, (job, day) in enumerate(zip(of, days, strict=False))
    ]


ITEMS: Rows = [
    {
        "item_no": "LL12",
        "kind": "light_line",
        "unit": "ft",
        "pack_size": 500,
        "pack_price": 150,
        "spacing_in": 12,
        "watts": None,
    },
    {
        "item_no": "B9",
        "kind": "bulb",
        "unit": "each",
        "pack_size": 100,
        "pack_price": 60,
        "spacing_in": None,
        "watts": 0.6,
    },
]
OVERHEADS: Rows = [{"what": "Rent", "amount": 400, "basis": "feet"}]


def workers(of: Rows) -> Rows:
    names = sorted({(job["crew"], worker) for job in of for worker in (1, 2)})
    return [{"worker_no": f"{crew} {worker}", "hourly_wage": 20} for crew, worker in names]


def season(of: Rows, **more: Rows) -> dict[str, Rows]:
    return {"jobs": of, "hours": hours(of), "workers": workers(of), "overheads": OVERHEADS} | more


def full(of: Rows, attended: Rows) -> dict[str, Rows]:
    """With runs, items, connections and calls."""
    return season(of, runs=runs(of), items=ITEMS, connections=connections(of), service_calls=attended)


def level_one() -> dict[str, Rows]:
    of = jobs(12)
    return season(of) | {"hours": [{k: v for k, v in row.items() if k not in ("job_no", "task")} for row in hours(of)]}


SEASONS = {
    "one crew": lambda: full(jobs(12, ("Maple",)), calls(jobs(12, ("Maple",)), 4)),
    "three jobs": lambda: full(jobs(3), calls(jobs(3), 1)),
    "no faults": lambda: full(jobs(20), []),
    "one kind": lambda: full(jobs(20), calls(jobs(20), 3)),
    "level one": level_one,
    "level two": lambda: season(jobs(20)),
}


@cache
def closed(name: str) -> tuple[Document, Document]:
    """The manager's page and the sheet of a season."""
    with TemporaryDirectory() as place:
        folder = Path(place) / "records"
        folder.mkdir()
        for table, rows in SEASONS[name]().items():
            with (folder / f"{table}.csv").open("w", encoding="utf-8", newline="") as file:
                writer = csv.DictWriter(file, list(rows[0]) if rows else list(CALLS))
                writer.writeheader()
                writer.writerows(rows)
        hand = SeasonInHand(Request(folder=folder, out=Path(place), store=Path(place) / "perfoot.duckdb"))
        close_directly(hand, lambda *_: None)
        by_name = {document.name: document for document in hand.documents}
        return by_name["manager"], by_name["crew-sheet"]


def said(document: Document) -> str:
    """Every sentence, title and footnote of a document."""
    words = [str(document.lead)]
    for block in document.blocks:
        if isinstance(block, Note):
            words.append(str(block.text))
        elif isinstance(block, Chart):
            words.append(str(block.title))
        elif isinstance(block, Table) and block.note:
            words.append(str(block.note))
    return " ".join(words).replace("\N{NO-BREAK SPACE}", " ")


def names(document: Document) -> set[str]:
    return {block.name for block in document.blocks if isinstance(block, Chart | Table)}


RANKED = ("more hours than the average crew", "fewer hours than the average crew", "took more hours", "took fewer")


@pytest.mark.parametrize("name", SEASONS)
def test_no_crew_is_ranked_where_crews_work_alike_or_are_too_few(name: str) -> None:
    page, sheet = (said(document) for document in closed(name))
    for words in RANKED:
        assert words not in page
        assert words not in sheet


@pytest.mark.parametrize("name", SEASONS)
def test_every_page_warns_and_names_no_figure_that_it_does_not_hold(name: str) -> None:
    page, sheet = closed(name)
    assert "not a target for a person on a ladder" in said(page)
    assert "not a target for a person on a ladder" in said(sheet)
    for document in (page, sheet):
        assert "None" not in said(document)
        assert "nan" not in said(document)
        figures_of(document)


@pytest.mark.parametrize("name", ["one crew", "three jobs"])
def test_too_few_to_compare_is_said_in_words(name: str) -> None:
    page, _ = closed(name)
    assert "crews_compared" not in names(page)
    assert "compare" in str(page.lead) or "cannot" in str(page.lead)


def test_without_a_fault_no_kind_is_the_worst_and_none_is_free_of_them() -> None:
    page, sheet = closed("no faults")
    assert "No connection failed this season" in str(page.lead)
    assert "up to" in str(page.lead)
    assert "fails most often" not in said(page)
    assert "failed most often" not in said(page)
    assert "none is to be avoided" in said(sheet)


def test_faults_of_one_kind_alone_do_not_make_it_the_worst() -> None:
    """3 of 3 at plugs, as many splices over the same nights: 1/2 ^ 3 x 2 is .25, which is chance."""
    page, sheet = closed("one kind")
    assert "fails most often" not in said(page)
    assert "cannot be told from" in said(page)
    assert "none is to be avoided" in said(sheet)


def test_a_season_alone_compares_no_seasons() -> None:
    page, _ = closed("one kind")
    assert "earlier season" not in str(page.lead)
    assert "feeds_by_load" in names(page)
    assert "20 feeds are all within the limits" in said(page)


@pytest.mark.parametrize("name", ["level one", "level two"])
def test_records_of_the_first_levels_say_what_the_next_would_add(name: str) -> None:
    page, sheet = closed(name)
    words = said(page)
    assert "failure rates cannot be given" in words
    assert "No run names the feed that it hangs on" in words
    assert "The records reach level" in words
    assert "feeds_by_load" not in names(page)
    assert "nothing is known of joints" in said(sheet)
