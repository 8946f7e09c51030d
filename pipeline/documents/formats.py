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
    """Decimals, what stands before and after, and a unit that is left out where a heading already gives it.

    `significant` keeps two figures of a small number; `chance` never prints 0 or 100 %, which no draws can show;
    `given` prints the decimals that were written, for a setting or a spacing; `charged` is a price that is
    asked to the cent, however wide the interval around it is.
    """

    decimals: int = 0
    before: str = ""
    after: str = ""
    unit: str = ""
    times: int = 1
    significant: bool = False
    chance: bool = False
    given: bool = False
    charged: bool = False


FORMATS: dict[str, Format] = {
    "usd": Format(before="$"),
    "usd_cents": Format(2, before="$"),
    "price": Format(2, before="$", charged=True),
    "usd_per_ft": Format(2, before="$", unit="/ft"),
    "share": Format(1, after=f"{_NO_BREAK}%", times=100),
    "percent": Format(0, after=f"{_NO_BREAK}%", times=100),
    "chance": Format(1, after=f"{_NO_BREAK}%", times=100, chance=True),
    "whole_chance": Format(0, after=f"{_NO_BREAK}%", times=100, chance=True),
    "given_share": Format(after=f"{_NO_BREAK}%", times=100, given=True),
    "given_number": Format(given=True),
    "count": Format(),
    "feet": Format(unit=f"{_NO_BREAK}ft"),
    "hours": Format(unit=f"{_NO_BREAK}h"),
    "hours_per_100_ft": Format(2, unit=f"{_NO_BREAK}h/100{_NO_BREAK}ft"),
    "days": Format(1, unit=f"{_NO_BREAK}days"),
    "inches": Format(unit=f"{_NO_BREAK}in", given=True),
    "quantity": Format(),
    "ratio": Format(2),
    "number": Format(2),
    "expected": Format(1),
    "rate": Format(2, significant=True),
    "rate_of_few": Format(1, significant=True),
    "date": Format(),
    "text": Format(),
    "prose": Format(),
}
"""How each kind of value is printed. An XLSX renderer maps the same keys to number formats."""

SETTING_FORMATS = {"share": "given_share", "money": "usd_cents", "text": "text"}
"""How a setting's value is printed by its kind; others as `given_number`."""

TEXT_FORMATS = frozenset({"text", "prose"})
"""Formats of what is no figure: words, places such as a sheet's row, and whole sentences."""

_MOST_DECIMALS = 5
_INTERVAL_FIGURES = 2
"""Figures of an interval's width that are printed; what stands behind them is noise (as with a measurement's
uncertainty: two figures of it, and the value to the same place)."""


def show(value: object, form: str, *, with_unit: bool = False, low: object = None, high: object = None) -> str:
    """A value as text: `$6.43`, `12.4 %`, `31 May 2026`; a dash for None.

    With the ends of its interval it has no digit more than the interval supports: 1.874 in 1.2 to 2.9 is 1.9.
    """
    if value is None:
        return NOT_KNOWN
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, date):
        return f"{value.day}{_NO_BREAK}{value:%b}{_NO_BREAK}{value.year}"
    if isinstance(value, str) or form in TEXT_FORMATS:
        return str(value)
    supported = None if FORMATS[form].charged else _supported(value, low, high, form)
    return _shown(value, form, supported, with_unit=with_unit)


def show_range(value: object, low: object, high: object, form: str) -> str | None:
    """A value's interval as `0.95 to 1.22`, `3.0 or more` where it has no upper end; None where neither end is known.

    Both ends are printed to the place to which the value is.
    """
    supported = _supported(value, low, high, form)
    if low is None:
        return None if high is None else f"up to {_shown(high, form, supported)}"
    if high is None:
        return f"{_shown(low, form, supported)} or more"
    return f"{_shown(low, form, supported)} to {_shown(high, form, supported)}"


def _shown(value: object, form: str, supported: int | None, *, with_unit: bool = False) -> str:
    rule = FORMATS[form]
    number = Decimal(str(value)) * rule.times
    if not number.is_finite():
        return NOT_KNOWN
    if rule.chance and (beyond := _beyond(number, rule)):
        return beyond
    decimals = _decimals(number, rule, supported)
    text = _rounded(abs(number), decimals)
    minus = MINUS if number < 0 and text.strip("0.,") else ""
    return f"{minus}{rule.before}{text}{rule.after}{rule.unit if with_unit else ''}"


def _beyond(number: Decimal, rule: Format) -> str | None:
    """A chance that would be printed as 0 or 100 %: draws tell that it is small, never that it is none."""
    least = Decimal(1).scaleb(-rule.decimals)
    rounded = number.quantize(least, ROUND_HALF_UP)
    if rounded <= 0:
        return f"under {least}{rule.after}"
    return f"over {100 - least}{rule.after}" if rounded >= 100 else None


def _supported(value: object, low: object, high: object, form: str) -> int | None:
    """Decimals that an interval supports, below 0 for tens and hundreds; None where it sets no limit."""
    ends = [Decimal(str(end)) for end in (low, high) if isinstance(end, Decimal | int | float)]
    if not ends or not isinstance(value, Decimal | int | float):
        return None
    width = abs(ends[1] - ends[0]) if len(ends) == 2 else 2 * abs(Decimal(str(value)) - ends[0])
    width *= FORMATS[form].times
    return _INTERVAL_FIGURES - 1 - width.adjusted() if width.is_finite() and width else None


def _decimals(number: Decimal, rule: Format, supported: int | None) -> int:
    usual = _usual_decimals(number, rule)
    if supported is None or supported >= usual:
        return usual
    if rule.before and supported == 1:
        # Money has cents or none.
        return usual
    # A number keeps its first figure, however wide its interval is.
    return min(usual, max(supported, -number.adjusted())) if number else min(usual, max(supported, 0))


def _rounded(number: Decimal, decimals: int) -> str:
    return f"{number.quantize(Decimal(1).scaleb(-decimals), ROUND_HALF_UP):,f}"


def _usual_decimals(number: Decimal, rule: Format) -> int:
    if rule.given:
        return min(max(0, -int(number.normalize().as_tuple().exponent)), _MOST_DECIMALS)
    if rule.significant and number:
        # Two figures of a small number: .00412 is .0041, not 0.00.
        return min(max(rule.decimals, 1 - number.adjusted()), _MOST_DECIMALS)
    return rule.decimals
