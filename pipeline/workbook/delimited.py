"""Read a CSV file: its bytes decoded first, its delimiter found, its cells as a frame of clean text."""

from __future__ import annotations

import csv
import io
import re
from collections import Counter
from functools import partial
from itertools import zip_longest

import polars as pl

from pipeline.workbook.cells import SheetCells, clean_columns, sheet_of, text_columns
from pipeline.workbook.looking import Unreadable
from pipeline.workbook.quoted import LARGEST_SHEET_CELLS, MOST_CELLS_BY_LINE, check_extent, read_by_lines

LINES_SNIFFED = 200
BYTES_SNIFFED = 200_000
DELIMITERS = ",;\t"
_MARKS = ((b"\xef\xbb\xbf", "utf-8-sig"), (b"\xff\xfe", "utf-16"), (b"\xfe\xff", "utf-16"))
_QUOTED_BYTES = re.compile(rb'"[^"]*"')
_QUOTED = re.compile(r'"[^"]*"')
_QUOTED_CELL = re.compile(r'(?:^|(?<=[,;\t\r\n]))"(?:[^"]|"")*"(?=[,;\t\r\n]|$)')
_SEPARATOR_LINE = re.compile(r"sep=(.)\r?\n", re.IGNORECASE)
LARGEST_CELL = 1_000_000
"""Characters of a cell; a longer one is a quote that was never closed."""
LARGEST_LINE = 4_000_000
"""Bytes of a line: more than four thousand cells of a thousand letters."""


def decode(data: bytes) -> str:
    """Text of a file: by its byte order mark, by the zeros of UTF-16, as UTF-8, else as Windows-1252."""
    for mark, encoding in _MARKS:
        if data.startswith(mark):
            return data.decode(encoding, errors="replace")
    head = data[:1000]
    for first, encoding in ((1, "utf-16-le"), (0, "utf-16-be")):
        if len(head) > 1 and head[first::2].count(0) > 0.8 * len(head[first::2]):
            return data.decode(encoding, errors="replace")
    try:
        return data.decode("utf-8")
    except UnicodeDecodeError:
        return data.decode("cp1252", errors="replace")


def delimiter_of(text: str) -> str:
    """The sign that splits the most lines into one same number of cells; a `sep=;` line says it outright."""
    if said := _SEPARATOR_LINE.match(text):
        return said[1]
    # First the quoted cells, which may run over several lines, then what else is quoted within a line.
    head = _QUOTED_CELL.sub("", text)
    lines = [_QUOTED.sub("", line) for line in head.splitlines()[:LINES_SNIFFED]]

    def evenness(sign: str) -> tuple[int, int]:
        counts = Counter(count for line in lines if (count := line.count(sign)))
        return max(((lines_alike, count) for count, lines_alike in counts.items()), default=(0, 0))

    return max(DELIMITERS, key=evenness)


def _most_cells(lines: bytes, delimiter: bytes) -> int:
    """The cells of the line that has most; every quoted cell is one of them."""
    if b'"' in lines:
        lines = _QUOTED_BYTES.sub(b"", lines)
    return max(line.count(delimiter) for line in lines.split(b"\n")) + 1


def _read_lines(text: bytes, quote: str | None, delimiter: str) -> pl.DataFrame:
    """Cells where each line is a row. `text` is UTF-8; without `quote` each delimiter ends a cell."""
    sign = delimiter.encode()
    # The first lines mostly show how many cells a line has; polars refuses a longer one.
    for width in (_most_cells(text[:BYTES_SNIFFED], sign), None):
        width = width or _most_cells(text, sign)
        check_extent(text.count(b"\n") + 1, width, LARGEST_SHEET_CELLS)
        kinds = {str(place): pl.String for place in range(width)}
        try:
            return pl.read_csv(
                text, has_header=False, schema=kinds, separator=delimiter, quote_char=quote, missing_columns="insert"
            )
        except (pl.exceptions.ComputeError, pl.exceptions.SchemaError):
            continue
    raise AssertionError("a line has more cells than the longest one")


def _plain_sheet(text: bytes, delimiter: str) -> SheetCells:
    """Where no cell is quoted."""
    if b"\r" in text:
        text = text.replace(b"\r\n", b"\n").replace(b"\r", b"\n")
    return sheet_of("", [clean_columns(_read_lines(text, None, delimiter))])


def _swallowed(cell: str, delimiter: str, width: int) -> bool:
    """Whether a quoted cell has taken in whole lines: a quote that was opened and not closed where it should be."""
    return any(line.count(delimiter) >= max(1, width - 1) for line in cell.split("\n")[1:])


def _quoted_sheet(text: str, delimiter: str) -> SheetCells:
    """Where quotes occur; a cell with a line break is one row, as a spreadsheet shows it."""
    if delimiter.isascii():
        cells = read_by_lines(text, delimiter, partial(_read_lines, delimiter=delimiter))
        if cells is not None:
            return sheet_of("", [clean_columns(cells)])
    csv.field_size_limit(LARGEST_CELL)
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=delimiter)
    rows: list[list[str]] = []
    widest = 0
    try:
        for row in reader:
            rows.append(row)
            widest = max(widest, len(row))
            check_extent(len(rows), widest, MOST_CELLS_BY_LINE)
            if reader.line_num - len(rows) > 0 and any(
                "\n" in cell and _swallowed(cell, delimiter, len(rows[0])) for cell in row
            ):
                raise Unreadable(f"row {len(rows)} opens a quote that is not closed; correct it and save it again.")
    except csv.Error as error:
        raise Unreadable(f"it cannot be read as CSV ({error}); save it again as CSV.") from None
    return sheet_of("", [text_columns(zip_longest(*rows, fillvalue=""))])


def _utf8(data: bytes) -> bytes:
    """A file's text in UTF-8. Plain ASCII without zeros, as most files are, is that already."""
    return data if data.isascii() and b"\0" not in data else decode(data).encode()


def _check_lines(text: bytes) -> None:
    begin = 0
    while len(text) - begin > LARGEST_LINE:
        end = max(text.rfind(sign, begin, begin + LARGEST_LINE) for sign in (b"\n", b"\r"))
        if end < 0:
            raise Unreadable("it holds a line of more than 4 million letters, so it is no table; save it again as CSV.")
        begin = end + 1


def read_csv(data: bytes) -> SheetCells:
    """The cells of a CSV file as a sheet without a name. Raises Unreadable with one sentence."""
    text = _utf8(data)
    if b"\0" in text:
        raise Unreadable("it is not text; save it again as CSV.")
    _check_lines(text)
    if not text or text.isspace():
        return SheetCells("", pl.DataFrame())
    delimiter = delimiter_of(text[:BYTES_SNIFFED].decode(errors="ignore"))
    if b'"' in text or not delimiter.isascii():
        return _quoted_sheet(text.decode(), delimiter)
    return _plain_sheet(text, delimiter)
