"""The firm's own words for headings: a sheet of tables, fields and headings, or a file `headings.toml`."""

from __future__ import annotations

import tomllib
from collections import Counter, defaultdict
from collections.abc import Iterable
from dataclasses import dataclass
from difflib import get_close_matches

from pipeline.vocabulary import Table, tables
from pipeline.workbook.headings import column_letter, heading_keys, normalise_heading
from pipeline.workbook.known import OwnHeading
from pipeline.workbook.layout import ROWS_SEARCHED
from pipeline.workbook.looking import Unreadable
from pipeline.workbook.opening import SheetCells
from pipeline.workbook.readings import SheetReading, Trouble
from pipeline.workbook.sheets import set_aside_whole

OWN_HEADINGS_FILE = "headings.toml"
"""In the season's folder: `[jobs]` and under it `job_no = ["Ticket", "Card"]`."""
COLUMNS = ("table", "field", "heading")
"""The headings of the sheet that says them."""
RULE = "an_own_heading_names_a_field"
SET_ASIDE = "the firm's own headings"


@dataclass(frozen=True)
class Claim:
    """What one cell says: this heading is that field of that table. `column` is the label of the heading's column."""

    file: str
    sheet: str
    row: int | None
    column: str | None
    table: str
    field: str
    text: str


@dataclass(frozen=True)
class OwnHeadings:
    """The words of a folder, and what is wrong with those that name nothing."""

    words: tuple[OwnHeading, ...] = ()
    troubles: tuple[Trouble, ...] = ()


def _places(cells: SheetCells) -> tuple[int, dict[str, int]] | None:
    """The row, counted from 0, in which `Table`, `Field` and `Heading` stand, and the column of each."""
    top = cells.cells.head(ROWS_SEARCHED)
    for at in range(top.height):
        words = {normalise_heading(text): column for column, text in enumerate(top.row(at)) if text}
        if all(name in words for name in COLUMNS) and len(words) == len(COLUMNS):
            return at, {name: words[name] for name in COLUMNS}
    return None


def is_own_headings(cells: SheetCells) -> bool:
    """Whether a sheet says the firm's own headings."""
    return _places(cells) is not None


def claims_of_sheet(file: str, cells: SheetCells) -> list[Claim]:
    """What a sheet with the headings Table, Field and Heading says; several headings stand apart by a semicolon."""
    found = _places(cells)
    if found is None:
        return []
    at, places = found
    label = f"column {column_letter(places['heading'])} '{cells.cells.row(at)[places['heading']]}'"
    claims = []
    for number, row in enumerate(cells.cells.slice(at + 1).iter_rows(), start=at + 2):
        table, field, texts = (row[places[name]] or "" for name in COLUMNS)
        if not (table or field or texts):
            continue
        claims += [Claim(file, cells.name, number, label, table, field, text.strip()) for text in texts.split(";")]
    return claims


def claims_of_toml(file: str, data: bytes) -> list[Claim]:
    """What a headings.toml says. Raises Unreadable, with one sentence, where it cannot be read."""
    try:
        raw = tomllib.loads(data.decode("utf-8-sig"))
    except (UnicodeDecodeError, tomllib.TOMLDecodeError) as error:
        raise Unreadable(f"it cannot be read as TOML ({error}); correct that place and save it again.") from None
    claims = []
    for table, fields in raw.items():
        for field, texts in fields.items() if isinstance(fields, dict) else [("", fields)]:
            given = texts if isinstance(texts, list) else [texts]
            claims += [Claim(file, "", None, None, table, field, str(text)) for text in given]
    return claims


def _folded(text: str) -> str:
    return normalise_heading(text.replace("_", " "))


def _named(text: str, names: Iterable[str]) -> str | None:
    return next((name for name in names if _folded(name) == _folded(text)), None)


def _unknown(what: str, text: str, names: Iterable[str]) -> str:
    near = get_close_matches(text.casefold().replace(" ", "_"), list(names), n=1)
    hint = f" Did you mean {near[0]}?" if near else ""
    return f'"{text}" is not {what}.{hint}'


def _trouble(claim: Claim, message: str, remedy: str) -> Trouble:
    return Trouble(claim.file, claim.sheet, claim.row, claim.column, claim.text, RULE, "error", message, remedy)


def _word(claim: Claim) -> OwnHeading | Trouble:
    """The word that a claim gives, or why it gives none."""
    name = _named(claim.table, tables())
    if name is None:
        return _trouble(claim, _unknown("a table", claim.table, tables()), "name one of: " + ", ".join(tables()))
    table: Table = tables()[name]
    field = _named(claim.field, table.fields)
    if field is None:
        said = _unknown(f"a field of {name}", claim.field, table.fields)
        return _trouble(claim, said, "name one of: " + ", ".join(table.fields))
    if not heading_keys(claim.text):
        text = f"the heading for {field} of {name} is blank"
        return _trouble(claim, text, "write the heading as it stands in your sheets, or delete the row")
    return OwnHeading(name, field, claim.text)


def own_headings(claims: Iterable[Claim]) -> OwnHeadings:
    """The words of all claims of a folder; one that is said of two fields of a table counts for neither."""
    words: list[OwnHeading] = []
    troubles: list[Trouble] = []
    fields: dict[tuple[str, str], set[str]] = defaultdict(set)
    said: list[tuple[Claim, OwnHeading]] = []
    for claim in claims:
        word = _word(claim)
        if isinstance(word, Trouble):
            troubles.append(word)
            continue
        fields[word.table, heading_keys(word.text)[0]].add(word.field)
        said.append((claim, word))
    for claim, word in said:
        meant = fields[word.table, heading_keys(word.text)[0]]
        if len(meant) == 1:
            words.append(word)
            continue
        text = f'"{word.text}" is said to be {" and ".join(sorted(meant))} of {word.table}, so it counts for neither'
        troubles.append(_trouble(claim, text, "leave it at one of them"))
    return OwnHeadings(tuple(dict.fromkeys(words)), tuple(troubles))


def own_headings_reading(file: str, cells: SheetCells) -> SheetReading:
    """The reading of a sheet of own headings: no record is on it."""
    counted = Counter(claim.table for claim in claims_of_sheet(file, cells))
    said = ", ".join(f"{count} for {table}" for table, count in counted.items())
    return set_aside_whole(file, cells, SET_ASIDE, f"{SET_ASIDE}: {said or 'none'}")
