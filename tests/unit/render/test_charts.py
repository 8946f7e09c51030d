"""Charts: drawn from values alone, with nothing cut off."""

from __future__ import annotations

import re

import pytest
from support.made_results import made_results

from pipeline.documents import build_documents
from pipeline.documents.model import Axis, Chart, ChartKind, Point, Series, Source, Text
from pipeline.render.canvas import WRAP_AT, wrapped
from pipeline.render.charts import draw

KINDS: tuple[ChartKind, ...] = ("waterfall", "columns", "bars", "dots", "pairs", "ranges", "control", "scatter")


def chart(kind: ChartKind, label: str = "plug", value: float = 2.0) -> Chart:
    points = (Point("a", label, value, value / 2, value * 2), Point("b", f"{label} b", value, 0, value))
    series = (Series("s", "first", points), Series("t", "second", points))
    return Chart("c", kind, Text(("T",)), Axis("dollars", "usd", "usd_cents"), "kind", series, "", Source("t"))


@pytest.mark.parametrize("kind", KINDS)
def test_every_kind_is_drawn_the_same_twice(kind: ChartKind) -> None:
    assert draw(chart(kind)) == draw(chart(kind))


@pytest.mark.parametrize("kind", KINDS)
def test_every_kind_bears_nothing_but_zeros(kind: ChartKind) -> None:
    assert draw(chart(kind, value=0.0)).startswith("<svg")


@pytest.mark.parametrize("kind", KINDS)
def test_words_are_drawn_and_never_markup_or_formulas(kind: ChartKind) -> None:
    svg = draw(chart(kind, label="<b>$x_1$ -- </svg>"))
    assert "<b>" not in svg
    assert svg.count("</svg>") == 1
    assert "<!--" not in svg


def test_a_chart_keeps_to_its_own_ids() -> None:
    for document in build_documents(made_results()):
        for block in document.blocks:
            if isinstance(block, Chart):
                svg = draw(block)
                ids = set(re.findall(r'\bid="([^"]+)"', svg))
                used = set(re.findall(r'(?:href="#|url\(#)([^")]+)', svg))
                assert used <= ids
                assert all(name.startswith(f"{block.name}-") for name in ids)


def test_a_long_label_goes_on_to_a_second_line_and_then_ends() -> None:
    assert wrapped("taped socket") == "taped socket"
    lines = wrapped("sockets agree with length and spacing and every other thing").split("\n")
    assert len(lines) == 2
    assert all(len(line) <= WRAP_AT for line in lines)
    assert lines[1].endswith("…")
