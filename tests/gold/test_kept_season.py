"""The demo season that is kept in reports/ to be read is what the program writes today.

Where it is not, and the change is meant: python -m tests.support.sample
"""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest
from support import sample
from support.demo import ROOT, closed

KEPT = ROOT / "reports" / "2025"


def figures(folder: Path) -> dict[str, dict[str, Any]]:
    return {figure["name"]: figure for figure in json.loads((folder / "figures.json").read_text("utf-8"))["figures"]}


def test_the_kept_figures_are_those_of_today() -> None:
    """Floats may differ in late digits from machine to machine; money may not."""
    kept, today = figures(KEPT), figures(closed() / "reports" / "2025")
    assert kept.keys() == today.keys()
    for name, figure in kept.items():
        for key in ("value", "low", "high"):
            one, other = figure.get(key), today[name].get(key)
            if isinstance(one, float) and isinstance(other, float):
                assert other == pytest.approx(one, rel=1e-5, abs=1e-9), name
            else:
                assert other == one, name


def test_the_kept_pages_and_their_picture_are_there() -> None:
    names = {path.name for path in KEPT.iterdir()}
    assert names == {*sample.KEPT, "owner.png"}
    assert (KEPT.parent / "index.html").is_file()
    assert "Lanternfold Rooflines (invented)" in (KEPT / "owner.html").read_text(encoding="utf-8")
