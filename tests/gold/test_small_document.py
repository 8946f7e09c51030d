"""A small document as a page, compared with a kept one. To keep a new page on purpose: look at it, then copy it."""

from __future__ import annotations

import re
from decimal import Decimal
from pathlib import Path

from pipeline.documents.model import (
    Axis,
    Chart,
    Column,
    Document,
    Estimate,
    Figure,
    Note,
    Point,
    Row,
    Section,
    Series,
    Source,
    Table,
    Text,
    say,
)
from pipeline.render import html_of, write_figures

KEPT = Path(__file__).parent


def small_document() -> Document:
    source = Source("measures.season_cost", "season=2025, branch=all")
    cost = Figure("cost_usd_per_ft", "a foot cost", Decimal("4.77"), "usd_per_ft", "usd/ft", "cost / feet", source)
    chart = Chart(
        "made_of", "waterfall", say("Labor is most of {}", cost), Axis("dollars per foot", "usd/ft", "usd_per_ft"),
        "part", (Series("parts", "A foot", (Point("labor", "Labor", Decimal("4.77"), role="part"),)),),
        "amount / feet", source,
    )  # fmt: skip
    columns = (
        Column("crew", "Crew", "", "text", "the crew"),
        Column("ratio", "Observed / expected", "ratio", "ratio", "hours / expected hours", "low", "high"),
        Column("jobs", "Jobs", "jobs", "count", "jobs done"),
    )
    rows = (
        Row("aspen", ("Aspen & <sons>", Estimate(0.88, 0.78, 0.98), 14), Source("decisions.crew_comparison")),
        Row("birch", ("Birch", Estimate(None, None, None), 3), Source("decisions.crew_comparison")),
    )
    blocks = (Table("crews", "Crews", columns, rows), Note("caution", Text(("Not a target.",))))
    return Document(
        "owner", "What a foot cost", 2025, "Made Firm (invented)", say("A foot cost {}.", cost), (cost,),
        (Section("pictures", "In pictures", (chart,)), Section("crews", "Crews", blocks)),
    )  # fmt: skip


def scrubbed(html: str) -> str:
    """Without the style and the drawing, which have tests of their own."""
    html = re.sub(r"<style>.*?</style>", "<style></style>", html, flags=re.DOTALL)
    return re.sub(r"<svg.*?</svg>", "<svg></svg>", html, flags=re.DOTALL)


def test_the_page_is_the_kept_page() -> None:
    assert scrubbed(html_of(small_document())) == (KEPT / "small.html").read_text(encoding="utf-8")


def test_the_figures_are_the_kept_figures(tmp_path: Path) -> None:
    write_figures((small_document(),), tmp_path / "figures.json")
    assert (tmp_path / "figures.json").read_bytes() == (KEPT / "small.json").read_bytes()
