"""The page over all seasons: what lies in the reports' folder, each season with its first figures and its files."""

from __future__ import annotations

import json
from functools import partial
from pathlib import Path
from typing import Any

from pipeline.flows.writing import write_whole

FIRST_FIGURES = (
    ("owner.cost_usd_per_ft", "a foot cost", "usd_per_ft"),
    ("owner.charged_usd_per_ft", "a foot was charged at", "usd_per_ft"),
    ("owner.margin_share", "was left of the price", "share"),
)
"""Figures of a season that the index prints: name, words, format."""
FILES = (
    ("owner.html", "Owner's report: cost, price, losses"),
    ("manager.html", "Manager's report: crews, connections, calls"),
    ("crew-sheet.html", "Crew sheet: a page to hang up"),
    ("rate-card.html", "Rate card: next season's prices on a page"),
    ("buyer.html", "Buyer's report: what to order"),
    ("intake.html", "Intake report: what was read"),
    ("season.xlsx", "Every measure and decision as a table (XLSX)"),
    ("order.xlsx", "The order by supplier (XLSX)"),
    ("rejects.xlsx", "Rows to put right (XLSX)"),
    ("figures.json", "Every printed figure, for programs (JSON)"),
)
"""Files of a season and what each is."""


def _row(folder: Path) -> dict[str, Any]:
    from pipeline.documents.formats import show

    content = json.loads((folder / "figures.json").read_text(encoding="utf-8"))
    values = {figure["name"]: figure["value"] for figure in content["figures"]}
    files = []
    for name, words in FILES:
        if (folder / name).is_file():
            paper = (folder / name).with_suffix(".pdf")
            has_paper = name.endswith(".html") and paper.is_file()
            beside = f"{folder.name}/{paper.name}" if has_paper else None
            files.append({"href": f"{folder.name}/{name}", "words": words, "paper": beside})
    return {
        "season": int(folder.name),
        "firm": content["firm"],
        "figures": [
            (words, show(_number(values[name]), form, with_unit=True))
            for name, words, form in FIRST_FIGURES
            if values.get(name) is not None
        ],
        "files": files,
    }


def _number(value: str | float) -> float:
    return float(value)


def write_index(reports: Path) -> dict[str, Path]:
    """Write index.html over the seasons whose figures.json lies in a folder of `reports`; the latest first."""
    from pipeline.render import index_of

    folders = [path.parent for path in reports.glob("*/figures.json") if path.parent.name.isdigit()]
    rows = [_row(folder) for folder in sorted(folders, key=lambda folder: -int(folder.name))]
    if not rows:
        return {}
    path = reports / "index.html"
    write_whole(path, partial(_write, index_of(rows)))
    return {"index": path}


def _write(text: str, path: Path) -> None:
    path.write_text(text, encoding="utf-8")
