"""figures.json."""

from __future__ import annotations

import json
from datetime import date
from decimal import Decimal
from pathlib import Path

from support.made_results import made_results

from pipeline.documents import build_documents
from pipeline.render import write_figures
from pipeline.render.figures import plain


def test_a_figure_carries_what_is_needed_to_check_it(tmp_path: Path) -> None:
    path = tmp_path / "figures.json"
    write_figures(build_documents(made_results()), path)
    content = json.loads(path.read_text(encoding="utf-8"))
    figures = {figure["name"]: figure for figure in content["figures"]}
    assert content["season"] == 2025
    price = figures["owner.price_table.all.0_8.price_usd_per_ft"]
    assert (price["value"], price["low"], price["high"], price["level"]) == (7.8, 7.45, 8.2, "0.95")
    assert price["unit"] == "usd/ft"
    assert price["source"] == {"table": "decisions.price_table", "row": "season=2026, segment=all, chance=0.8"}
    assert "owner.segment_cost.work.new.cost_usd_per_ft" in figures
    assert all(figure["definition"] and figure["source"]["table"] for figure in figures.values())


def test_the_same_results_give_the_same_bytes(tmp_path: Path) -> None:
    for name in ("one", "two"):
        write_figures(build_documents(made_results()), tmp_path / name)
    assert (tmp_path / "one").read_bytes() == (tmp_path / "two").read_bytes()


def test_exact_decimals_are_text_and_floats_end_at_ten_digits() -> None:
    assert plain(Decimal("1200.500000000000")) == "1200.5"
    assert plain(Decimal("100")) == "100"
    assert plain(0.1 + 0.2) == 0.3
    assert plain(date(2026, 5, 31)) == "2026-05-31"
    assert plain(7) == 7
