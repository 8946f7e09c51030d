"""Pages: text is only text, the same document gives the same bytes, and every number has a name."""

from __future__ import annotations

import re
from dataclasses import replace
from html.parser import HTMLParser
from itertools import pairwise

import polars as pl
import pytest
from support.hostile_words import MARKUP, WORDS, hostile_tables
from support.made_results import made_results, made_tables

from pipeline.documents import build_documents
from pipeline.documents.listing import figures_of
from pipeline.documents.model import Section, Table
from pipeline.render import html_of, pages_beside
from pipeline.render.definitions import definitions_of
from pipeline.render.html import MOST_ROWS


class Page(HTMLParser):
    """Tags, and the text of table cells with the figure each names."""

    def __init__(self) -> None:
        super().__init__()
        self.tags: list[str] = []
        self.cells: list[tuple[str | None, str]] = []
        self.outside: list[str] = []
        self.words: list[str] = []
        self._cell: str | bool | None = False

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.append(tag)
        values = dict(attrs)
        self.outside += [str(v) for k, v in attrs if k in ("src", "href", "xlink:href") and not str(v).startswith("#")]
        if tag == "td" and "number" in str(values.get("class")):
            self._cell = values.get("data-figure")
            self.cells.append((self._cell, ""))

    def handle_data(self, data: str) -> None:
        self.words.append(data)
        if self._cell is not False:
            name, text = self.cells[-1]
            self.cells[-1] = (name, text + data)

    def handle_endtag(self, tag: str) -> None:
        if tag == "td":
            self._cell = False


def read(html: str) -> Page:
    page = Page()
    page.feed(html)
    return page


@pytest.fixture(scope="module")
def pages() -> dict[str, str]:
    return {document.name: html_of(document) for document in build_documents(made_results())}


def test_text_of_a_spreadsheet_is_never_markup() -> None:
    for document in build_documents(made_results(tables=hostile_tables(MARKUP), firm=MARKUP)):
        html = html_of(document)
        assert "&lt;script&gt;" in html
        assert "{{ 7*7 }}" in html
        tags = read(html).tags
        assert "script" not in tags
        assert "img" not in tags


@pytest.mark.parametrize("words", WORDS.values(), ids=WORDS.keys())
def test_hard_words_stay_whole_on_the_page(words: str) -> None:
    for document in build_documents(made_results(tables=hostile_tables(words), firm=words)):
        # A sheet says few words of the records: the firm's name is what there is.
        times = 3 if document.layout == "report" else 0
        assert "".join(read(html_of(document)).words).count(words) > times


def test_a_page_needs_nothing_outside_itself(pages: dict[str, str]) -> None:
    for html in pages.values():
        page = read(html)
        assert page.outside == []
        assert not {"script", "link", "iframe", "object"} & set(page.tags)
        assert "@import" not in html


def test_a_page_leads_to_the_others_of_its_season_where_they_are() -> None:
    documents = build_documents(made_results())
    page = read(html_of(documents[0], pages_beside(documents, documents[0])))
    assert page.outside == [
        "manager.html",
        "buyer.html",
        "intake.html",
        "crew-sheet.html",
        "rate-card.html",
        "../index.html",
    ]
    assert pages_beside(documents[:1], documents[0]) == ()


def test_the_contents_lead_to_every_section_and_a_figure_to_its_definition(pages: dict[str, str]) -> None:
    for document in build_documents(made_results()):
        html = pages[document.name]
        ids = set(re.findall(r'\bid="([^"]+)"', html))
        targets = re.findall(r'href="#([^"]+)"', html)
        assert set(targets) <= ids
        assert {section.name for section in document.sections} <= set(targets)
        known = {one.anchor for one in definitions_of(document).values()}
        assert known
        assert known <= ids


def test_headings_follow_each_other_without_a_gap(pages: dict[str, str]) -> None:
    for html in pages.values():
        levels = [int(level) for level in re.findall(r"<h(\d)", html)]
        assert levels[0] == 1
        assert levels.count(1) == 1
        assert all(after - before <= 1 for before, after in pairwise(levels))


def test_a_long_table_is_cut_and_says_so() -> None:
    document = build_documents(made_results())[0]
    table = next(block for block in document.blocks if isinstance(block, Table))
    for more, said in ((0, False), (1, True)):
        rows = tuple(replace(table.rows[0], key=f"row_{n}") for n in range(MOST_ROWS + more))
        long = replace(document, sections=(Section("long", "Long", (replace(table, rows=rows),)),))
        assert ("1 more rows are in the store" in html_of(long)) is said


def test_the_same_document_gives_the_same_bytes() -> None:
    first = [html_of(document) for document in build_documents(made_results())]
    again = [html_of(document) for document in build_documents(made_results())]
    assert first == again


def test_every_number_in_a_table_is_a_named_figure(pages: dict[str, str]) -> None:
    listed = {name: f for document in build_documents(made_results()) for name, f in figures_of(document).items()}
    numbers = 0
    for html in pages.values():
        for name, text in read(html).cells:
            if re.search(r"\d", text):
                assert name in listed, text
                numbers += 1
    assert numbers > 300


def test_every_named_figure_of_a_page_is_listed(pages: dict[str, str]) -> None:
    for document in build_documents(made_results()):
        named = set(re.findall(r'data-figure="([^"]+)"', pages[document.name]))
        assert named <= set(figures_of(document))


def test_no_heading_is_empty(pages: dict[str, str]) -> None:
    for html in pages.values():
        assert not re.findall(r"<th[^>]*>\s*</th>", html)


def test_ids_are_given_once(pages: dict[str, str]) -> None:
    for html in pages.values():
        ids = re.findall(r'\bid="([^"]+)"', html)
        assert len(ids) == len(set(ids))


def test_a_chart_is_told_in_words(pages: dict[str, str]) -> None:
    assert 'role="img" aria-label="Labor is the largest part of a foot' in pages["owner"]


def test_what_is_not_known_is_a_dash_with_its_explanation() -> None:
    tables = made_tables()
    nothing = pl.lit(None, dtype=pl.Decimal(18, 2))
    tables["measures.season_cost"] = tables["measures.season_cost"].with_columns(travel_usd=nothing)
    html = html_of(build_documents(made_results(tables=tables))[0])
    row = html[html.index('data-heading="Part of cost">Travel') :]
    assert row[: row.index("</tr>")].count("\N{EN DASH}</td>") == 3
    assert "A dash stands where the records handed in do not say" in html
