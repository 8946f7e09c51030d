"""What an OpenDocument sheet says that the library does not give: its extent before it is opened, its merged cells."""

from __future__ import annotations

import re
from xml.etree import ElementTree

Merge = tuple[tuple[int, int], tuple[int, int]]

_ROW = re.compile(rb"<table:table-row\b([^>]*)(?<!/)>(.*?)</table:table-row>", re.DOTALL)
_ROWS_REPEATED = re.compile(rb'number-rows-repeated="(\d+)"')
_CELL = re.compile(rb"<table:(?:covered-)?table-cell\b([^>]*)")
_COLUMNS_REPEATED = re.compile(rb'number-columns-repeated="(\d+)"')
_SPANNED_ROWS = re.compile(rb'number-rows-spanned="(?!1")\d+"')
_DURATION = re.compile(r"(-?)PT(\d+)H(\d+)M(\d+)(?:[.,]\d+)?S")
_OTHER_TYPE = re.compile(
    rb'office:value-type="(?!(?:float|percentage|currency|date|time|boolean|string|void)")([^"]*)"'
)
_TABLE = "{urn:oasis:names:tc:opendocument:xmlns:table:1.0}"


def extent(xml: bytes) -> tuple[int, int]:
    """The rows that hold something and the most columns up to a filled cell: a repeated one is written once."""
    rows, widest = 0, 1
    for attributes, body in _ROW.findall(xml):
        width = filled = 0
        for cell in _CELL.findall(body):
            repeated = _COLUMNS_REPEATED.search(cell)
            width += int(repeated[1]) if repeated else 1
            if b"value-type" in cell:
                filled = width
        if filled:
            repeated = _ROWS_REPEATED.search(attributes)
            rows += int(repeated[1]) if repeated else 1
            widest = max(widest, filled)
    return rows, widest


def unknown_type(xml: bytes) -> str | None:
    """A type of cell that the standard does not know: the library would give such a cell as a blank one."""
    found = _OTHER_TYPE.search(xml)
    return found[1].decode("utf-8", "replace") if found else None


def _of_table(table: ElementTree.Element) -> list[Merge]:
    merges: list[Merge] = []
    at_row = 0
    for row in table.iter(f"{_TABLE}table-row"):
        at_column = 0
        for cell in row:
            spanned = int(cell.get(f"{_TABLE}number-rows-spanned", "1"))
            across = int(cell.get(f"{_TABLE}number-columns-spanned", "1"))
            if spanned > 1:
                merges.append(((at_row, at_column), (at_row + spanned - 1, at_column + across - 1)))
            at_column += int(cell.get(f"{_TABLE}number-columns-repeated", "1"))
        at_row += int(row.get(f"{_TABLE}number-rows-repeated", "1"))
    return merges


def merges(xml: bytes) -> dict[str, list[Merge]]:
    """Cells merged down a column, by sheet, as (top, left) and (bottom, right) counted from 0."""
    if not _SPANNED_ROWS.search(xml):
        return {}
    found = ElementTree.fromstring(xml).iter(f"{_TABLE}table")
    return {table.get(f"{_TABLE}name", ""): _of_table(table) for table in found}


def clock(text: str) -> str:
    """A duration past a day, which the library gives as the file writes it: `PT31H05M00S` is `31:05`."""
    found = _DURATION.fullmatch(text)
    if found is None:
        return text
    seconds = f":{found[4]}" if int(found[4]) else ""
    return f"{found[1]}{int(found[2])}:{found[3]}{seconds}"
