"""Open a file and give its sheets as rows of text cells, whatever its format."""

from __future__ import annotations

import csv
import io
import re
import zipfile
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from pathlib import Path
from typing import Any

from python_calamine import CalamineWorkbook

Cell = str | None
Row = list[Cell]

SPREADSHEETS = (".xlsx", ".xlsm", ".xls", ".ods")
SUFFIXES = (*SPREADSHEETS, ".csv")
LARGEST_UNPACKED_BYTES = 512 * 1024 * 1024
"""A zip that unpacks to more is not opened: nothing that people keep by hand is that large."""
LARGEST_SHEET_CELLS = 20_000_000
"""Rows x columns of a sheet; one stray cell in the far corner would need hundreds of GB."""

_CELL_REFERENCE = re.compile(rb'<c r="([A-Z]{1,3})(\d{1,7})"')
_SPACES = re.compile(r"\s+")
_QUOTES = str.maketrans(
    {
        "\u2018": "'",
        "\u2019": "'",
        "\u2032": "'",
        "\u201c": '"',
        "\u201d": '"',
        "\u2033": '"',
        "\u00a0": " ",
        "\ufeff": "",
    }
)


class Unreadable(Exception):
    """A file cannot be read; the message is one sentence that says why and what to do."""


@dataclass(frozen=True)
class SheetCells:
    """A sheet's name and its rows of text cells from row 1 and column A on."""

    name: str
    rows: list[Row]


def clean(text: str) -> Cell:
    """A cell's text: plain quotes and spaces, trimmed; None where nothing is left."""
    text = text.translate(_QUOTES)
    if "\n" in text or "\r" in text or "\t" in text or "  " in text:
        text = _SPACES.sub(" ", text)
    return text.strip() or None


def _number_text(value: float) -> str:
    return format(value, ".15g") if abs(value) < 1e15 else str(value)


def _duration_text(value: timedelta) -> str:
    seconds = round(value.total_seconds())
    sign = "-" if seconds < 0 else ""
    minutes, second = divmod(abs(seconds), 60)
    tail = f":{second:02d}" if second else ""
    return f"{sign}{minutes // 60}:{minutes % 60:02d}{tail}"


def cell_text(value: object) -> Cell:
    """A typed cell as the text that stands for its value exactly."""
    if isinstance(value, str):
        return clean(value)
    if isinstance(value, bool):
        return "TRUE" if value else "FALSE"
    if isinstance(value, float):
        return _number_text(value)
    if isinstance(value, datetime):
        midnight = value.time() == time(0)
        return value.date().isoformat() if midnight else value.isoformat(sep=" ")
    if isinstance(value, date):
        return value.isoformat()
    if isinstance(value, time):
        return _duration_text(timedelta(hours=value.hour, minutes=value.minute, seconds=value.second))
    if isinstance(value, timedelta):
        return _duration_text(value)
    return None if value is None else clean(str(value))


def _far_corner(sheet_xml: bytes) -> int:
    rows = columns = 1
    for letters, number in _CELL_REFERENCE.findall(sheet_xml):
        column = 0
        for letter in letters:
            column = column * 26 + letter - 64
        rows, columns = max(rows, int(number)), max(columns, column)
    return rows * columns


def _look_first(data: bytes) -> None:
    """Refuse what would exhaust the machine before any library opens it."""
    if not zipfile.is_zipfile(io.BytesIO(data)):
        return
    with zipfile.ZipFile(io.BytesIO(data)) as archive:
        entries = archive.infolist()
        if sum(entry.file_size for entry in entries) > LARGEST_UNPACKED_BYTES:
            raise Unreadable("it unpacks to more than 512 MB; save the season's sheets in smaller workbooks.")
        for entry in entries:
            if entry.filename.startswith("xl/worksheets/") and entry.filename.endswith(".xml"):
                with archive.open(entry) as part:
                    if _far_corner(part.read()) > LARGEST_SHEET_CELLS:
                        raise Unreadable(
                            f"{entry.filename} has a cell so far out that the sheet is larger than 20 million cells; "
                            "delete the stray rows or columns beyond the table and save it again."
                        )


def _with_merges(rows: list[list[Any]], merges: Iterable[tuple[tuple[int, int], tuple[int, int]]]) -> None:
    """Cells merged down a column hold their value in each of their rows."""
    for (top, left), (bottom, right) in merges:
        if left != right:
            continue
        for row in range(top + 1, min(bottom + 1, len(rows))):
            if left < len(rows[row]) and rows[row][left] in ("", None):
                rows[row][left] = rows[top][left]


def _spreadsheet(data: bytes) -> Iterator[SheetCells]:
    try:
        _look_first(data)
        book = CalamineWorkbook.from_filelike(io.BytesIO(data))
    except Unreadable:
        raise
    except Exception as error:
        raise Unreadable(
            f"it cannot be opened as a spreadsheet ({error}); if it has a password, save it without one."
        ) from None
    for name in book.sheet_names:
        sheet = book.get_sheet_by_name(name)
        rows = sheet.to_python(skip_empty_area=False)
        _with_merges(rows, getattr(sheet, "merged_cell_ranges", None) or ())
        yield SheetCells(name, [[cell_text(value) for value in row] for row in rows])


def decode(data: bytes) -> str:
    """Text of a CSV file: by its byte order mark, else UTF-8, else Windows-1252."""
    for mark, encoding in ((b"\xff\xfe", "utf-16"), (b"\xfe\xff", "utf-16"), (b"\xef\xbb\xbf", "utf-8-sig")):
        if data.startswith(mark):
            return data.decode(encoding, errors="replace")
    try:
        return data.decode("utf-8")
    except UnicodeDecodeError:
        return data.decode("cp1252", errors="replace")


def _delimiter(text: str) -> str:
    """The sign that splits most lines into the same number of cells."""
    lines = [line for line in text.splitlines()[:200] if line.strip()]
    best = max(
        ",;\t", key=lambda sign: (sum(line.count(sign) > 0 for line in lines), sum(x.count(sign) for x in lines))
    )
    if best == "," and sum(line.count(";") >= 2 for line in lines) > len(lines) / 2:
        return ";"
    return best


def _plain_rows(text: str, delimiter: str) -> Iterator[list[str]]:
    lines = text.replace("\r\n", "\n").replace("\r", "\n").removesuffix("\n").split("\n")
    return (line.split(delimiter) for line in lines)


def _quoted_rows(text: str, delimiter: str) -> Iterator[list[str]]:
    """Rows by Python's reader; a cell with a line break keeps one row number a sheet row, as spreadsheets show it."""
    yield from csv.reader(io.StringIO(text, newline=""), delimiter=delimiter)


def _csv(data: bytes) -> SheetCells:
    text = decode(data)
    if "\x00" in text:
        raise Unreadable("it is not text; save it again as CSV.")
    delimiter = _delimiter(text)
    reader = _quoted_rows if '"' in text else _plain_rows
    try:
        rows = [[clean(cell) for cell in row] for row in reader(text, delimiter)]
    except csv.Error as error:
        raise Unreadable(f"it cannot be read as CSV ({error}); save it again as CSV.") from None
    return SheetCells("", rows)


def open_sheets(path: Path, data: bytes) -> Iterator[SheetCells]:
    """The sheets of a file. Raises Unreadable with one sentence."""
    if path.suffix.casefold() == ".csv":
        yield _csv(data)
    else:
        yield from _spreadsheet(data)
