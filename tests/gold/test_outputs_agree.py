"""What is printed is what figures.json says: every number is read back from page, paper and workbook and compared."""

from __future__ import annotations

import json
from decimal import Decimal
from html.parser import HTMLParser
from pathlib import Path
from typing import Any

import openpyxl
import pytest
from support.made_results import made_results
from support.pdf_reading import read_pdf
from support.printed import place, read_number, says, split_interval

from pipeline.documents import build_documents
from pipeline.documents.listing import cell_name, full_name, is_figure
from pipeline.documents.model import Chart, Document, Note, Table, Text
from pipeline.render import SeasonBook, html_of, pdf_of, write_figures, write_season_workbook

LEAST = 300
"""Figures that the made season prints at least: fewer would mean that a reader here has gone blind."""


class Page(HTMLParser):
    """Every element of a page that names a figure, with its text and its interval's."""

    def __init__(self, text: str) -> None:
        super().__init__()
        self.found: list[tuple[str, str, str]] = []
        self._open: list[list[Any]] = []
        self.feed(text)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        values = dict(attrs)
        if "data-figure" in values:
            self._open.append([tag, values["data-figure"], "", "", 0])
        elif self._open and tag == self._open[-1][0]:
            self._open[-1][4] += 1
        if self._open and "between" in str(values.get("class")):
            self._open[-1][3] = None

    def handle_data(self, data: str) -> None:
        if self._open:
            one = self._open[-1]
            if one[3] is None:
                one[3] = data
            else:
                one[2] += data

    def handle_endtag(self, tag: str) -> None:
        if self._open and tag == self._open[-1][0]:
            if self._open[-1][4]:
                self._open[-1][4] -= 1
                return
            _, name, text, between, _ = self._open.pop()
            self.found.append((name, text, between))


@pytest.fixture(scope="module")
def documents() -> tuple[Document, ...]:
    return build_documents(made_results())


@pytest.fixture(scope="module")
def figures(documents: tuple[Document, ...], tmp_path_factory: pytest.TempPathFactory) -> dict[str, dict[str, Any]]:
    path = tmp_path_factory.mktemp("figures") / "figures.json"
    write_figures(documents, path)
    return {figure["name"]: figure for figure in json.loads(path.read_text(encoding="utf-8"))["figures"]}


def test_a_number_is_read_as_it_is_written() -> None:
    assert read_number("\u2212$1,234.50")[0].__str__() == "-1234.50"
    assert says("12.4\u00a0%", 0.1239)
    assert not says("12.4\u00a0%", 0.1251)
    assert says("30\u00a0Apr\u00a02026", "2026-04-30")
    assert not says("$5.45", "5.456")
    assert says("under 0.1\u00a0%", 0.0004)
    assert not says("under 0.1\u00a0%", 0.0006)
    assert place(1.87, 1.2, 2.9) == Decimal("0.1")
    assert says("1.9", 1.8743, Decimal("0.1"))


def test_every_figure_of_a_page_is_that_of_the_list(
    documents: tuple[Document, ...], figures: dict[str, dict[str, Any]]
) -> None:
    named = set()
    for document in documents:
        for name, text, between in Page(html_of(document)).found:
            figure = figures[name]
            assert says(text, figure["value"], step_of(figure)), (name, text, figure["value"])
            if between:
                assert same_interval(*split_interval(between)[1:], figure), (name, between)
            named.add(name)
    assert named == set(figures)


def same_interval(low: str | None, high: str | None, figure: dict[str, Any]) -> bool:
    """Whether the ends that are printed are those of the list, and none is missing."""
    ends = ((low, figure.get("low")), (high, figure.get("high")))
    step = step_of(figure)
    return all((text is None) == (value is None) and (text is None or says(text, value, step)) for text, value in ends)


def step_of(figure: dict[str, Any]) -> Decimal:
    """The finest step to which a figure is printed."""
    if figure.get("low") is None and figure.get("high") is None:
        return Decimal(0)
    return place(figure["value"], figure.get("low"), figure.get("high"))


def test_every_figure_of_a_paper_s_tables_is_that_of_the_list(
    documents: tuple[Document, ...], figures: dict[str, dict[str, Any]]
) -> None:
    compared = 0
    for document in documents:
        drawn = read_pdf(pdf_of(document)).tree.all("Table")
        tables = [block for block in document.blocks if isinstance(block, Table)]
        for table, element in zip(tables, drawn, strict=True):
            for row, line in zip(table.rows, element.all("TR")[1:], strict=True):
                for cell, column, set_cell in zip(row.cells, table.columns, line.all("TD", "TH"), strict=True):
                    if not is_figure(cell, column):
                        continue
                    name = full_name(document, cell_name(table, row, column))
                    text, low, high = split_interval(set_cell.text.replace("\u200b", ""))
                    assert says(text, figures[name]["value"], step_of(figures[name])), (name, text)
                    assert same_interval(low, high, figures[name]), (name, low, high)
                    compared += 1
    assert compared > LEAST


def test_the_first_screen_of_a_paper_says_the_figures_of_the_list(
    documents: tuple[Document, ...], figures: dict[str, dict[str, Any]]
) -> None:
    for document in documents:
        links = [link.text for link in read_pdf(pdf_of(document)).tree.all("Link")]
        for figure in (*document.figures, *document.lead.figures):
            entry = figures[full_name(document, figure.name)]
            read = [text for text in links if any(c.isdigit() for c in text)]
            assert any(says(text, entry["value"], step_of(entry)) for text in read), (figure.name, entry)


def test_every_value_of_a_paper_s_pictures_is_that_of_the_list(
    documents: tuple[Document, ...], figures: dict[str, dict[str, Any]]
) -> None:
    """A picture's values stand in its alternative text, each with its interval: `Aspen 0.88 (0.78 to 0.98)`."""
    compared = 0
    for document in documents:
        charts = [block for block in document.blocks if isinstance(block, Chart)]
        for chart, drawn in zip(charts, read_pdf(pdf_of(document)).tree.all("Figure"), strict=True):
            rest = drawn.alt
            for series in chart.series:
                rest = rest.partition(f"{series.label}: ")[2]
                for point, said in zip(series.points, rest.partition(". ")[0].split("; "), strict=False):
                    name = full_name(document, f"{chart.name}.{series.key}.{point.key}")
                    where = f"{point.group}, {point.label}" if point.group else point.label
                    assert said.startswith(where), (name, said)
                    value, _, between = said.removeprefix(where).strip(" .").partition(" (")
                    assert says(value, figures[name]["value"], step_of(figures[name])), (name, said)
                    assert same_interval(*split_interval(between.rstrip(")."))[1:], figures[name]), (name, said)
                    compared += 1
    assert compared > LEAST / 4


def test_the_values_beside_a_picture_s_marks_are_letters_on_paper(
    documents: tuple[Document, ...], figures: dict[str, dict[str, Any]]
) -> None:
    """Bars, dots and intervals are drawn alone; what they come to can be searched and copied."""
    for document in documents:
        charts = [block for block in document.blocks if isinstance(block, Chart)]
        for chart, drawn in zip(charts, read_pdf(pdf_of(document)).tree.all("Figure"), strict=True):
            if chart.kind in ("waterfall", "bars", "dots"):
                series = chart.series[0]
                form = {"usd_per_ft": "usd_cents"}.get(chart.axis.format, chart.axis.format)
                for point in series.points:
                    assert point.shown(form) in drawn.text, (chart.name, point.key)
                    entry = figures[full_name(document, f"{chart.name}.{series.key}.{point.key}")]
                    assert says(point.shown(form), entry["value"], step_of(entry)), (chart.name, point.key)


def test_every_sentence_of_a_paper_is_the_page_s_and_its_figures_are_those_of_the_list(
    documents: tuple[Document, ...], figures: dict[str, dict[str, Any]]
) -> None:
    for document in documents:
        set_words = "".join(read_pdf(pdf_of(document)).tree.text.replace("\u200b", "").split())
        for text in [document.lead, *sentences(document)]:
            assert "".join(str(text).replace("\u200b", "").split()) in set_words, str(text)
            for figure in text.figures:
                entry = figures[full_name(document, figure.name)]
                assert says(figure.shown, entry["value"], step_of(entry)), (figure.name, figure.shown)


def sentences(document: Document) -> list[Text]:
    """Paragraphs, titles of pictures, and what stands below tables and pictures."""
    found = []
    for block in document.blocks:
        if isinstance(block, Note):
            found.append(block.text)
        else:
            found += [block.title] if isinstance(block, Chart) else []
            found += [block.note] if block.note else []
    return found


def test_every_figure_of_the_workbook_is_that_of_the_list(
    documents: tuple[Document, ...], figures: dict[str, dict[str, Any]], tmp_path: Path
) -> None:
    write_season_workbook(SeasonBook(2025, "A firm", (), documents, (), ()), tmp_path / "season.xlsx")
    sheet = openpyxl.load_workbook(tmp_path / "season.xlsx")["Figures"]
    head, *rows = [[cell.value for cell in row] for row in sheet.iter_rows()]
    listed = {row[0]: dict(zip(head, row, strict=True)) for row in rows}
    assert listed.keys() == figures.keys()
    for name, figure in figures.items():
        for key, heading in (("value", "Value"), ("low", "Low"), ("high", "High"), ("level", "Level")):
            want, got = figure.get(key), listed[name][heading]
            if want is None:
                assert got is None, name
            elif hasattr(got, "isoformat"):
                assert got.date().isoformat() == want, name
            else:
                # A cell holds a double: 15 digits are certain.
                assert float(want) == pytest.approx(got, rel=1e-15), name
