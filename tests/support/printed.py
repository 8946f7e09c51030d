"""Numbers as a person reads them off a page or a paper, without knowing how they were written."""

from __future__ import annotations

import re
from decimal import Decimal
from typing import Any

_NUMBER = re.compile(r"([\u2212-]?)\s*\$?([\d,]+(?:\.(\d+))?)\s*(%?)")


def read_number(text: str) -> tuple[Decimal, Decimal]:
    """The first number of a text, and half a unit of its last digit, which rounding may have taken: 12.4 % is 0.124."""
    found = _NUMBER.search(text)
    assert found is not None, f"no number in {text!r}"
    value = Decimal(found[2].replace(",", ""))
    half = Decimal(5).scaleb(-len(found[3] or "") - 1)
    scale = Decimal("0.01") if found[4] else Decimal(1)
    return (-value if found[1] else value) * scale, half * scale


def place(value: Any, low: Any, high: Any) -> Decimal:
    """The step to which a number with this interval is written at the finest: the second figure of its width, or the
    first of the number where that is finer."""
    ends = [Decimal(str(end)) for end in (low, high) if end is not None]
    if not ends:
        return Decimal(0)
    number = Decimal(str(value))
    width = ends[-1] - ends[0] if len(ends) == 2 else 2 * abs(number - ends[0])
    step = Decimal(1).scaleb(width.adjusted() - 1) if width else Decimal(0)
    return min(step, Decimal(1).scaleb(number.adjusted())) if number else step


def says(text: str, value: Any, step: Decimal = Decimal(0)) -> bool:
    """Whether a printed text says a value of figures.json: a number to its last digit, or to `step` where that is
    coarser; a date by its day; `under 0.1 %` a chance that would be printed as none."""
    if value is None:
        return True
    if isinstance(value, str) and re.fullmatch(r"\d{4}-\d\d-\d\d", value):
        year, _, day = value.split("-")
        return year in text and str(int(day)) in text.split("\u00a0")[0]
    printed, half = read_number(text)
    number = Decimal(str(value))
    if text.startswith("under "):
        return 0 <= number < printed - half
    if text.startswith("over "):
        return printed + half <= number <= 1
    # A float's last digits are not meant.
    return abs(printed - number) <= max(half, step / 2) * (1 + Decimal("1e-6"))


_INTERVAL = re.compile(r"(?:([^ ]+) to ([^ ]+)|([^ ]+) or more|up to ([^ ]+))$")


def split_interval(text: str) -> tuple[str, str | None, str | None]:
    """A value, and the ends of the interval behind it: `1.12 1.06 to 1.19`, `4.0 3.0 or more`."""
    found = _INTERVAL.search(text.strip())
    if found is None:
        return text.strip(), None, None
    return text[: found.start()].strip(), found[1] or found[3], found[2] or found[4]
