"""A heading as a person wrote it: its normal form, its unit, and whether its column holds personal data."""

from __future__ import annotations

import re
from functools import lru_cache

_BRACKETS = re.compile(r"[\[({]([^\])}]*)[\])}]")
_NOT_WORD = re.compile(r"[^a-z0-9#/$%]+")
_NUMBER_WORDS = frozenset({"number", "nr", "num", "nbr", "№", "id", "code"})
_SIGNS = frozenset({"$", "%"})
UNIT_WORDS = frozenset(
    {
        *("ft", "feet", "foot", "lf", "in", "inch", "inches", "min", "mins", "minutes", "h", "hr", "hrs", "hours"),
        *(
            "usd",
            "$",
            "dollars",
            "mi",
            "mile",
            "miles",
            "days",
            "nights",
            "each",
            "ea",
            "%",
            "w",
            "watts",
            "v",
            "volts",
        ),
        "seasons",
    }
)
_PERSONAL_WORDS = frozenset(
    {
        *(
            "name",
            "names",
            "address",
            "addr",
            "street",
            "city",
            "town",
            "zip",
            "zipcode",
            "postcode",
            "postal",
            "phone",
        ),
        *(
            "telephone",
            "tel",
            "mobile",
            "cell",
            "email",
            "mail",
            "contact",
            "surname",
            "ssn",
            "birth",
            "birthday",
            "dob",
        ),
        *("fax", "lastname", "firstname", "homeowner", "resident"),
    }
)
_OF_THINGS = frozenset({"item", "product", "crew", "branch", "file", "sheet", "setting", "supplier", "vendor", "firm"})


@lru_cache(maxsize=50_000)
def normalise_heading(text: str) -> str:
    """A heading without case, punctuation and what stands in brackets.

    `Job No.`, `job #`, `Job ID` and `JOB NUMBER (required)` are all `job no`.
    """
    folded = _BRACKETS.sub(" ", text.casefold())
    words = _NOT_WORD.sub(" ", folded.replace("№", " # ")).replace("#", " no ").split()
    if len(words) > 1:
        return " ".join("no" if word in _NUMBER_WORDS else word for word in words)
    return "no" if words == ["number"] else " ".join(words)


def heading_unit(text: str, *, is_whole: bool = False) -> str | None:
    """The unit in a heading's brackets or at its end: `Hours [min]` and `Hours, min` have `min`.

    `is_whole`: the words are a known heading to the last one, so that `Counted in` is not in inches.
    """
    for found in _BRACKETS.findall(text):
        if found.strip():
            return found.strip().casefold()
    words = normalise_heading(text).split()
    return words[-1] if not is_whole and len(words) > 1 and words[-1] in UNIT_WORDS else None


def unit_row(texts: list[str]) -> bool:
    """Whether a row's cells are units alone, as some write them under the headings."""
    return all(text.casefold().strip("[]() .") in UNIT_WORDS for text in texts)


def heading_keys(text: str) -> tuple[str, ...]:
    """What to look a heading up by: its normal form run together, then the same without its unit.

    `Length in feet` is `lengthinfeet`, then `length`; `$ amount` is `$amount`, then `amount`.
    """
    words = normalise_heading(text).split()
    if not words:
        return ()
    short = words[1:] if words[0] in _SIGNS else words
    if len(short) > 1 and short[-1] in UNIT_WORDS:
        short = short[:-2] if len(short) > 2 and short[-2] == "in" else short[:-1]
    return ("".join(words), "".join(short)) if short and short != words else ("".join(words),)


def is_personal(text: str) -> bool:
    """Whether a heading that is no field's names personal data: a name, an address, a phone."""
    words = set(normalise_heading(text).split())
    return bool(words & _PERSONAL_WORDS) and not (words & _OF_THINGS)


def column_letter(index: int) -> str:
    """A column's letter: 0 is A, 26 is AA."""
    letters = ""
    index += 1
    while index:
        index, rest = divmod(index - 1, 26)
        letters = chr(65 + rest) + letters
    return letters
