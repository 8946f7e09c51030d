"""What an OpenDocument sheet says that the library does not give: its extent before it is opened, merges, errors."""

from __future__ import annotations

import re
from collections.abc import Iterable
from xml.parsers import expat

Merge = tuple[tuple[int, int], tuple[int, int]]
Error = tuple[int, int, str]
MOST_ERRORS = 100_000
"""Error cells of a sheet; one that is repeated counts as often as it is."""

_TABLE_TAG = re.compile(rb"<(/?)table:(table|table-row|table-cell|covered-table-cell|table-column)(?=[\s/>])([^<>]*)>")
_ANY_TABLE_TAG = re.compile(rb"<(/?)table:(table|table-row|table-cell|covered-table-cell|table-column)(?=[\s/>])")
_REPEATED = re.compile(rb' table:number-(?:rows|columns)-repeated="(\d{1,7})"')
_SPANNED_ROWS = re.compile(rb'number-rows-spanned="(?!1")\d+"')
_ERROR = b'calcext:value-type="error"'
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


class _Noting:
    """Goes through the tables of a document tag by tag and notes the cells that span rows, and those of an error."""

    def __init__(self) -> None:
        self.merges: dict[str, list[Merge]] = {}
        self.errors: dict[str, list[Error]] = {}
        self._merges: list[Merge] = []
        self._errors: list[Error] = []
        self._row = self._column = self._height = self._width = 0
        self._error: list[str] | None = None

    def start(self, tag: str, attributes: dict[str, str]) -> None:
        if tag == "table:table":
            name = attributes.get("table:name", "")
            self._merges, self._errors = self.merges.setdefault(name, []), self.errors.setdefault(name, [])
            self._row = self._height = 0
        elif tag == "table:table-row":
            self._row += self._height
            self._column = self._width = 0
            self._height = int(attributes.get("table:number-rows-repeated", "1"))
        elif tag in ("table:table-cell", "table:covered-table-cell"):
            self._column += self._width
            self._width = int(attributes.get("table:number-columns-repeated", "1"))
            self._error = [] if attributes.get("calcext:value-type") == "error" else None
            spanned = int(attributes.get("table:number-rows-spanned", "1"))
            across = int(attributes.get("table:number-columns-spanned", "1"))
            if spanned > 1:
                right = self._column + across - 1
                self._merges.append(((self._row, self._column), (self._row + spanned - 1, right)))

    def text(self, text: str) -> None:
        if self._error is not None:
            self._error.append(text)

    def end(self, tag: str) -> None:
        if tag not in ("table:table-cell", "table:covered-table-cell") or self._error is None:
            return
        if len(self._errors) + self._height * self._width > MOST_ERRORS:
            raise ValueError(f"more than {MOST_ERRORS:,} of its cells are errors")
        shown = "".join(self._error).strip() or "#ERROR"
        rows, columns = range(self._row, self._row + self._height), range(self._column, self._column + self._width)
        self._errors += [(row, column, shown) for row in rows for column in columns]
        self._error = None


def has_notable_cells(xml: bytes) -> bool:
    """Whether a cell here spans more than one row, or is an error."""
    return _SPANNED_ROWS.search(xml) is not None or _ERROR in xml


def _refuse(*_: object) -> None:
    raise ValueError("it declares a document type, which no spreadsheet program writes")


def notable_cells(xml: Iterable[bytes]) -> tuple[dict[str, list[Merge]], dict[str, list[Error]]]:
    """By sheet, cells merged down a column as (top, left) and (bottom, right), and error cells as (row, column, text).

    All are counted from 0; the XML comes in pieces. The library gives an error cell as a blank one.
    """
    noting = _Noting()
    parser = expat.ParserCreate()
    parser.StartElementHandler = noting.start
    parser.EndElementHandler = noting.end
    parser.CharacterDataHandler = noting.text
    parser.StartDoctypeDeclHandler = _refuse
    for piece in xml:
        parser.Parse(piece)
    parser.Parse(b"", True)
    return noting.merges, noting.errors


def clock(text: str) -> str:
    """A duration past a day, which the library gives as the file writes it: `PT31H05M00S` is `31:05`."""
    found = _DURATION.fullmatch(text)
    if found is None:
        return text
    seconds = f":{found[4]}" if int(found[4]) else ""
    return f"{found[1]}{int(found[2])}:{found[3]}{seconds}"
