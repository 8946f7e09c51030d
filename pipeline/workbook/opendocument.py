"""What an OpenDocument sheet says that the library does not give: its extent before it is opened, its merged cells."""

from __future__ import annotations

import re
from collections.abc import Iterable
from xml.parsers import expat

Merge = tuple[tuple[int, int], tuple[int, int]]

_TABLE_TAG = re.compile(rb"<(/?)table:(table|table-row|table-cell|covered-table-cell|table-column)(?=[\s/>])([^<>]*)>")
_ANY_TABLE_TAG = re.compile(rb"<(/?)table:(table|table-row|table-cell|covered-table-cell|table-column)(?=[\s/>])")
_REPEATED = re.compile(rb' table:number-(?:rows|columns)-repeated="(\d{1,7})"')
_SPANNED_ROWS = re.compile(rb'number-rows-spanned="(?!1")\d+"')
_DURATION = re.compile(r"(-?)PT(\d+)H(\d+)M(\d+)(?:[.,]\d+)?S")
_OTHER_TYPE = re.compile(
    rb'office:value-type="(?!(?:float|percentage|currency|date|time|boolean|string|void)")([^"]*)"'
)


def extent(xml: bytes) -> tuple[int, int] | None:
    """The rows and columns up to the last one that holds something, over all tables; None where it is not certain.

    A row or cell that is repeated is written once, and blank ones down to the end of the grid are not kept.
    """
    rows = widest = row = column = filled = repeats = tags = 0
    height = 1
    for closes, name, attributes in _TABLE_TAG.findall(xml):
        tags += 1
        found = _REPEATED.search(attributes)
        repeats += found is not None
        times = int(found[1]) if found else 1
        is_whole = attributes.endswith(b"/")
        if name == b"table":
            row = 0
        elif name == b"table-row" and not closes:
            column, filled, height = 0, 0, times
        if name.endswith(b"-cell") and not closes:
            column += times
            filled = column if not is_whole or b"value-type" in attributes else filled
        if name == b"table-row" and (closes or is_whole):
            row += height
            rows, widest = (max(rows, row), max(widest, filled)) if filled else (rows, widest)
    is_certain = repeats == xml.count(b"repeated") and tags == len(_ANY_TABLE_TAG.findall(xml))
    return (rows, widest) if is_certain else None


def unknown_type(xml: bytes) -> str | None:
    """A type of cell that the standard does not know: the library would give such a cell as a blank one."""
    found = _OTHER_TYPE.search(xml)
    return found[1].decode("utf-8", "replace") if found else None


class _Merging:
    """Goes through the tables of a document tag by tag and notes the cells that span rows."""

    def __init__(self) -> None:
        self.merges: dict[str, list[Merge]] = {}
        self._of_table: list[Merge] = []
        self._row = self._column = self._height = 0

    def start(self, tag: str, attributes: dict[str, str]) -> None:
        if tag == "table:table":
            self._of_table = self.merges.setdefault(attributes.get("table:name", ""), [])
            self._row = self._height = 0
        elif tag == "table:table-row":
            self._row += self._height
            self._column, self._height = 0, int(attributes.get("table:number-rows-repeated", "1"))
        elif tag in ("table:table-cell", "table:covered-table-cell"):
            spanned = int(attributes.get("table:number-rows-spanned", "1"))
            across = int(attributes.get("table:number-columns-spanned", "1"))
            if spanned > 1:
                right = self._column + across - 1
                self._of_table.append(((self._row, self._column), (self._row + spanned - 1, right)))
            self._column += int(attributes.get("table:number-columns-repeated", "1"))


def spans_rows(xml: bytes) -> bool:
    """Whether a cell here spans more than one row."""
    return _SPANNED_ROWS.search(xml) is not None


def _refuse(*_: object) -> None:
    raise ValueError("it declares a document type, which no spreadsheet program writes")


def merges(xml: Iterable[bytes]) -> dict[str, list[Merge]]:
    """Cells merged down a column, by sheet, as (top, left) and (bottom, right) counted from 0; the XML in pieces."""
    merging = _Merging()
    parser = expat.ParserCreate()
    parser.StartElementHandler = merging.start
    parser.StartDoctypeDeclHandler = _refuse
    for piece in xml:
        parser.Parse(piece)
    parser.Parse(b"", True)
    return merging.merges


def clock(text: str) -> str:
    """A duration past a day, which the library gives as the file writes it: `PT31H05M00S` is `31:05`."""
    found = _DURATION.fullmatch(text)
    if found is None:
        return text
    seconds = f":{found[4]}" if int(found[4]) else ""
    return f"{found[1]}{int(found[2])}:{found[3]}{seconds}"
