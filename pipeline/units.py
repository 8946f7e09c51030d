"""How people write values: text to exact values, one function a kind. None means it cannot be read for certain."""

from __future__ import annotations

import re
from collections.abc import Callable
from datetime import date, timedelta
from decimal import ROUND_HALF_UP, Context, Decimal
from functools import partial

from pipeline.vocabulary import DECIMAL_PLACES

_QUANTUM = Decimal(1).scaleb(-DECIMAL_PLACES)
_MOST_DIGITS = 20
_WIDE = Context(prec=_MOST_DIGITS + DECIMAL_PLACES + 2)
_NUMBER = r"(?:\d{1,3}(?:,\d{3})+|\d+)(?:\.\d*)?|\.\d+"
_PLAIN = re.compile(rf"([-+]?)({_NUMBER})")
_MONEY = re.compile(rf"(\()?([-+]?)\s*\$?\s*([-+]?)({_NUMBER})\s*(?:usd|dollars?)?\s*(\))?")
_FEET_AND_INCHES = re.compile(rf"({_NUMBER})\s*(?:'|ft\.?|feet|foot)\s*(?:({_NUMBER})\s*(?:\"|''|in\.?|inch(?:es)?))?")
_INCHES = re.compile(rf"({_NUMBER})\s*(?:\"|''|in\.?|inch(?:es)?)")
_CLOCK = re.compile(r"(\d{1,4})(?::|\s*h(?:rs?|ours?)?\.?\s*)(\d{2})(?::(\d{2}))?")
_HOURS_AND_MINUTES = re.compile(r"(\d{1,4})\s*h(?:rs?|ours?)?\.?\s*(\d{1,2})\s*m(?:in(?:utes?|s)?)?\.?")
_HOURS = re.compile(rf"({_NUMBER})\s*h(?:rs?|ours?)?\.?")
_MINUTES = re.compile(rf"({_NUMBER})\s*m(?:in(?:utes?|s)?)?\.?")
_SLOPE = re.compile(rf"({_NUMBER})\s*(?:/|:|in|on)\s*12")
_WITH_UNIT = re.compile(rf"([-+]?)({_NUMBER})\s*([a-z]+|')?\.?")
_CLOCK_AFTER = r"(?:[ t]\d{1,2}:\d{2}(?::\d{2}(?:\.\d+)?)?(?: ?[ap]m)?)?"
_WEEKDAY = re.compile(r"(?:mon|tues?|wed(?:nes)?|thu(?:rs)?|fri|sat(?:ur)?|sun)(?:day)?\.?,? ")
_ISO = re.compile(rf"(\d{{4}})[-/](\d{{1,2}})[-/](\d{{1,2}}){_CLOCK_AFTER}")
_NUMERIC_DATE = re.compile(rf"(\d{{1,2}})[/.\-](\d{{1,2}})[/.\-](\d{{2}}|\d{{4}}){_CLOCK_AFTER}")
_NAMED_MONTH = re.compile(r"(\d{1,2})(?:st|nd|rd|th)?[ \-/.]+([a-z]{3,9})\.?,?[ \-/.]+(\d{2}|\d{4})")
_MONTH_FIRST = re.compile(r"([a-z]{3,9})\.?[ \-/.]+(\d{1,2})(?:st|nd|rd|th)?,?[ \-/.]+(\d{2}|\d{4})")
_FRACTION = re.compile(r"(?:(?<![\d.,])(\d{1,5})[ -]?)??(?<![\d.,/])(\d{1,2}) ?[/\u2044] ?(\d{1,2})(?![\d/])")
_FRACTION_SIGNS = {
    "\u00bd": "1/2", "\u00bc": "1/4", "\u00be": "3/4", "\u2153": "1/3", "\u2154": "2/3", "\u215b": "1/8",
    "\u215c": "3/8", "\u215d": "5/8", "\u215e": "7/8",
}  # fmt: skip
_PARTS_OF_A_WHOLE = frozenset({2, 3, 4, 8, 16, 32, 64})
"""The parts that a tape measure is divided into, and thirds: of any other a person hardly writes."""
_SERIAL = re.compile(r"(\d{5})(?:\.\d+)?")
_MONTHS = ("jan", "feb", "mar", "apr", "may", "jun", "jul", "aug", "sep", "oct", "nov", "dec")
_MONTH_NAMES = ("january", "february", "march", "april", "may", "june", "july", "august", "september", "october",
                "november", "december")  # fmt: skip

SERIAL_EPOCH = date(1899, 12, 30)
FIRST_SERIAL, LAST_SERIAL = 32_874, 73_050
"""Spreadsheet serial dates from 1990 to 2099; another number in a date column is no date."""
INCHES_IN_A_FOOT = 12

Reader = Callable[[str], Decimal | date | None]


def _exact(value: Decimal) -> Decimal:
    # A number that no record can hold stays as it is, for the caller to refuse.
    return value if value.adjusted() > _MOST_DIGITS else value.quantize(_QUANTUM, ROUND_HALF_UP, _WIDE)


def _decimal(text: str) -> Decimal:
    return Decimal(text.replace(",", ""))


def _decimals(found: re.Match[str]) -> str:
    above, below = int(found[2]), int(found[3])
    if below not in _PARTS_OF_A_WHOLE or not 0 < above < below:
        return found[0]
    return format(int(found[1] or 0) + _WIDE.divide(Decimal(above), Decimal(below)), "f")


def without_fractions(text: str) -> str:
    """A text with its fractions as decimals: `6 1/2"` and `6½"` are `6.5"`."""
    for sign, fraction in _FRACTION_SIGNS.items():
        if sign in text:
            text = text.replace(sign, f" {fraction}").strip()
    return _FRACTION.sub(_decimals, text)


def read_plain(text: str) -> Decimal | None:
    """A number: `1,250` or `6.5`."""
    found = _PLAIN.fullmatch(text)
    if not found:
        return None
    value = _exact(_decimal(found[2]))
    return -value if found[1] == "-" else value


def read_money(text: str) -> Decimal | None:
    """An amount: `$1,250.00`, `1250`, `(125.00)` for a negative one."""
    found = _MONEY.fullmatch(text.removeprefix("$").lstrip() if text.startswith(("$(", "$ (")) else text)
    if not found or bool(found[1]) != bool(found[5]) or sum(map(bool, found.group(1, 2, 3))) > 1:
        return None
    value = _exact(_decimal(found[4]))
    return -value if found[1] or "-" in (found[2], found[3]) else value


def read_feet(text: str) -> Decimal | None:
    """A length in feet: `120`, `120 ft`, `120'`, `120' 6"`, `4"`."""
    if found := _FEET_AND_INCHES.fullmatch(text):
        inches = _decimal(found[2]) if found[2] else Decimal(0)
        # 10' 14" is a slip of the hand: which of the two is wrong cannot be told.
        return _exact(_decimal(found[1]) + inches / INCHES_IN_A_FOOT) if inches < INCHES_IN_A_FOOT else None
    if found := _INCHES.fullmatch(text):
        return _exact(_decimal(found[1]) / INCHES_IN_A_FOOT)
    return read_plain(text)


def read_inches(text: str) -> Decimal | None:
    """A length in inches: `12`, `12"`, `12 in`, `1 ft`."""
    if found := _INCHES.fullmatch(text):
        return _exact(_decimal(found[1]))
    if found := _FEET_AND_INCHES.fullmatch(text):
        inches = _decimal(found[2]) if found[2] else Decimal(0)
        whole = _decimal(found[1]) * INCHES_IN_A_FOOT
        return _exact(whole + inches) if inches < INCHES_IN_A_FOOT else None
    return read_plain(text)


def read_hours(text: str) -> Decimal | None:
    """A duration in hours: `6.5`, `6:30`, `6h30`, `6 h 30 min`, `390 min`, `31:05`."""
    found = _CLOCK.fullmatch(text)
    if found or (found := _HOURS_AND_MINUTES.fullmatch(text)):
        minutes, seconds = int(found[2]), int((found[3] if found.re is _CLOCK else None) or 0)
        if minutes > 59 or seconds > 59:
            return None
        return _exact(Decimal((int(found[1]) * 60 + minutes) * 60 + seconds) / 3600)
    if found := _HOURS.fullmatch(text):
        return _exact(_decimal(found[1]))
    if found := _MINUTES.fullmatch(text):
        return _exact(_decimal(found[1]) / 60)
    return read_plain(text)


def read_slope(text: str) -> Decimal | None:
    """A rise in 12 inches: `6`, `6/12`, `6:12`."""
    found = _SLOPE.fullmatch(text)
    return _exact(_decimal(found[1])) if found else read_plain(text)


def read_with_unit(text: str, *, units: frozenset[str]) -> Decimal | None:
    """A number with or without one of the units."""
    found = _WITH_UNIT.fullmatch(text)
    if not found or (found[3] and found[3] not in units):
        return None
    value = _exact(_decimal(found[2]))
    return -value if found[1] == "-" else value


def read_share(text: str) -> Decimal | None:
    """A share of one: `0.35` or `35 %`."""
    if text.endswith("%"):
        value = read_plain(text[:-1].rstrip())
        return None if value is None else _exact(value / 100)
    return read_plain(text)


def _month(name: str) -> int | None:
    short = name[:3]
    if short not in _MONTHS:
        return None
    number = _MONTHS.index(short) + 1
    return number if _MONTH_NAMES[number - 1].startswith(name) or name == "sept" else None


def _day(year: str, month: int | None, day: str) -> date | None:
    if month is None:
        return None
    full = int(year) + 2000 if len(year) == 2 else int(year)
    try:
        return date(full, month, int(day))
    except ValueError:
        return None


def read_date(text: str, *, order: str = "mdy") -> date | None:
    """A date: `2025-11-14`, `11/14/2025` by the order of day and month, `14-Nov-25`, a spreadsheet serial number."""
    text = _WEEKDAY.sub("", text, count=1) if _WEEKDAY.match(text) else text
    if found := _ISO.fullmatch(text):
        return _day(found[1], int(found[2]), found[3])
    if found := _NUMERIC_DATE.fullmatch(text):
        month, day = (found[1], found[2]) if order == "mdy" else (found[2], found[1])
        return _day(found[3], int(month), day)
    if found := _NAMED_MONTH.fullmatch(text):
        return _day(found[3], _month(found[2]), found[1])
    if found := _MONTH_FIRST.fullmatch(text):
        return _day(found[3], _month(found[1]), found[2])
    found = _SERIAL.fullmatch(text)
    if found and FIRST_SERIAL <= int(found[1]) <= LAST_SERIAL:
        return SERIAL_EPOCH + timedelta(days=int(found[1]))
    return None


FEET_WORDS = frozenset({"ft", "feet", "foot", "lf", "'", "lin ft", "linear feet"})
INCH_WORDS = frozenset({"in", "inch", "inches", '"'})
MINUTE_WORDS = frozenset({"min", "mins", "minutes", "m"})
FOREIGN_UNITS = frozenset({"m", "cm", "mm", "km", "metre", "metres", "meter", "meters", "yd", "yds", "yards", "yard"})
"""Units of length that no field is kept in: a bare number under such a heading is not taken for feet or inches."""
_UNIT_WORDS = {
    "each": frozenset({"ea", "each", "pc", "pcs", "piece", "pieces"}),
    "nights": frozenset({"night", "nights"}),
    "days": frozenset({"day", "days"}),
    "W": frozenset({"w", "watt", "watts"}),
    "V": frozenset({"v", "volt", "volts"}),
    "seasons": frozenset({"season", "seasons", "yr", "yrs", "year", "years"}),
    "AWG": frozenset({"awg", "ga", "gauge"}),
    "miles": frozenset({"mi", "mile", "miles"}),
    None: frozenset({"story", "stories"}),
}
_WITH_FRACTIONS = frozenset({"feet", "inches", "hours", "miles", "quantity", "number"})
_READERS: dict[str, Reader] = {
    "money": read_money,
    "feet": read_feet,
    "inches": read_inches,
    "hours": read_hours,
    "slope": read_slope,
    "share": read_share,
    "season": read_plain,
}


def _bare(read: Reader, change: Callable[[Decimal], Decimal | None]) -> Reader:
    """A reader that takes a bare number to be in the unit of its heading."""

    def reader(text: str) -> Decimal | date | None:
        value = read_plain(text)
        if value is None:
            return read(text)
        changed = change(value)
        return None if changed is None else _exact(changed)

    return reader


def heading_date_order(heading_unit: str | None) -> str | None:
    """The order of day and month that a heading names: `Date (dd/mm/yyyy)` is dmy."""
    letters = re.sub(r"[^dmy]", "", heading_unit or "")
    short = re.sub(r"(.)\1+", r"\1", letters)
    return short if short in ("dmy", "mdy") else None


def reader_of(
    kind: str, *, unit: str | None = None, heading_unit: str | None = None, order: str = "mdy",
    quantity_units: frozenset[str] = frozenset(),
) -> Reader:  # fmt: skip
    """The function that reads a kind of value; the unit in a column's heading says what a bare number is.

    `unit` is the field's own, whose words may stand behind a number; `quantity_units` are those of a quantity.
    """
    heading = (heading_unit or "").casefold().strip(". ")
    if kind == "date":
        return partial(read_date, order=heading_date_order(heading) or order)
    read = _reader_of_number(kind, unit, heading, quantity_units)
    return (lambda text: read(without_fractions(text))) if kind in _WITH_FRACTIONS else read


def _reader_of_number(kind: str, unit: str | None, heading: str, quantity_units: frozenset[str]) -> Reader:
    if kind == "quantity":
        return partial(read_with_unit, units=quantity_units)
    read = _READERS.get(kind) or partial(read_with_unit, units=_UNIT_WORDS.get(unit, frozenset()))
    if kind in ("feet", "inches", "miles") and heading in FOREIGN_UNITS:
        return _bare(read, lambda value: None)
    if kind == "feet" and heading in INCH_WORDS:
        return _bare(read, lambda value: value / INCHES_IN_A_FOOT)
    if kind == "inches" and heading in FEET_WORDS:
        return _bare(read, lambda value: value * INCHES_IN_A_FOOT)
    if kind == "hours" and heading in MINUTE_WORDS:
        return _bare(read, lambda value: value / 60)
    if kind == "share" and heading == "%":
        return _bare(read, lambda value: value / 100)
    return read
