"""The firm's settings: what each means, its default and source, and how a written value is read."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Iterable
from dataclasses import dataclass, field
from datetime import date
from decimal import Decimal, InvalidOperation
from difflib import get_close_matches
from functools import cache
from pathlib import Path

from pipeline.errors import UsageError

_TEXT_CHOICES = {
    "week_starts": ("sunday", "monday", "tuesday", "wednesday", "thursday", "friday", "saturday"),
    "date_order": ("mdy", "dmy"),
    "gap_allowed": ("yes", "no"),
}
_KEYS = {"gap_allowed": ("cut", "cap", "seal")}
"""What may follow the colon of a setting, where that is a short list."""


@dataclass(frozen=True)
class Setting:
    """What a setting is. `default` is None where the firm must give it."""

    name: str
    kind: str
    text: str
    default: str | None = None
    source: str = ""
    unit: str | None = None
    keyed: str | None = None


@dataclass(frozen=True)
class MileRate:
    """A federal mile rate from a day on, usd a mile."""

    from_date: date
    usd_per_mile: Decimal
    source: str


def _data(name: str) -> dict:
    return tomllib.loads((Path(__file__).parent / name).read_text(encoding="utf-8"))


@cache
def known_settings() -> dict[str, Setting]:
    """All settings by name."""
    return {name: Setting(name=name, **raw) for name, raw in _data("settings.toml").items()}


@cache
def mile_rates() -> tuple[MileRate, ...]:
    """The federal mile rates in order of their day."""
    rows = _data("federal.toml")["mile_rates"]
    return tuple(MileRate(row["from"], Decimal(row["usd_per_mile"]), row["source"]) for row in rows)


@dataclass(frozen=True)
class WageBase:
    """The yearly pay up to which Social Security is due, usd."""

    year: int
    usd: Decimal
    source: str


@cache
def social_security_bases() -> tuple[WageBase, ...]:
    """The federal wage bases in order of their year."""
    rows = _data("federal.toml")["social_security_bases"]
    return tuple(WageBase(row["year"], Decimal(row["usd"]), row["source"]) for row in rows)


def _number(key: str, kind: str, written: str) -> Decimal:
    text = written.strip().replace("$", "").replace(",", "")
    percent = text.endswith("%")
    try:
        value = Decimal(text.rstrip("% "))
    except InvalidOperation:
        raise UsageError(f'setting {key}: "{written}" is not a number; write it as 0.35 or 35 %.') from None
    value = value / 100 if percent else value
    if not value.is_finite() or value < 0:
        raise UsageError(f'setting {key}: "{written}" must be a number of zero or more.')
    if kind == "share" and value > 1:
        raise UsageError(f'setting {key}: "{written}" is a share and must lie between 0 and 1; write 35 % as 0.35.')
    if kind == "whole" and value != value.to_integral_value():
        raise UsageError(f'setting {key}: "{written}" must be a whole number.')
    return value


def parse_setting(key: str, written: str) -> tuple[str, Decimal | str]:
    """Read one setting as a person wrote it.

    Returns its key in normal form and its value: Decimal, or str for kind `text`.
    Raises UsageError, with the remedy, for an unknown name or an impossible value.
    """
    name, _, sub = (part.strip() for part in key.strip().partition(":"))
    name = name.casefold().replace(" ", "_").replace("-", "_")
    known = known_settings().get(name)
    if known is None:
        near = get_close_matches(name, known_settings(), n=1)
        hint = f" Did you mean {near[0]}?" if near else ""
        raise UsageError(f'"{key}" is not a setting.{hint}')
    if sub and known.keyed is None:
        raise UsageError(f"setting {name} takes no part after a colon.")
    if sub and known.keyed == "year" and not re.fullmatch(r"20\d\d", sub):
        raise UsageError(f'setting {name}: "{sub}" is not a year; write {name}:2026.')
    if sub and name in _KEYS and sub.casefold() not in _KEYS[name]:
        raise UsageError(
            f'setting {name}: "{sub}" must be one of {", ".join(_KEYS[name])}, as {name}:{_KEYS[name][0]}.'
        )
    full = f"{name}:{sub.casefold()}" if sub else name
    if known.kind != "text":
        return full, _number(full, known.kind, written)
    value = written.strip()
    if name in _TEXT_CHOICES:
        value = value.casefold()
        if value not in _TEXT_CHOICES[name]:
            raise UsageError(f'setting {name}: "{written}" must be one of {", ".join(_TEXT_CHOICES[name])}.')
    return full, value


@dataclass(frozen=True)
class Settings:
    """Settings in force: the firm's own over the defaults."""

    given: dict[str, Decimal | str] = field(default_factory=dict)

    @classmethod
    def from_pairs(cls, pairs: Iterable[tuple[str, str]]) -> Settings:
        """Settings from (name, written value) pairs; raises UsageError where one cannot be read."""
        return cls(dict(parse_setting(key, written) for key, written in pairs))

    def _value(self, key: str) -> Decimal | str | None:
        if key in self.given:
            return self.given[key]
        name, _, sub = key.partition(":")
        if sub and name in self.given:
            return self.given[name]
        known = known_settings()[name]
        if known.default is None:
            return None
        return parse_setting(name, known.default)[1]

    def number(self, key: str) -> Decimal | None:
        """A setting's number; None where it has neither been given nor a default.

        `compensation:installer` falls back on `compensation`.
        """
        value = self._value(key)
        if isinstance(value, str):
            raise TypeError(f"setting {key} is text")
        return value

    def text(self, key: str) -> str | None:
        """A text setting's value."""
        value = self._value(key)
        return None if value is None else str(value)

    def missing(self) -> tuple[str, ...]:
        """Names of the settings that have no default and were not given."""
        names = {key.partition(":")[0] for key in self.given}
        return tuple(s.name for s in known_settings().values() if s.default is None and s.name not in names)

    def rows(self) -> list[dict[str, str | None]]:
        """Every setting in force, for the store: setting, value, origin (`given` or the default's source)."""
        out: list[dict[str, str | None]] = [
            {"setting": key, "value": str(value), "origin": "given"} for key, value in sorted(self.given.items())
        ]
        out += [
            {"setting": s.name, "value": s.default, "origin": s.source}
            for s in known_settings().values()
            if s.name not in self.given and s.default is not None
        ]
        return out
