"""`perfoot cut`: from a file of lengths and spools to a cut list."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from decimal import Decimal
from pathlib import Path

from pipeline.decisions.policy import LEAST_REMNANT_FT
from pipeline.decisions.spools_cut import CannotBeCut, LineCut, Offered, Piece, cut_lines
from pipeline.errors import UsageError
from pipeline.flows.writing import write_whole
from pipeline.units import reader_of
from pipeline.workbook.cells import SheetCells
from pipeline.workbook.folder import plain_name, read_file
from pipeline.workbook.guarding import end_idle
from pipeline.workbook.headings import column_letter, heading_keys, heading_unit
from pipeline.workbook.looking import Unreadable
from pipeline.workbook.opening import SUFFIXES, open_sheets

HEADINGS: dict[str, tuple[str, str]] = {
    **dict.fromkeys(("length", "lengths", "feet", "piece", "run"), ("length", "feet")),
    **dict.fromkeys(("count", "pieces", "quantity", "qty", "howmany", "number"), ("count", "number")),
    **dict.fromkeys(("spacing", "spacingin"), ("spacing", "inches")),
    **dict.fromkeys(("colour", "color"), ("colour", "text")),
    **dict.fromkeys(("spool", "spools", "spoolsize", "spoollength", "size", "packsize"), ("size", "feet")),
    **dict.fromkeys(("price", "cost", "packprice"), ("price", "money")),
    **dict.fromkeys(("onhand", "most", "available"), ("most", "number")),
}
"""What a heading means, run together, and how its cells are read."""
MOST_PIECES = 100_000
"""Pieces of a list; a season of a thousand houses has ten thousand."""
MOST_FAULTS = 5
"""Cells at fault that an error names."""


@dataclass
class _Found:
    """What a file holds, and the cells that cannot be read."""

    pieces: list[Piece] = field(default_factory=list)
    spools: list[Offered] = field(default_factory=list)
    faults: list[str] = field(default_factory=list)


@dataclass(frozen=True)
class _Column:
    name: str
    place: int
    heading: str
    read: Callable[[str], object]


def _columns(row: Sequence[str | None]) -> list[_Column]:
    """The columns that a row of headings names; none where it names no length and no spool."""
    out: list[_Column] = []
    for place, text in enumerate(row):
        known = next((HEADINGS[key] for key in heading_keys(text or "") if key in HEADINGS), None)
        if known is None:
            continue
        name, kind = known
        unit = heading_unit(text or "")
        read = str if kind == "text" else reader_of(kind, heading_unit=unit)
        out.append(_Column(name, place, str(text), read))
    return out if {"length", "size"} & {column.name for column in out} else []


def _read_rows(file: str, sheet: SheetCells, found: _Found) -> None:
    """Take up the rows under each row of headings, up to the next one."""
    columns: list[_Column] = []
    for number, row in enumerate(sheet.cells.iter_rows(), start=1):
        if headings := _columns(row):
            columns = headings
            continue
        values: dict[str, object] = {}
        for column in columns:
            text = row[column.place]
            if text is None:
                continue
            value = column.read(text.casefold() if column.read is not str else text)
            if not _is_sound(column.name, value):
                label = f"column {column_letter(column.place)} '{column.heading}'"
                where = f"{file}{f', sheet {sheet.name!r}' if sheet.name else ''}, row {number}, {label}"
                found.faults.append(f'{where}: "{text}" is not a {column.name}')
                continue
            # The first length of a row is its own; tables side by side share spacing and colour by their place.
            values.setdefault(column.name, value)
        _take(values, found)


def _is_sound(name: str, value: object) -> bool:
    """Whether a value can be what its column says: whole where it counts, above nothing where it measures."""
    if not isinstance(value, Decimal):
        return value is not None
    if name == "price":
        return value >= 0
    return value > 0 and (name not in ("count", "most") or value == int(value))


def _number(value: object) -> float | None:
    return None if value is None else float(value)  # type: ignore[arg-type]


def _take(values: dict[str, object], found: _Found) -> None:
    colour = str(values["colour"]).strip() if "colour" in values else None
    spacing = _number(values.get("spacing"))
    if "length" in values:
        count = int(_number(values.get("count", 1)) or 1)
        found.pieces.append(Piece(float(values["length"]), count, spacing, colour))  # type: ignore[arg-type]
    if "size" in values:
        most = _number(values.get("most"))
        own = "length" not in values
        found.spools.append(
            Offered(
                float(values["size"]),  # type: ignore[arg-type]
                _number(values.get("price")),
                None if most is None else int(most),
                spacing if own else None,
                colour if own else None,
            )
        )


def _read(path: Path) -> _Found:
    named = plain_name(str(path))
    if path.suffix.casefold() not in SUFFIXES:
        raise UsageError(f"{named} is no spreadsheet; name a file that ends in {', '.join(SUFFIXES)}.")
    if not path.is_file():
        raise UsageError(f"there is no file {named}; name the spreadsheet with the lengths.")
    found = _Found()
    try:
        for sheet in open_sheets(path, read_file(path)):
            if isinstance(sheet, Unreadable):
                raise sheet
            _read_rows(plain_name(path.name), sheet, found)
    except Unreadable as error:
        raise UsageError(plain_name(f"{named}: {error}")) from None
    finally:
        end_idle()
    return found


def spool_of(text: str) -> Offered:
    """A spool as it is typed, SIZE or SIZE=PRICE: `500=198.03`. Raises UsageError."""
    size, _, price = text.partition("=")
    feet = reader_of("feet")(size.strip().casefold())
    usd = reader_of("money")(price.strip().casefold()) if price else None
    if not isinstance(feet, Decimal) or feet <= 0 or (price and (not isinstance(usd, Decimal) or usd < 0)):
        raise UsageError(f'"{text}" is not a spool; write its feet and its price, such as --spool 500=198.03.')
    return Offered(float(feet), _number(usd))


def _checked(found: _Found, named: str) -> None:
    if found.faults:
        more = len(found.faults) - MOST_FAULTS
        rest = f"; and {more} more" if more > 0 else ""
        raise UsageError(
            f"{'; '.join(found.faults[:MOST_FAULTS])}{rest}. Write lengths as 120, 120 ft or 120' 6\", counts as whole "
            "numbers above 0 and prices as 198.03."
        )
    if not found.pieces:
        raise UsageError(f"{named} holds no lengths; head their column Length, and Count where there are several.")
    if sum(piece.count for piece in found.pieces) > MOST_PIECES:
        raise UsageError(f"{named} asks for more than {MOST_PIECES:,} pieces; split the list.")
    if not found.spools:
        raise UsageError(
            "no spool sizes are given; head their column Spool size and Price, or name them such as --spool 500=198.03."
        )
    if len({spool.price_usd is None for spool in found.spools}) > 1:
        raise UsageError("some spools have a price and some have none; give all of them a price, or none.")


def cut(path: Path, spools: Sequence[str] = (), *, keep_ft: float = LEAST_REMNANT_FT) -> list[LineCut]:
    """The cut list of a file. Spools that are typed take the place of those in the file. Raises UsageError."""
    found = _read(path)
    if spools:
        found.spools = [spool_of(text) for text in spools]
    _checked(found, plain_name(str(path)))
    try:
        return cut_lines(found.pieces, found.spools, keep_ft=keep_ft)
    except CannotBeCut as error:
        raise UsageError(f"{plain_name(path.name)}: {error}") from None


def write_sheet(lines: Sequence[LineCut], path: Path) -> None:
    """Write the cut list into a new workbook. Raises UsageError where it is there already or cannot be written."""
    from pipeline.render.cut_list_sheet import write_cut_list

    if path.suffix.casefold() != ".xlsx":
        raise UsageError(f"{path} must end in .xlsx.")
    if path.exists():
        raise UsageError(f"{path} is there already; name another file.")
    try:
        write_whole(path, lambda part: write_cut_list(lines, part))
    except OSError as error:
        raise UsageError(f"{path} cannot be written: {error.strerror}; name another file.") from None
