"""Paper: readable by a screen reader, the same bytes each time, and text is only text."""

from __future__ import annotations

import re
import unicodedata

import polars as pl
import pytest
from support.hostile_words import WORDS, hostile_tables
from support.made_results import SEASON, made_results, made_tables
from support.pdf_reading import Pdf, read_pdf

from pipeline import __version__
from pipeline.documents import build_documents, rate_card_document
from pipeline.documents.model import Chart, Document, Table
from pipeline.render import pdf_of
from pipeline.render.pdf import LONGEST_WORD, MOST_ROWS, printable


@pytest.fixture(scope="module")
def documents() -> tuple[Document, ...]:
    return build_documents(made_results())


@pytest.fixture(scope="module")
def papers(documents: tuple[Document, ...]) -> dict[str, bytes]:
    return {document.name: pdf_of(document) for document in documents}


@pytest.fixture(scope="module")
def read(papers: dict[str, bytes]) -> dict[str, Pdf]:
    return {name: read_pdf(data) for name, data in papers.items()}


def letters(text: str) -> str:
    """A text without what paper sets in its own way: spaces, breaks, order within a word that runs to the left."""
    return "".join(sorted(c for c in text if not c.isspace() and unicodedata.category(c) not in ("Cf", "Cc")))


def test_the_file_says_that_it_is_tagged_and_for_everyone(papers: dict[str, bytes]) -> None:
    for data in papers.values():
        assert b"/MarkInfo<</Marked true" in data
        assert b"<pdfuaid:part>1</pdfuaid:part>" in data  # ISO 14289-1, 5
        assert b"/Lang(en-US)" in data
        assert b"/DisplayDocTitle true" in data


def test_the_same_document_gives_the_same_bytes_and_no_date(
    documents: tuple[Document, ...], papers: dict[str, bytes]
) -> None:
    for document in documents:
        assert pdf_of(document) == papers[document.name]
        assert b"/CreationDate" not in papers[document.name]


def test_every_section_has_a_heading_a_bookmark_and_a_line_in_the_contents(
    documents: tuple[Document, ...], read: dict[str, Pdf]
) -> None:
    for document in documents:
        tree = read[document.name].tree
        titles = [section.title for section in document.sections]
        assert [h.text for h in tree.all("H1")][: len(titles)] == titles
        assert set(titles) <= set(read[document.name].bookmarks)
        contents = " ".join(entry.text for entry in tree.all("TOCI"))
        # A sheet to hang up is one page and has no contents.
        assert all((title in contents) == (document.layout == "report") for title in titles)


def test_a_rate_card_with_every_line_that_there_can_be_is_one_page() -> None:
    """Going there, the least charge, eight surfaces, two heights, slope and three kinds of work, the longest names."""
    surfaces = ("gutter", "shingle", "ridge", "masonry", "trim", "ground", "other", "other surface")
    lines = [("visit", "Going to a house"), ("least", "No job under")]
    lines += [("surface", f"each foot on {surface}") for surface in surfaces]
    lines += [("stories", f"{name}, on each foot") for name in ("2 stories", "3 stories or more")]
    lines += [("slope", "slope 9/12 and over, on each foot")]
    lines += [("work", f"{kind}, on each foot") for kind in ("new work, goods leased", "new work, goods sold",
                                                             "repeat work, goods sold")]  # fmt: skip
    rows = [
        {"season": SEASON + 1, "line": line, "term": term, "what": what, "basis": "usd a job" if line < 3 else
         "usd a foot", "amount_usd": 1234.55, "low": 1.0, "high": 9.0}
        for line, (term, what) in enumerate(lines, start=1)
    ]  # fmt: skip
    said = {"rate_card": ["Prices a foot are for repeat work, goods leased; lines of other kinds of work add to them."]}
    sheet = rate_card_document(
        made_results(tables=made_tables() | {"decisions.rate_card": pl.DataFrame(rows)}, notes=said)
    )
    assert sheet is not None
    drawn = read_pdf(pdf_of(sheet))
    assert len(drawn.tree.all("TR")) == 1 + 16
    assert any(text.endswith("1 of 1") for text in drawn.artifacts)


def test_every_chart_is_a_picture_with_its_words(documents: tuple[Document, ...], read: dict[str, Pdf]) -> None:
    for document in documents:
        charts = [block for block in document.blocks if isinstance(block, Chart)]
        said = [figure.alt for figure in read[document.name].tree.all("Figure")]
        assert [chart.alt for chart in charts] == said


def test_every_table_has_its_headings_and_all_its_rows(documents: tuple[Document, ...], read: dict[str, Pdf]) -> None:
    for document in documents:
        tables = [block for block in document.blocks if isinstance(block, Table)]
        drawn = read[document.name].tree.all("Table")
        assert len(tables) == len(drawn)
        for table, found in zip(tables, drawn, strict=True):
            rows = found.all("TR")
            assert len(rows) == 1 + len(table.rows)
            assert len(rows[0].all("TH")) == len(table.columns)
            for column, heading in zip(table.columns, rows[0].all("TH"), strict=True):
                assert set(column.heading.split()) <= set(heading.text.split())


def test_a_page_names_firm_season_version_and_its_number(papers: dict[str, bytes]) -> None:
    """The heads are set beside the text, as artifacts: they are looked for among all that is drawn."""
    pdf = read_pdf(papers["owner"])
    drawn = pdf.artifacts
    assert any("season 2025/26" in text and made_results().firm in text for text in drawn)  # type: ignore[operator]
    assert any(f"perfoot {__version__}" in text for text in drawn)
    assert any(re.search(r"1 of \d", text) for text in drawn)


@pytest.mark.parametrize("words", WORDS.values(), ids=WORDS.keys())
def test_hard_words_stay_whole_on_paper(words: str) -> None:
    document = build_documents(made_results(tables=hostile_tables(words), firm=words))[1]
    tree = read_pdf(pdf_of(document)).tree
    printed = words.translate({7: "\N{REPLACEMENT CHARACTER}", 27: "\N{REPLACEMENT CHARACTER}"})
    printed = re.sub("[\U0001f384\U0001f467-\U0001f469\u6f22\u5b57]", lambda c: f"[U+{ord(c[0]):04X}]", printed)
    # A tall row at a page's end is set on both pages, and its cell is then two.
    wanted = {letters(f"{printed} {n}") for n in range(4)}
    assert [cell for cell in tree.all("TD") if letters(cell.text) in wanted]


def test_a_long_word_may_be_broken_and_a_short_one_not() -> None:
    at_the_limit, over = "a" * LONGEST_WORD, "a" * (LONGEST_WORD + 1)
    assert printable(at_the_limit) == at_the_limit
    assert printable(over) == "a" * LONGEST_WORD + "\N{ZERO WIDTH SPACE}a"
    assert printable(f"{at_the_limit} {at_the_limit}") == f"{at_the_limit} {at_the_limit}"


def test_paper_holds_so_many_rows_and_says_where_the_others_are() -> None:
    document = build_documents(made_results())[0]
    table = next(block for block in document.blocks if isinstance(block, Table))
    for more, said in ((0, False), (1, True)):
        rows = tuple(table.rows[0] for _ in range(MOST_ROWS + more))
        long = Table(table.name, table.title, table.columns, rows)
        section = type(document.sections[0])("long", "Long", (long,))
        made = Document("owner", "T", 2025, None, document.lead, (), (section,))
        text = read_pdf(pdf_of(made)).tree.text
        assert ("1 more rows are" in text) is said
