"""Where a row first stood, the words and signs by which a workbook of rejected rows says so, and what came back."""

from __future__ import annotations

import hashlib
import json
import re
from collections.abc import Iterable
from dataclasses import dataclass

PLACE_HEADING = "Rejected or held"
WHY_HEADING = "Why it is here"
ORIGIN_HEADINGS = (
    "Origin file", "Origin SHA-256", "Origin sheet", "Origin row", "Origin part", "Origin versions",
)  # fmt: skip
OWN_HEADINGS = (PLACE_HEADING, WHY_HEADING, *ORIGIN_HEADINGS)
"""Headings of a sheet of rejected rows beside those of the sheet of origin."""
EXPLAINS = "Rows to put right"
"""The words in the first cell of the sheet that explains a workbook of rejected rows."""
LONGEST_CELL = 32_767
"""Characters that a cell of a workbook holds."""
CUT = " ... (cut; the file of origin has it all)"
_DIGEST_CHARACTERS = 12
_PICTURES = {code: chr(0x2400 + code) for code in range(32) if chr(code) not in "\t\n\r"}
_ESCAPE = re.compile(r"_(?=x[0-9A-Fa-f]{4}_)")
"""By `_x0041_` a workbook stands for a sign; what reads so is shown with another low line, which nothing reads so."""
_SIGNS = _PICTURES | {0x7F: "\u2421", 0xFFFE: "\ufffd", 0xFFFF: "\ufffd"}


@dataclass(frozen=True, order=True)
class Origin:
    """A row of a file by its path and the SHA-256 of its bytes; `row` and `part` count from 1."""

    file: str
    sha256: str
    sheet: str
    row: int
    part: int


@dataclass(frozen=True, order=True)
class Place:
    """A row of a sheet as a person finds it; `sheet` is empty for a CSV file."""

    file: str
    sheet: str
    row: int

    def __str__(self) -> str:
        sheet = f", sheet '{self.sheet}'" if self.sheet else ""
        return f"{self.file}{sheet}, row {self.row}"


@dataclass(frozen=True)
class Correction:
    """A row that takes the place of the one at its origin.

    `old` and `new` have the cells by field; `versions` the ids of all rows that stood there, this one's last.
    """

    origin: Origin
    at: Place
    table: str
    old: dict[str, str | None]
    new: dict[str, str | None]
    versions: tuple[str, ...]


@dataclass(frozen=True)
class NotApplied:
    """A row that was put back and cannot be counted, with all that its sheet said, so that nothing typed is lost.

    `claimed` has its cells under ORIGIN_HEADINGS; `rival` names the origin that another correction disputes.
    """

    at: Place
    claimed: tuple[str | None, ...]
    cells: tuple[tuple[str, str | None], ...]
    why: str
    rival: Origin | None = None
    versions: tuple[str, ...] = ()


def as_cell(text: str) -> str:
    """A text as a workbook's cell can hold it: signs that XML has not are shown by others, the too long is cut."""
    is_plain = text.isprintable() and "_x" not in text
    shown = text if is_plain else _ESCAPE.sub("\uff3f", text.translate(_SIGNS))
    return shown if len(shown) <= LONGEST_CELL else shown[: LONGEST_CELL - len(CUT)].rstrip() + CUT


def _digest(value: object) -> str:
    text = json.dumps(value, ensure_ascii=False)
    return hashlib.sha256(text.encode("utf-8", "surrogatepass")).hexdigest()[:_DIGEST_CHARACTERS]


def content_of(cells: Iterable[tuple[str, str | None]]) -> str:
    """What stands under which heading as a few signs, whatever the order of the columns. No number begins with `c`."""
    return "c" + _digest(sorted((heading, as_cell(text)) for heading, text in cells if text))


def version_of(parents: Iterable[str], content: str) -> str:
    """The id of a row's version: what it was made from, and what it says."""
    return "v" + _digest([sorted(parents), content])


def versions_text(content: str, versions: Iterable[str], rivals: Iterable[str] = ()) -> str:
    """What stands under `Origin versions`: what the row said when it was written, and all versions up to it.

    Behind a bar stand versions that dispute the row: they are settled by a change of it, not by the row as it is.
    """
    also = " ".join(rivals)
    return " ".join([content, *versions]) + (f" | {also}" if also else "")


def parse_versions(text: str | None) -> tuple[str | None, tuple[str, ...], tuple[str, ...]]:
    """The inverse of versions_text; None and nothing where the cell was emptied or overwritten."""
    first, _, behind = (text or "").partition("|")
    content, *versions = first.split() or [""]
    if not content.startswith("c"):
        return None, (), ()
    return content, tuple(versions), tuple(behind.split())
