"""A small document in every form, compared with kept ones.

To keep new ones on purpose, look at what changed: PYTHONPATH=.:tests python tests/gold/test_small_document.py
"""

from __future__ import annotations

import re
import tempfile
from decimal import Decimal
from pathlib import Path

import openpyxl
import polars as pl
import pytest
from support.pdf_reading import Element, read_pdf

from pipeline import __version__
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
from pipeline.documents.season_tables import result_files, season_sheet
from pipeline.render import SeasonBook, html_of, pdf_of, write_figures, write_season_workbook

NAMES = ("small.html", "small.pdf.txt", "small.xlsx.txt", "small.json")
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


def structure(element: Element, depth: int = 0) -> str:
    """A PDF's structure as lines: kind, alternative text and own text, the elements in it further in."""
    own = " ".join(part for part in element.parts if isinstance(part, str)).strip()
    line = f"{'  ' * depth}{element.kind}{f' [{element.alt}]' if element.alt else ''}{f': {own}' if own else ''}"
    inner = [structure(part, depth + 1) for part in element.parts if isinstance(part, Element)]
    return "\n".join([line.rstrip(), *inner])


def cells(path: Path) -> str:
    """A workbook as lines: sheet, place, type, number format and value of each cell that holds something."""
    lines = []
    for sheet in openpyxl.load_workbook(path):
        lines.append(f"{sheet.title} {sheet.freeze_panes} {sheet.auto_filter.ref}")
        found = [cell for row in sheet.iter_rows() for cell in row if cell.value is not None]
        lines += [f"  {cell.coordinate} {cell.data_type} {cell.number_format} {cell.value}" for cell in found]
    return "\n".join(lines)


def printed(name: str, folder: Path) -> str:
    """What a renderer makes of the document today, as text without what changes with the version."""
    document = small_document()
    if name == "small.html":
        return scrubbed(html_of(document)).replace(f"perfoot {__version__}", "perfoot")
    if name == "small.pdf.txt":
        return structure(read_pdf(pdf_of(document)).tree) + "\n"
    if name == "small.xlsx.txt":
        frame = pl.DataFrame(
            [{"season": 2025, "job_no": "=1+1", "feet": Decimal("120.5"), "total_usd": Decimal("6.10")}]
        )
        sheet = season_sheet(result_files()["measures.job_cost"], frame)
        files = ({"path": "jobs.xlsx", "sha256": "ab12", "rows": 14},)
        settings = ({"setting": "target_margin", "value": "0.3", "origin": "given"},)
        book = SeasonBook(2025, document.firm, (sheet,), (document,), files, settings)
        write_season_workbook(book, folder / "season.xlsx")
        return cells(folder / "season.xlsx").replace(f"perfoot {__version__}", "perfoot") + "\n"
    write_figures((document,), folder / "figures.json")
    return (folder / "figures.json").read_text(encoding="utf-8")


@pytest.mark.parametrize("name", NAMES)
def test_what_is_printed_is_what_is_kept(name: str, tmp_path: Path) -> None:
    assert printed(name, tmp_path) == (KEPT / name).read_text(encoding="utf-8")


if __name__ == "__main__":
    with tempfile.TemporaryDirectory() as scratch:
        for kept in NAMES:
            (KEPT / kept).write_text(printed(kept, Path(scratch)), encoding="utf-8")
