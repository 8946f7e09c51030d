"""How people write values: text to exact values, one function a kind. None means it cannot be read for certain."""

from __future__ import annotations

import re
from collections.abc import Callable
from datetime import date, timedelta
from decimal import ROUND_HALF_UP, Decimal
from functools import partial

from pipeline.vocabulary import DECIMAL_PLACES

_QUANTUM = Decimal(1).scaleb(-DECIMAL_PLACES)
_NUMBER = r"(?:\d{1,3}(?:,\d{3})+|\d+)(?:\.\d*)?|\.\d+"
_PLAIN = re.compile(rf"([-+]?)({_NUMBER})")
_MONEY = re.compile(rf"(\()?([-+]?)\s*\$?\s*([-+]?)({_NUMBER})\s*(?:usd|dollars?)?\s*(\))?")
_FEET_AND_INCHES = re.compile(rf"({_NUMBER})\s*(?:'|ft\.?|feet|foot)\s*(?:({_NUMBER})\s*(?:\"|''|in\.?|inch(?:es)?))?")
_INCHES = re.compile(rf"({_NUMBER})\s*(?:\"|''|in\.?|inch(?:es)?)")
_CLOCK = re.compile(r"(\d{1,4})(?::|\s*h(?:rs?|ours?)?\.?\s*)(\d{1,2})(?::(\d{2}))?\s*(?:m(?:in(?:utes)?)?\.?)?")
_HOURS = re.compile(rf"({_NUMBER})\s*h(?:rs?|ours?)?\.?")
_MINUTES = re.compile(rf"({_NUMBER})\s*m(?:in(?:utes?|s)?)?\.?")
_SLOPE = re.compile(rf"({_NUMBER})\s*(?:/|:|in|on)\s*12")
_WITH_UNIT = re.compile(rf"([-+]?)({_NUMBER})\s*([a-z]+\.?)?")
_ISO = re.compile(r"(\d{4})-(\d{1,2})-(\d{1,2})(?:[ t]\d{1,2}:\d{2}(?::\d{2}(?:\.\d+)?)?)?")
_NUMERIC_DATE = re.compile(r"(\d{1,2})[/.\-](\d{1,2})[/.\-](\d{2}|\d{4})")
_NAMED_MONTH = re.compile(r"(\d{1,2})[ \-/.]+([a-z]{3,9})\.?,?[ \-/.]+(\d{2}|\d{4})")
_MONTH_FIRST = re.compile(r"([a-z]{3,9})\.?[ \-/.]+(\d{1,2})(?:st|nd|rd|th)?,?[ \-/.]+(\d{2}|\d{4})")
_MONTHS = ("jan", "feb", "mar", "apr", "may", "jun", "jul", "aug", "sep", "oct", "nov", "dec")
_MONTH_NAMES = ("january", "february", "march", "april", "may", "june", "july", "august", "september", "october",
                "november", "december")  # fmt: skip

SERIAL_EPOCH = date(1899, 12, 30)
FIRST_SERIAL, LAST_SERIAL = 32_874, 73_050
"""Spreadsheet serial dates from 1990 to 2099; a smaller number in a date column is no date."""


def _exact(value: Decimal) -> Decimal:
    return value.quantize(_QUANTUM, ROUND_HALF_UP)


def _decimal(text: str) -> Decimal:
    return Decimal(text.replace(",", ""))


def read_plain(text: str) -> Decimal | None:
    """A number: `1,250` or `6.5`."""
    found = _PLAIN.fullmatch(text)
    if not found:
        return None
    value = _exact(_decimal(found[2]))
    return -value if found[1] == "-" else value


def read_money(text: str) -> Decimal | None:
    """An amount: `$1,250.00`, `1250`, `(125.00)` for a negative one."""
    found = _MONEY.fullmatch(text)
    if not found or bool(found[1]) != bool(found[5]) or (found[2] and found[3]):
        return None
    value = _exact(_decimal(found[4]))
    return -value if found[1] or "-" in (found[2], found[3]) else value


def read_feet(text: str, *, bare_inches: bool = False) -> Decimal | None:
    """A length in feet: `120`, `120 ft`, `120'`, `120' 6"`, `4"`.

    A bare number is feet unless the heading says inches.
    """
    if found := _FEET_AND_INCHES.fullmatch(text):
        inches = _decimal(found[2]) if found[2] else Decimal(0)
        return _exact(_decimal(found[1]) + inches / 12)
    if found := _INCHES.fullmatch(text):
        return _exact(_decimal(found[1]) / 12)
    value = read_plain(text)
    return _exact(value / 12) if value is not None and bare_inches else value


def read_inches(text: str, *, bare_feet: bool = False) -> Decimal | None:
    """A length in inches: `12`, `12"`, `12 in`, `1 ft`."""
    if _FEET_AND_INCHES.fullmatch(text) or _INCHES.fullmatch(text):
        feet_found = _INCHES.fullmatch(text)
        if feet_found:
            return _exact(_decimal(feet_found[1]))
        feet = read_feet(text)
        return None if feet is None else _exact(feet * 12)
    value = read_plain(text)
    return _exact(value * 12) if value is not None and bare_feet else value


def read_hours(text: str, *, bare_minutes: bool = False) -> Decimal | None:
    """A duration in hours: `6.5`, `6:30`, `6h30`, `6 h 30 min`, `390 min`, `31:05`."""
    if (found := _CLOCK.fullmatch(text)) and int(found[2]) < 60 and int(found[3] or 0) < 60:
        seconds = (int(found[1]) * 60 + int(found[2])) * 60 + int(found[3] or 0)
        return _exact(Decimal(seconds) / 3600)
    if found := _HOURS.fullmatch(text):
        return _exact(_decimal(found[1]))
    if found := _MINUTES.fullmatch(text):
        return _exact(_decimal(found[1]) / 60)
    value = read_plain(text)
    return _exact(value / 60) if value is not None and bare_minutes else value


def read_slope(text: str) -> Decimal | None:
    """A rise in 12 inches: `6`, `6/12`, `6:12`."""
    found = _SLOPE.fullmatch(text)
    return _exact(_decimal(found[1])) if found else read_plain(text)


def read_with_unit(text: str, *, units: tuple[str, ...]) -> Decimal | None:
    """A number with or without one of the units."""
    found = _WITH_UNIT.fullmatch(text)
    if not found or (found[3] and found[3].rstrip(".") not in units):
        return None
    value = _exact(_decimal(found[2]))
    return -value if found[1] == "-" else value


def read_share(text: str) -> Decimal | None:
    """A share of one: `0.35` or `35 %`."""
    if text.endswith("%"):
        value = read_plain(text.rstrip("% "))
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
    if found := _ISO.fullmatch(text):
        return _day(found[1], int(found[2]), found[3])
    if found := _NUMERIC_DATE.fullmatch(text):
        month, day = (found[1], found[2]) if order == "mdy" else (found[2], found[1])
        return _day(found[3], int(month), day)
    if found := _NAMED_MONTH.fullmatch(text):
        return _day(found[3], _month(found[2]), found[1])
    if found := _MONTH_FIRST.fullmatch(text):
        return _day(found[3], _month(found[1]), found[2])
    if text.removesuffix(".0").isdigit() and FIRST_SERIAL <= int(text.removesuffix(".0")) <= LAST_SERIAL:
        return SERIAL_EPOCH + timedelta(days=int(text.removesuffix(".0")))
    return None


QUANTITY_UNITS = ("ft", "feet", "foot", "lf", "ea", "each", "pc", "pcs")
Reader = Callable[[str], Decimal | date | None]


def reader_of(kind: str, heading_unit: str | None, date_order: str) -> Reader:
    """The function that reads a kind of value; the unit in a column's heading says what a bare number is."""
    unit = (heading_unit or "").rstrip(".")
    readers: dict[str, Reader] = {
        "money": read_money,
        "feet": partial(read_feet, bare_inches=unit in ("in", "inch", "inches", '"')),
        "inches": partial(read_inches, bare_feet=unit in ("ft", "feet", "foot", "'")),
        "hours": partial(read_hours, bare_minutes=unit in ("min", "mins", "minutes", "m")),
        "slope": read_slope,
        "miles": partial(read_with_unit, units=("mi", "mile", "miles")),
        "quantity": partial(read_with_unit, units=QUANTITY_UNITS),
        "number": partial(read_with_unit, units=("w", "watt", "watts", "v", "volt", "volts", "seasons", "yr", "years")),
        "share": read_share,
        "whole": partial(read_with_unit, units=(*QUANTITY_UNITS, "nights", "stories", "story", "days", "awg")),
        "season": read_plain,
        "date": partial(read_date, order=date_order),
    }
    return readers[kind]
