"""A sound season written down with random damage, and what each of its rows was before."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
from pathlib import Path
from random import Random

from support.sheets import own_heading, plain, write_book, write_csv
from support.small_season import Record, small_season

from pipeline.vocabulary import tables

UNREADABLE = ("see note", "~120", "12O ft", "1.2.3", "--", "=1+1", "<b>?</b>", "\u202e012", "#N/A", "a" * 300, "½½")
"""What no number, date, choice or yes and no can be read from."""
FREE = frozenset({"code", "name", "text"})
HARMLESS = ("\u00a0", " ", "\t")
"""Put around a cell they change nothing."""
HEADER = "heading"
STRAY = "stray"

Cells = list[str | None]


@dataclass
class Line:
    """A row as it is written: whose it is, its cells, and the fields whose cells were damaged."""

    origin: int | str
    cells: Cells
    hurt: dict[str, str | None] = field(default_factory=dict)


@dataclass
class Sheet:
    """A table as it is written; `unread` are the fields whose heading was damaged."""

    table: str
    fields: list[str]
    lines: list[Line]
    unread: set[str] = field(default_factory=set)


def _sheets(chosen: set[str]) -> dict[str, Sheet]:
    out = {}
    for name, rows in small_season().items():
        if name not in chosen:
            continue
        fields = tables()[name].fields
        lines = [Line(HEADER, [own_heading(described) for described in fields.values()])]
        lines += [
            Line(number, [plain(described, row.get(key)) for key, described in fields.items()])
            for number, row in enumerate(rows)
        ]
        out[name] = Sheet(name, list(fields), lines)
    return out


def _records(sheet: Sheet) -> list[Line]:
    return [line for line in sheet.lines if line.origin not in (HEADER, STRAY)]


def _spoil(sheet: Sheet, random: Random) -> None:
    """Another text in a cell."""
    line, place = random.choice(_records(sheet)), random.randrange(len(sheet.fields))
    line.cells[place] = line.hurt[sheet.fields[place]] = random.choice(UNREADABLE)


def _blank(sheet: Sheet, random: Random) -> None:
    line, place = random.choice(_records(sheet)), random.randrange(len(sheet.fields))
    line.cells[place] = line.hurt[sheet.fields[place]] = None


def _pad(sheet: Sheet, random: Random) -> None:
    """Blanks around a cell, which change nothing."""
    line, place = random.choice(_records(sheet)), random.randrange(len(sheet.fields))
    if line.cells[place]:
        line.cells[place] = f"{random.choice(HARMLESS)}{line.cells[place]}{random.choice(HARMLESS)}"


def _shuffle(sheet: Sheet, random: Random) -> None:
    rest = sheet.lines[1:]
    random.shuffle(rest)
    sheet.lines[1:] = rest


def _drop(sheet: Sheet, random: Random) -> None:
    """A row that was never written; one record is left for other damage."""
    if len(_records(sheet)) > 1:
        sheet.lines.pop(random.randrange(1, len(sheet.lines)))


def _repeat(sheet: Sheet, random: Random) -> None:
    line = random.choice(_records(sheet))
    sheet.lines.append(Line(line.origin, list(line.cells), dict(line.hurt)))


def _stray(sheet: Sheet, random: Random) -> None:
    """A row that is no record: blank, a note, a total or nonsense."""
    width = len(sheet.fields)
    kinds: list[Cells] = [
        [None] * width, ["rain on the 16th, all sent home"], ["Total"], ["\ufeff", "\u200b"],
        [random.choice(UNREADABLE) for _ in range(width)], [None] * (width + 3) + ["beyond"],
    ]  # fmt: skip
    sheet.lines.insert(random.randrange(1, len(sheet.lines) + 1), Line(STRAY, list(random.choice(kinds))))


def _unname(sheet: Sheet, random: Random) -> None:
    """A heading that nobody knows."""
    place = random.randrange(len(sheet.fields))
    sheet.lines[0].cells[place] = random.choice(["???", "Zzz", None, "x" * 90])
    sheet.unread.add(sheet.fields[place])


def _turn(sheet: Sheet, random: Random) -> None:
    """The columns in another order."""
    order = list(range(len(sheet.fields)))
    random.shuffle(order)
    sheet.fields = [sheet.fields[place] for place in order]
    for line in sheet.lines:
        cells = line.cells + [None] * (len(order) - len(line.cells))
        line.cells = [cells[place] for place in order] + cells[len(order) :]


def _title(sheet: Sheet, random: Random) -> None:
    sheet.lines.insert(0, Line(STRAY, ["Kept by the office", None, "autumn"][: random.randrange(1, 4)]))


DAMAGES: tuple[Callable[[Sheet, Random], None], ...] = (
    _spoil, _spoil, _spoil, _blank, _pad, _shuffle, _drop, _repeat, _stray, _unname, _turn, _title,
)  # fmt: skip


@dataclass(frozen=True)
class Written:
    """Where each line of a damaged season stands: by file, sheet and row counted from 1."""

    places: dict[tuple[str, str, int], tuple[Sheet, Line]]
    season: dict[str, list[Record]]


def damage(random: Random, most: int) -> dict[str, Sheet]:
    """Jobs and some other sheets of the season with up to `most` damages. Titles come last: headings stand in row 1."""
    others = sorted(set(small_season()) - {"jobs"})
    sheets = _sheets({"jobs", *random.sample(others, random.choice([1, 2, 3, 4, len(others)]))})
    chosen = [random.choice(DAMAGES) for _ in range(random.randint(1, most))]
    for hurt in sorted(chosen, key=lambda hurt: hurt is _title):
        hurt(sheets[random.choice(list(sheets))], random)
    return sheets


def write_damaged(sheets: dict[str, Sheet], folder: Path, *, as_book: bool) -> Written:
    """Write the sheets into one workbook or as a CSV file each."""
    places = {}
    for name, sheet in sheets.items():
        file, label = ("season.xlsx", name) if as_book else (f"{name}.csv", "")
        for row, line in enumerate(sheet.lines, start=1):
            places[file, label, row] = (sheet, line)
        if not as_book:
            write_csv(folder / file, [list(line.cells) for line in sheet.lines])
    if as_book:
        grids = {name: [list(line.cells) for line in sheet.lines] for name, sheet in sheets.items()}
        write_book(folder / "season.xlsx", grids)
    return Written(places, small_season())
