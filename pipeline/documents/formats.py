"""How a value is printed: rounded for reading, with thousands apart and its unit beside it."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from decimal import ROUND_HALF_UP, Decimal

NOT_KNOWN = "\N{EN DASH}"
"""Printed where a value is not known; never a zero."""
MINUS = "\N{MINUS SIGN}"
_NO_BREAK = "\N{NO-BREAK SPACE}"


@dataclass(frozen=True)
class Format:
    """Decimals, what stands before and after, and a unit that is left out where a heading already gives it."""

    decimals: int = 0
    before: str = ""
    after: str = ""
    unit: str = ""
    times: int = 1
    significant: bool = False


FORMATS: dict[str, Format] = {
    "usd": Format(before="$"),
    "usd_cents": Format(2, before="$"),
    "usd_per_ft": Format(2, before="$", unit="/ft"),
    "share": Format(1, after=f"{_NO_BREAK}%", times=100),
    "percent": Format(0, after=f"{_NO_BREAK}%", times=100),
    "count": Format(),
    "feet": Format(unit=f"{_NO_BREAK}ft"),
    "hours": Format(unit=f"{_NO_BREAK}h"),
    "hours_per_100_ft": Format(2, unit=f"{_NO_BREAK}h/100{_NO_BREAK}ft"),
    "days": Format(1, unit=f"{_NO_BREAK}days"),
    "inches": Format(1, unit=f"{_NO_BREAK}in"),
    "quantity": Format(),
    "ratio": Format(2),
    "number": Format(2),
    "rate": Format(2, significant=True),
    "date": Format(),
    "text": Format(),
    "prose": Format(),
}
"""How each kind of value is printed. An XLSX renderer maps the same keys to number formats."""

TEXT_FORMATS = frozenset({"text", "prose"})
"""Formats of what is no figure: words, places such as a sheet's row, and whole sentences."""

_MOST_DECIMALS = 5


def show(value: object, form: str, *, with_unit: bool = False) -> str:
    """A value as text: `$6.43`, `12.4 %`, `31 May 2026`; a dash for None."""
    if value is None:
        return NOT_KNOWN
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, date):
        return f"{value.day}{_NO_BREAK}{value:%b}{_NO_BREAK}{value.year}"
    if isinstance(value, str) or form in TEXT_FORMATS:
        return str(value)
    rule = FORMATS[form]
    number = Decimal(str(value)) * rule.times
    if not number.is_finite():
        return NOT_KNOWN
    decimals = _significant_decimals(number, rule.decimals) if rule.significant else rule.decimals
    text = _rounded(abs(number), decimals)
    minus = MINUS if number < 0 and text.strip("0.,") else ""
    return f"{minus}{rule.before}{text}{rule.after}{rule.unit if with_unit else ''}"


def _rounded(number: Decimal, decimals: int) -> str:
    return f"{number.quantize(Decimal(1).scaleb(-decimals), ROUND_HALF_UP):,}"


def _significant_decimals(number: Decimal, least: int) -> int:
    """Decimals that leave two figures of a small number: .00412 is .0041, not 0.00."""
    if number == 0:
        return least
    return min(max(least, 1 - number.adjusted()), _MOST_DECIMALS)
