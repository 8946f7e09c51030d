"""One season, written down in twelve ways, gives the same records, byte for byte, origin apart."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest
from support.checking import checked_folder, plain_season, record_bytes
from support.small_season import Season, small_season
from support.twelve_ways import WAYS

from pipeline.vocabulary import tables

Way = Callable[[Season, Path], None]


def test_the_season_has_every_table_and_every_row_of_it_is_accepted() -> None:
    plainly = plain_season()
    assert set(plainly.records) == set(small_season()) == set(tables())
    assert {name: frame.height for name, frame in plainly.records.items()} == {
        name: len(rows) for name, rows in small_season().items()
    }
    assert plainly.findings.is_empty()


def test_every_value_that_was_written_stands_in_its_record() -> None:
    plainly = plain_season()
    for name, rows in small_season().items():
        records = plainly.records[name].sort("source_row").to_dicts()
        for row, record in zip(rows, records, strict=True):
            written = {field: value for field, value in row.items() if value is not None}
            assert {field: record[field] for field in written} == written, name


@pytest.mark.parametrize("way", WAYS, ids=lambda way: way.__name__.replace("_", " "))
def test_the_same_season_in_another_way_gives_the_same_records(way: Way, tmp_path: Path) -> None:
    plainly = plain_season()
    way(small_season(), tmp_path)
    found = checked_folder(tmp_path)
    assert set(found.records) == set(plainly.records)
    for name in plainly.records:
        assert record_bytes(found, name) == record_bytes(plainly, name), name
    assert found.findings.is_empty()
