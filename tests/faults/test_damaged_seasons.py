"""A sound season with random damage: no traceback, every row in one place, every accepted value as it was written.

`PERFOOT_FUZZ=20000` runs that many cases; without it a few hundred.
"""

from __future__ import annotations

import os
import tempfile
from pathlib import Path
from random import Random

from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from support.checking import assert_rows_add_up
from support.damage import FREE, HEADER, STRAY, UNREADABLE, Written, damage, write_damaged

from pipeline.errors import PerfootError
from pipeline.validation import Checked, check_folder
from pipeline.vocabulary import tables
from pipeline.workbook import FolderReading, read_folder

CASES = int(os.environ.get("PERFOOT_FUZZ", "200"))
MOST_DAMAGES = 8
RUN = settings(
    max_examples=CASES, derandomize=CASES == 200,
    suppress_health_check=[HealthCheck.too_slow, HealthCheck.data_too_large],
)  # fmt: skip

Place = tuple[str, str, int]


def _read(folder: Path) -> tuple[FolderReading, Checked] | None:
    """The folder read and checked; None where it is refused in a sentence."""
    try:
        reading = read_folder(folder)
        return reading, check_folder(reading)
    except PerfootError as error:
        said = str(error)
    assert 20 < len(said) < 2000
    return None


def _accepted(checked: Checked) -> dict[Place, tuple[str, dict]]:
    return {
        (row["source_file"], row["source_sheet"], row["source_row"]): (name, row)
        for name, frame in checked.records.items()
        for row in frame.iter_rows(named=True)
    }


def _refused(checked: Checked) -> set[Place]:
    return {
        (row[0], row[1], row[2])
        for frame in checked.refused_cells.values()
        for row in frame.select("source_file", "source_sheet", "source_row").iter_rows()
    }


def _assert_as_written(written: Written, accepted: dict[Place, tuple[str, dict]]) -> None:
    for place, (name, record) in accepted.items():
        sheet, line = written.places[place]
        assert line.origin not in (HEADER, STRAY), f"{place} is no record and was accepted"
        if name != sheet.table:
            # A sheet that lost two headings is what the others say, where they are all that another table needs
            # (Branch, Count and Item no of connections are stock); the intake says by which it was told.
            assert len(sheet.unread) > 1, f"{place} was accepted as {name}"
            continue
        original = written.season[name][int(line.origin)]
        for field, value in original.items():
            if field in sheet.unread:
                continue
            if field not in line.hurt:
                assert value is None or record[field] == value, (place, field, record[field], value)
            elif line.hurt[field] in UNREADABLE:
                kind = tables()[name].fields[field].kind
                assert kind in FREE, f"{place}: {line.hurt[field]!r} was accepted as {field}, {record[field]!r}"


def _assert_none_lost(written: Written, reading: FolderReading, found: set[Place]) -> None:
    aside = {
        (sheet.file, sheet.sheet, row): (sheet.table, why)
        for sheet in reading.sheets
        for row, why in sheet.set_aside.iter_rows()
    }
    for place, (sheet, line) in written.places.items():
        if line.origin in (HEADER, STRAY) or place in found:
            continue
        assert place in aside, f"{place} is nowhere"
        table, why = aside[place]
        assert line.hurt or table != sheet.table, f"{place}, a sound row, was set aside: {why}"


@RUN
@given(seed=st.integers(0, 2**48), as_book=st.booleans())
def test_damaged_cells_rows_and_headings_lose_no_row_and_change_no_other(seed: int, as_book: bool) -> None:
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        written = write_damaged(damage(Random(seed), MOST_DAMAGES), folder, as_book=as_book)
        found = _read(folder)
        if found is None:
            return
        reading, checked = found
        assert_rows_add_up(reading, checked)
        accepted = _accepted(checked)
        _assert_as_written(written, accepted)
        _assert_none_lost(written, reading, {*accepted, *_refused(checked)})


@settings(RUN, max_examples=max(CASES // 4, 50))
@given(seed=st.integers(0, 2**48), as_book=st.booleans())
def test_damaged_bytes_are_read_or_refused_in_a_sentence(seed: int, as_book: bool) -> None:
    random = Random(seed)
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        write_damaged(damage(random, 2), folder, as_book=as_book)
        path = random.choice(sorted(folder.iterdir()))
        data = bytearray(path.read_bytes())
        for _ in range(random.randint(1, 30)):
            data[random.randrange(len(data))] = random.randrange(256)
        if random.random() < 0.3:
            del data[random.randrange(len(data)) :]
        if random.random() < 0.2:
            data = bytearray(
                bytes(data).decode("utf-8", "replace").encode(random.choice(["utf-16", "cp1252"]), "replace")
            )
        path.write_bytes(bytes(data))
        found = _read(folder)
        if found is not None:
            assert_rows_add_up(*found)
