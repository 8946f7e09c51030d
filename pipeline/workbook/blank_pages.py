"""The two pages of words around the blank workbook's tables: how to fill it in, and the lists behind the drop-downs."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from pipeline.dictionary import sheet_title
from pipeline.settings import Setting, known_settings
from pipeline.vocabulary import Field, tables

GUIDE, LISTS = "How to fill", "Lists"
YES_NO = ("yes", "no")


@dataclass(frozen=True)
class Level:
    """A level of records: what it needs, what it gives, and the sheets that it adds."""

    records: str
    gives: str
    sheets: tuple[str, ...]


LEVELS = (
    Level(
        "jobs with their feet; hours by worker and day; what was bought in all; overheads",
        "cost per foot, a price floor, margins",
        ("jobs", "hours", "workers", "purchases", "overheads", "settings"),
    ),
    Level(
        "hours by job and task (the columns Job no and Task of Hours); other pay, miles and equipment",
        "crews compared, the cost of each job",
        ("pay", "trips", "equipment"),
    ),
    Level(
        "what was hung where: runs, items, goods moved, stock",
        "cost by surface, offcut, orders, spools",
        ("items", "runs", "run_bulbs", "materials", "stock", "offers"),
    ),
    Level(
        "connections and service calls; quotes and receipts",
        "failure points, the price of a connection",
        ("connections", "service_calls", "quotes", "receipts"),
    ),
)
"""The order in which a firm fills its sheets: each level is useful by itself."""

TITLE = "A season's records: how to fill in this workbook"
LEAD = (
    "Only the sheet Jobs is needed to begin with. Go down the four levels as far as your records reach; each adds to "
    "what the reports can tell, and a figure that the records cannot carry is left out, never guessed."
)
ADVICE_TITLE = "How a sheet is filled in"
ADVICE = (
    "A heading with a star * is needed in every row; one without may be left blank. Rest the pointer on a heading to "
    "read what it means and how to write it.",
    "Row 2 of each sheet is an example. It is never counted while its first cell begins with the word example: and the "
    "rest of it is as it was. Leave it or delete the row, and write your own rows below.",
    "A sheet on which only the example stands tells nothing: what it is about counts as not known. Where there truly "
    "was none, such as a season without any service call, delete the example: a sheet with headings alone means none.",
    "Leave blank what you do not know. A zero means none. What cannot be read for certain, such as ~120 or see note, "
    "is reported with its row and never guessed.",
    "Dates as 2025-11-14 or 11/14/2025, hours as 6.5 or 6:30, slopes as 6/12, lengths as 164.5 or 164' 6\".",
    "You may delete columns without a star and sheets that you do not keep, move columns and sheets, copy a sheet for "
    "each crew or week, and put a totals row below the table.",
    "Names, addresses, phones and e-mails are not needed and are not read in.",
    "Save the workbook into the season's folder. perfoot check FOLDER reads and checks it and changes nothing; "
    "perfoot close FOLDER makes the reports.",
)
"""How the sheets are filled in, a point each."""


@dataclass(frozen=True)
class Words:
    """The words of one drop-down: the table and field it belongs to, and (word, what is said beside it) in order."""

    table: str
    field: Field
    rows: tuple[tuple[str, str], ...]

    @property
    def title(self) -> str:
        """The list's heading."""
        return f"{sheet_title(self.table)}, {self.field.heading}"


def _about(setting: Setting) -> str:
    """A setting in one line: meaning, unit, default and what may follow its name."""
    unit = f", in {setting.unit}" if setting.unit else ""
    begins = f"{setting.text}{unit}"
    keyed = f"; for one {setting.keyed} alone as {setting.name}:{setting.keyed.upper()}" if setting.keyed else ""
    default = f"default {setting.default} ({setting.source})" if setting.default is not None else "no default"
    return f"{begins}{keyed}; {default}"


def word_lists() -> Iterator[Words]:
    """Every list of words that a drop-down offers, in the order of the tables."""
    for table in tables().values():
        for field in table.fields.values():
            if field.allowed:
                also = field.words or {}
                rows = tuple((word, _read_too(also.get(word, ()))) for word in field.allowed)
                yield Words(table.name, field, rows)
            elif field.kind == "yesno":
                yield Words(table.name, field, tuple((word, "") for word in YES_NO))
            elif (table.name, field.name) == ("settings", "setting"):
                rows = tuple((setting.name, _about(setting)) for setting in known_settings().values())
                yield Words(table.name, field, rows)


def _read_too(also: tuple[str, ...]) -> str:
    return f"read too: {', '.join(also)}" if also else ""
