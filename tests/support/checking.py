"""A folder read and checked, and its records as bytes that can be compared."""

from __future__ import annotations

from functools import cache
from pathlib import Path
from tempfile import TemporaryDirectory

import polars as pl
from support.small_season import small_season
from support.twelve_ways import one_csv_a_table

from pipeline.validation import Checked, check_folder
from pipeline.validation.checked import PLACES
from pipeline.vocabulary import ORIGIN
from pipeline.workbook import FolderReading, read_folder

READING_ALONE = ["date_order"]
"""Settings that say how a folder is written and not what the season was."""


def checked_folder(folder: Path) -> Checked:
    """A folder after reading and checking; its rows must add up for every sheet."""
    reading = read_folder(folder)
    checked = check_folder(reading)
    assert_rows_add_up(reading, checked)
    return checked


@cache
def plain_season() -> Checked:
    """The small season as read from one plain CSV file a table."""
    with TemporaryDirectory() as folder:
        one_csv_a_table(small_season(), Path(folder))
        return checked_folder(Path(folder))


def assert_rows_add_up(reading: FolderReading, checked: Checked) -> None:
    """Rows read = accepted + rejected + held + set aside for every table on every sheet, and none is left out."""
    sums = checked.intake.select("rows_read", total=pl.sum_horizontal(*PLACES, "set_aside"))
    assert sums["rows_read"].to_list() == sums["total"].to_list()
    assert checked.intake["rows_read"].to_list() == [sheet.rows_read for sheet in reading.sheets]
    assert sum(file.rows for file in reading.files) == sum(sums["rows_read"])


def record_bytes(checked: Checked, table: str) -> bytes:
    """A table's records in one order, without their origin, as bytes: types, names and every value."""
    frame = checked.records[table].drop(ORIGIN)
    if table == "settings":
        frame = frame.filter(~pl.col("setting").is_in(READING_ALONE))
    text = frame.sort(frame.columns, nulls_last=True).write_csv(null_value="\\N")
    return f"{frame.schema}\n{text}".encode()
