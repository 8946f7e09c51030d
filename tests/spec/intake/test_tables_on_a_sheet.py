"""Tables are found wherever they stand on a sheet: below each other, side by side, from any row, titled or not."""

from __future__ import annotations

import random
from pathlib import Path

import pytest
from support.checking import checked_folder, plain_season, record_bytes
from support.sheets import Grid, grid, typed, write_book
from support.small_season import Season, small_season
from support.twelve_ways import beside

STACKED = [pytest.param(gap, title, id=f"{gap} blank rows, {title} titles") for gap in (0, 1) for title in (0, 1)]


def stacked(season: Season, gap: int, titles: int) -> Grid:
    """All tables below each other."""
    cells: Grid = []
    for name, rows in season.items():
        cells += [[f"All {name}"]] * titles + grid(name, rows, cell=typed) + [[]] * gap
    return cells


def scattered(season: Season, rng: random.Random) -> Grid:
    """Bands of up to four tables side by side, in any order; each may have a title, so that headings stand askew."""
    names, cells = list(season), []
    rng.shuffle(names)
    while names:
        count = rng.randint(1, 4)
        band = [grid(name, season[name], cell=typed) for name in names[:count]]
        titled = [
            [[f"All {name}"], *([[]] if rng.random() < 0.5 else []), *table] if rng.random() < 0.5 else table
            for name, table in zip(names, band, strict=False)
        ]
        names = names[count:]
        cells += beside(titled) + [[]] * rng.randint(1, 2)
    return cells


def assert_same_records(cells: Grid, folder: Path) -> None:
    write_book(folder / "page.xlsx", {"Everything": cells})
    found, plain = checked_folder(folder), plain_season()
    for name in plain.records:
        assert record_bytes(found, name) == record_bytes(plain, name), name
    assert found.findings.is_empty()


@pytest.mark.parametrize(("gap", "titles"), STACKED)
def test_all_tables_below_each_other_on_one_sheet(gap: int, titles: int, tmp_path: Path) -> None:
    assert_same_records(stacked(small_season(), gap, titles), tmp_path)


def test_all_tables_side_by_side_on_one_sheet(tmp_path: Path) -> None:
    assert_same_records(beside([grid(name, rows, cell=typed) for name, rows in small_season().items()]), tmp_path)


@pytest.mark.parametrize("seed", range(10))
def test_all_tables_scattered_over_one_sheet(seed: int, tmp_path: Path) -> None:
    assert_same_records(scattered(small_season(), random.Random(seed)), tmp_path)
