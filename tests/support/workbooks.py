"""Small spreadsheets for tests, as people keep them."""

from __future__ import annotations

import zipfile
from collections.abc import Mapping, Sequence
from datetime import date, datetime, time, timedelta
from pathlib import Path

import polars as pl
import xlsxwriter

from pipeline.workbook.opening import SheetCells
from pipeline.workbook.readings import SheetReading
from pipeline.workbook.sheets import read_sheet

FORMATS = {datetime: "yyyy-mm-dd hh:mm", date: "yyyy-mm-dd", time: "h:mm", timedelta: "[h]:mm"}


def write_xlsx(path: Path, sheets: Mapping[str, Sequence[Sequence[object]]]) -> Path:
    """A workbook with typed cells; None leaves a cell blank."""
    with xlsxwriter.Workbook(path) as book:
        formats = {kind: book.add_format({"num_format": text}) for kind, text in FORMATS.items()}
        for name, rows in sheets.items():
            sheet = book.add_worksheet(name)
            for row, cells in enumerate(rows):
                for column, value in enumerate(cells):
                    if isinstance(value, str):
                        sheet.write_string(row, column, value)
                    elif value is not None:
                        sheet.write(row, column, value, formats.get(type(value)))
    return path


def cells_of(*rows: Sequence[str | None]) -> SheetCells:
    """A sheet's cells as the opener gives them; rows may be of different length."""
    width = max(map(len, rows))
    columns = {str(place): [row[place] if place < len(row) else None for row in rows] for place in range(width)}
    return SheetCells("Sheet1", pl.DataFrame(columns, schema=dict.fromkeys(columns, pl.String)))


def read_rows(*rows: Sequence[str | None]) -> list[SheetReading]:
    """The readings of a sheet of these rows."""
    return read_sheet("made.xlsx", cells_of(*rows))


def aside(reading: SheetReading) -> dict[int, str]:
    """Why each row was set aside."""
    return dict(reading.set_aside.iter_rows())


def write_ods(path: Path, table: str) -> Path:
    """An OpenDocument workbook around the XML of its tables."""
    name = "urn:oasis:names:tc:opendocument:xmlns"
    kind = "application/vnd.oasis.opendocument.spreadsheet"
    with zipfile.ZipFile(path, "w") as archive:
        archive.writestr("mimetype", kind)
        archive.writestr(
            "META-INF/manifest.xml",
            f'<manifest:manifest xmlns:manifest="{name}:manifest:1.0">'
            f'<manifest:file-entry manifest:full-path="/" manifest:media-type="{kind}"/></manifest:manifest>',
        )
        archive.writestr(
            "content.xml",
            f'<office:document-content xmlns:office="{name}:office:1.0" xmlns:table="{name}:table:1.0" '
            f'xmlns:text="{name}:text:1.0"><office:body><office:spreadsheet>{table}</office:spreadsheet></office:body>'
            "</office:document-content>",
        )
    return path
