"""Few firms keep everything: the demo cut down to each level still gives what that level can carry."""

from __future__ import annotations

from decimal import Decimal
from pathlib import Path

import polars as pl
import pytest
from support.demo import checked
from support.levels import cut_to_level

from pipeline import cli
from pipeline.warehouse import open_store

PAGES = ("owner", "manager", "buyer", "intake")


def close(level: int, folder: Path) -> Path:
    """Close season 2025 cut down to a level; returns the folder with its reports and store."""
    records, out = folder / "records", folder / "out"
    records.mkdir()
    cut_to_level(2025, level, records)
    assert cli.main(["close", str(records), "--direct", "--quiet", "--out", str(out)]) == 0
    return out


def read(out: Path, name: str) -> pl.DataFrame:
    with open_store(out / "perfoot.duckdb", read_only=True) as store:
        return store.read(name)


def test_level_one_gives_a_season_s_cost_per_foot_and_a_price(tmp_path: Path) -> None:
    out = close(1, tmp_path)
    assert read(out, "measures.season_level")["level"].unique().to_list() == [1]
    jobs = read(out, "measures.job_cost")
    assert not jobs["has_own_hours"].any()
    assert jobs["labor_usd"].sum() > 0
    bought = checked(2025).records["purchases"].select((pl.col("paid") + pl.col("freight").fill_null(0)).sum()).item()
    assert jobs["materials_usd"].sum() == bought.quantize(Decimal("0.01"))
    assert read(out, "decisions.price_table").height > 0
    assert read(out, "decisions.order_lines").is_empty()
    page = (out / "reports/2025/owner.html").read_text(encoding="utf-8")
    assert "level 1 of 4" in page
    assert "Level 2 needs hours by job and task" in page


@pytest.mark.parametrize("level", [2, 3])
def test_each_level_closes_and_says_what_the_next_would_add(level: int, tmp_path: Path) -> None:
    out = close(level, tmp_path)
    assert read(out, "measures.season_level")["level"].unique().to_list() == [level]
    for page in PAGES:
        text = (out / f"reports/2025/{page}.html").read_text(encoding="utf-8")
        assert "NaN" not in text
        assert ">None<" not in text
        assert f"level {level} of 4" in text
    crews = read(out, "decisions.crew_comparison")
    assert crews["ratio"].drop_nulls().len() == 6
    assert crews["fault_ratio"].drop_nulls().is_empty()
    assert (read(out, "decisions.order_lines").height > 0) == (level == 3)
