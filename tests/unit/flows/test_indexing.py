"""The page over all seasons."""

from __future__ import annotations

import json
import re
from pathlib import Path

from pipeline.flows.indexing import write_index


def season(reports: Path, name: str, *files: str, firm: str = "A firm & <sons>") -> None:
    folder = reports / name
    folder.mkdir(parents=True)
    figures = [{"name": "owner.cost_usd_per_ft", "value": 5.451}, {"name": "owner.margin_share", "value": "0.276"}]
    (folder / "figures.json").write_text(json.dumps({"firm": firm, "figures": figures}), encoding="utf-8")
    for file in files:
        (folder / file).write_text("", encoding="utf-8")


def test_the_latest_season_comes_first_with_its_figures_and_the_files_that_are_there(tmp_path: Path) -> None:
    season(tmp_path, "2024", "owner.html")
    season(tmp_path, "2025", "owner.html", "owner.pdf", "season.xlsx")
    (tmp_path / "notes").mkdir()
    written = write_index(tmp_path)
    html = written["index"].read_text(encoding="utf-8")
    assert re.findall(r"Season (\d{4}/\d\d)", html) == ["2025/26", "2024/25"]
    assert re.findall(r'href="([^"]+)"', html) == [
        "2025/owner.html", "2025/owner.pdf", "2025/season.xlsx", "2025/figures.json",
        "2024/owner.html", "2024/figures.json",
    ]  # fmt: skip
    assert "$5.45/ft" in html
    assert "27.6\u00a0%" in html
    assert "A firm &amp; &lt;sons&gt;" in html


def test_without_a_season_there_is_no_index(tmp_path: Path) -> None:
    assert write_index(tmp_path) == {}
