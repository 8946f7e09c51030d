"""A sound season with its cells in other forms, or spoilt, in files of every kind; and what each of its cells means.

What a spoilt cell means is told here without the code that reads it: from the text alone, kind by kind.
"""

from __future__ import annotations

import csv
import io
import re
from dataclasses import dataclass, field
from datetime import date
from decimal import Decimal
from pathlib import Path
from random import Random

from support.old_workbooks import xls
from support.sheets import Grid, american, own_heading, serial, write_book, write_open_document
from support.small_season import Record, Value, small_season

from pipeline.vocabulary import Field, tables

FREE = frozenset({"code", "name", "text"})
"""Kinds of which every text is a value."""
FILLED = frozenset({"branch", "role", "engaged", "unit", "property_no", "lit_nights"})
"""Fields that other rows, or other cells of a row, may fill: a job's branch, a worker's role, an item's unit."""
SIGNS = "=+-@'\"<>&;,|\\{}%$#?!~*()[]/:. \u00a0\u2009\u202f\u200b\u202b\ufeff\u2019\u201d½éß№Σ😀مم中0123456789abcXYZ"
"""What spoilt cells are made of."""
_MONTHS = ("Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec")
_PLAIN_QUOTES = str.maketrans({"\u2019": "'", "\u201d": '"'})
_NOT_SEEN = "\u200b\u202b\ufeff"


class Unreadable:
    """What a cell means that cannot be read for certain."""


@dataclass(frozen=True)
class Cell:
    """A cell as it is written, and its value."""

    written: object
    value: Value | type[Unreadable]


@dataclass
class Page:
    """A table as it stands in a file: the fields of its columns, and its rows, None where a row is blank."""

    table: str
    fields: list[str]
    rows: list[dict[str, Cell] | None]
    file: str = ""
    sheet: str = ""
    above: int = 0
    spoilt: list[dict[str, Cell]] = field(default_factory=list)

    def places(self) -> dict[int, dict[str, Cell]]:
        """The records by their row, counted from 1."""
        return {self.above + 2 + at: row for at, row in enumerate(self.rows) if row is not None}


def cleaned(text: str) -> str:
    """A text without what is not seen, with plain quotes and single spaces."""
    return " ".join("".join(sign for sign in text if sign not in _NOT_SEEN).translate(_PLAIN_QUOTES).split())


def folded(text: str) -> str:
    """A name by which it is the same as another."""
    return re.sub(r"[\W_]+", "", text.casefold()) or text.casefold()


def code(text: str) -> str:
    """An identifier: a number without leading zeros or decimals of nothing, letters large."""
    number = re.fullmatch(r"0*([0-9]+)(\.0+)?", text)
    return number[1] if number else text.upper()


def _decimal_forms(kind: str, value: Decimal) -> list[object]:
    number = f"{value.normalize():f}"
    forms: list[object] = [number, f"{number.partition('.')[0]}.{number.partition('.')[2]}00", f" {number}\u00a0"]
    if value == value.quantize(Decimal("0.01")):
        forms += [f"{value:,.2f}"]
        forms += {"money": [f"${value:,.2f}", f"$ {value:.2f}", f"{value:.2f} USD"]}.get(kind, [])
    if value == value.quantize(Decimal("0.000001")):
        forms.append(float(value))
    minutes = value * 60
    if kind == "hours" and minutes == minutes.to_integral_value():
        forms += [f"{int(minutes) // 60}:{int(minutes) % 60:02}", f"{int(minutes)} min", f"{number} hrs"]
    units = {"feet": ("{} ft", "{}'", "{} feet"), "inches": ('{}"', "{} in"), "slope": ("{}/12", "{}:12"),
             "miles": ("{} mi", "{} miles")}  # fmt: skip
    forms += [form.format(number) for form in units.get(kind, ())]
    if kind == "share":
        forms.append(f"{(value * 100).normalize():f} %")
    return forms


def _forms(described: Field, value: Value) -> list[object]:
    """Ways in which people write a value."""
    if isinstance(value, bool):
        return ["Yes", "y", "TRUE", True] if value else ["no", "N", "False", False]
    if isinstance(value, Decimal):
        return _decimal_forms(described.kind, value)
    if isinstance(value, int):
        return [str(value), f"{value}.0", float(value), f"\u2009{value} "]
    if isinstance(value, date):
        named = f"{value.day}-{_MONTHS[value.month - 1]}-{value:%y}"
        return [value, value.isoformat(), american(value), named, serial(value), f"{value:%m/%d/%y}"]
    assert isinstance(value, str)
    if described.kind == "choice":
        return [value, value.upper(), value.replace("_", " ").title(), f" {value} "]
    if described.kind == "code":
        return [value, f"{value}\u200b", value.lower(), *([float(value), f"00{value}"] if value.isdigit() else [])]
    if described.kind == "name":
        return [value, value.upper(), f" {value.replace(' ', '  ')}", value.replace(" ", "_")]
    return [value, f"\ufeff{value} "]


def _spoilt(described: Field, random: Random) -> Cell:
    """A text by chance; a question mark before it sees to it that it is no number, date or word of a list."""
    text = "?" + "".join(random.choice(SIGNS) for _ in range(random.randint(1, 12)))
    if described.kind not in FREE:
        return Cell(text, Unreadable)
    return Cell(text, code(cleaned(text)) if described.kind == "code" else cleaned(text))


def _page(name: str, rows: list[Record], random: Random) -> Page:
    described = tables()[name].fields
    cells = [
        {key: Cell(None, None) if value is None else Cell(random.choice(_forms(described[key], value)), value)
         for key, value in row.items()}
        for row in rows
    ]  # fmt: skip
    fields = list(described)
    random.shuffle(fields)
    return Page(name, fields, list(cells), above=random.choice([0, 0, 1, 2]))


def spoil(page: Page, random: Random) -> None:
    """Another text in a cell, or none where one may be blank, or a row that is blank."""
    row = random.choice([row for row in page.rows if row is not None])
    name = random.choice(page.fields)
    described = tables()[page.table].fields[name]
    if random.random() < 0.15:
        page.rows.insert(random.randrange(len(page.rows)), None)
        return
    row[name] = Cell(None, None) if random.random() < 0.2 else _spoilt(described, random)
    if all(row is not kept for kept in page.spoilt):
        page.spoilt.append(row)


def made_pages(random: Random, most: int, *, is_whole: bool = False) -> list[Page]:
    """Jobs and some other tables of the season, or all, in other forms, with up to `most` things spoilt."""
    season = small_season()
    others = sorted(set(season) - {"jobs", "settings"})
    others = random.sample(others, len(others) if is_whole else random.choice([1, 2, 3, 4]))
    pages = [_page(name, season[name], random) for name in ("jobs", *others)]
    for _ in range(random.randint(0, most)):
        spoil(random.choice(pages), random)
    return pages


def _grid(page: Page) -> Grid:
    described = tables()[page.table].fields
    above: Grid = [["Kept by the office"], [None]][: page.above]
    heads: list[object] = [own_heading(described[name]) for name in page.fields]
    rows: Grid = [
        [None] * len(heads) if row is None else [row[name].written for name in page.fields] for row in page.rows
    ]
    return [*above, heads, *rows]


def _text(value: object) -> str:
    if isinstance(value, bool):
        return "TRUE" if value else "FALSE"
    return "" if value is None else f"{value:.15g}" if isinstance(value, float) else str(value)


def _write_csv(page: Page, folder: Path, random: Random) -> None:
    out = io.StringIO()
    writer = csv.writer(
        out, delimiter=random.choice(",;\t"), lineterminator=random.choice(["\n", "\r\n"]),
        quoting=random.choice([csv.QUOTE_MINIMAL, csv.QUOTE_ALL]),
    )  # fmt: skip
    writer.writerows([_text(cell) for cell in row] for row in _grid(page))
    page.file, page.sheet = f"{page.table}.csv", ""
    (folder / page.file).write_bytes(out.getvalue().encode(random.choice(["utf-8", "utf-8-sig", "utf-16"])))


def write_pages(pages: list[Page], folder: Path, random: Random) -> None:
    """Each table into a file of its own, of a kind by chance."""
    for page in pages:
        kind = random.choice(["csv", "xlsx", "ods", "xls"])
        if kind == "csv":
            _write_csv(page, folder, random)
            continue
        page.file, page.sheet = f"{page.table}.{kind}", "Sheet 1"
        grid = _grid(page)
        if kind == "xlsx":
            write_book(folder / page.file, {page.sheet: grid})
        elif kind == "ods":
            write_open_document(folder / page.file, {page.sheet: grid})
        else:
            cells = [
                (at, column, value if isinstance(value, float) else _text(value))
                for at, row in enumerate(grid) for column, value in enumerate(row) if value is not None
            ]  # fmt: skip
            (folder / page.file).write_bytes(xls({page.sheet: cells}))


def means(described: Field, cell: Cell, record: Value) -> bool:
    """Whether a record's value is what its cell means; a blank cell may stand for whatever it stands for."""
    if cell.value is Unreadable:
        return False
    if cell.value is None:
        return record is None or bool(described.default or described.default_text) or described.name in FILLED
    if described.kind == "name" or described.name == "worker_no":
        return folded(str(record)) == folded(str(cell.value))
    return record == cell.value
