"""The blank season workbook: a sheet a table with notes, drop-downs and formats, made from the one description."""

from __future__ import annotations

import io
import math
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, datetime
from pathlib import Path

import xlsxwriter
from xlsxwriter.format import Format
from xlsxwriter.utility import xl_rowcol_to_cell
from xlsxwriter.worksheet import Worksheet

from pipeline.dictionary import describe, sheet_title
from pipeline.errors import UsageError
from pipeline.vocabulary import Field, Table, tables
from pipeline.workbook.blank_columns import TEXT_FORMAT, cell_format, example_value, heading, rule
from pipeline.workbook.blank_pages import ADVICE, ADVICE_TITLE, GUIDE, LEAD, LEVELS, LISTS, TITLE, word_lists
from pipeline.workbook.examples import example_cell

MADE_ON = datetime(2000, 1, 1)
"""The day that the file says it was made on: the same words give the same bytes."""
LAST_ROW = 1_048_575
"""The last row of a sheet, counted from 0: formats and rules reach all the way down."""
EXAMPLE_AT = 1
"""The example's row, counted from 0; the records begin below it."""
LETTER_PAPER = 1
NARROWEST, WIDEST, WRAPPED, ARROW = 10, 28, 14, 3
"""Widths in letters: of columns, of a heading that need not be wrapped, and of the filter's arrow beside it."""
NOTE_WIDTH, NOTE_LINE, NOTE_LETTERS = 320, 16, 50
"""A note's width and the height of a line in pixels, and the letters that stand on a line."""
_INK, _DARK, _LIGHT, _PAPER, _QUIET = "#1F2933", "#3B4A54", "#DFE5E8", "#F7F5F0", "#5A5F66"
_TABS = ("#3B4A54", "#6B8290", "#9DB0BA", "#CBD6DB")
"""The colour of a sheet's tab by its level, from dark to light."""

Lists = Mapping[tuple[str, str], str]
"""The range of words of each (table, field)."""


def write_blank(path: Path) -> Path:
    """Write the blank season workbook. Raises UsageError where the file is there already or cannot be written."""
    if path.suffix.casefold() != ".xlsx":
        raise UsageError(f"{path} does not end in .xlsx; name the workbook so.")
    try:
        with path.open("xb") as file:
            file.write(blank_workbook())
    except FileExistsError:
        raise UsageError(f"{path} is there already and stays as it is; name another file.") from None
    except OSError as error:
        raise UsageError(f"cannot write {path}: {error.strerror}; name a file in a folder that is there.") from None
    return path


def blank_workbook() -> bytes:
    """The blank season workbook as the bytes of an .xlsx file, the same each time."""
    data = io.BytesIO()
    with xlsxwriter.Workbook(data, {"in_memory": True}) as book:
        book.set_properties({"title": "A season's records", "comments": "made by perfoot blank", "created": MADE_ON})
        look = _Look(book)
        guide = book.add_worksheet(GUIDE)
        sheets = {name: book.add_worksheet(sheet_title(name)) for level in LEVELS for name in level.sheets}
        _write_guide(guide, look)
        lists = _write_lists(book.add_worksheet(LISTS), look)
        for level, colour in zip(LEVELS, _TABS, strict=True):
            for name in level.sheets:
                sheets[name].set_tab_color(colour)
                _write_table(sheets[name], tables()[name], look, lists)
    return data.getvalue()


@dataclass
class _Look:
    """The formats of a workbook, each made once."""

    book: xlsxwriter.Workbook

    def __post_init__(self) -> None:
        self._made: dict[tuple[tuple[str, object], ...], Format] = {}

    def of(self, **properties: object) -> Format:
        """The format with these properties."""
        key = tuple(sorted(properties.items()))
        if key not in self._made:
            self._made[key] = self.book.add_format(properties)
        return self._made[key]

    def heading(self, *, needed: bool) -> Format:
        """A heading; one that every row needs is bold on dark besides its star."""
        colours = {"font_color": "#FFFFFF", "bg_color": _DARK} if needed else {"font_color": _INK, "bg_color": _LIGHT}
        return self.of(bold=needed, text_wrap=True, valign="vcenter", border=1, border_color="#FFFFFF", **colours)

    def column(self, field: Field) -> Format:
        """The cells of a field."""
        return self.of(num_format=cell_format(field))

    def example(self, number_format: str) -> Format:
        """A cell of the example row."""
        return self.of(num_format=number_format, italic=True, font_color=_QUIET, bg_color=_PAPER, bottom=1)

    def text(self, **properties: object) -> Format:
        """Words on a page."""
        return self.of(text_wrap=True, valign="top", font_color=_INK, **properties)


def _print_setup(sheet: Worksheet, *, landscape: bool) -> None:
    if landscape:
        sheet.set_landscape()
    sheet.set_paper(LETTER_PAPER)
    sheet.fit_to_pages(1, 0)
    sheet.set_margins(left=0.5, right=0.5, top=0.6, bottom=0.7)
    sheet.set_footer("&L&A&RPage &P of &N")


def _write_table(sheet: Worksheet, table: Table, look: _Look, lists: Lists) -> None:
    """A table's sheet: headings in row 1, the example in row 2, and each column made ready to the last row."""
    for place, field in enumerate(table.fields.values()):
        text = heading(field)
        value = example_value(table, field)
        sheet.set_column(place, place, _width(table, field), look.column(field))
        sheet.write_string(0, place, text, look.heading(needed=field.required))
        _write_note(sheet, place, text, field)
        _write_example(sheet, place, value, field, look)
        first = xl_rowcol_to_cell(EXAMPLE_AT, place)
        checked = rule(field, first, lists.get((table.name, field.name)))
        if checked:
            sheet.data_validation(EXAMPLE_AT, place, LAST_ROW, place, checked)
        if cell_format(field) == TEXT_FORMAT:
            # A job number that is text is meant so: no green corner on each.
            sheet.ignore_errors({"number_stored_as_text": f"{first}:{xl_rowcol_to_cell(LAST_ROW, place)}"})
    sheet.set_row(0, 34)
    sheet.set_row(EXAMPLE_AT, 18)
    sheet.freeze_panes(1, 1)
    sheet.autofilter(0, 0, EXAMPLE_AT, len(table.fields) - 1)
    sheet.set_selection(EXAMPLE_AT + 1, 0, EXAMPLE_AT + 1, 0)
    sheet.repeat_rows(0)
    sheet.hide_gridlines(0)
    _print_setup(sheet, landscape=True)


def _width(table: Table, field: Field) -> float:
    words = heading(field)
    longest = max(min(len(words), WRAPPED), *map(len, words.split())) + ARROW
    longest = max(longest, len(example_cell(table, field)) + 1, *map(len, field.allowed))
    return min(max(longest + 1, NARROWEST), WIDEST)


def _write_note(sheet: Worksheet, place: int, title: str, field: Field) -> None:
    lines = [title, *describe(field)]
    height = sum(math.ceil(len(line) / NOTE_LETTERS) for line in lines)
    sheet.write_comment(
        0, place, "\n".join(lines),
        {"author": "perfoot", "width": NOTE_WIDTH, "height": (height + 1) * NOTE_LINE, "color": _PAPER, "font_size": 9},
    )  # fmt: skip


def _write_example(sheet: Worksheet, place: int, value: object, field: Field, look: _Look) -> None:
    # The marked cell has its column's format too: a date that is typed over it is to be a date.
    made = look.example(cell_format(field))
    if isinstance(value, str):
        sheet.write_string(EXAMPLE_AT, place, value, made)
    elif isinstance(value, date):
        sheet.write_datetime(EXAMPLE_AT, place, value, made)
    else:
        sheet.write_number(EXAMPLE_AT, place, float(str(value)), made)


def _write_guide(sheet: Worksheet, look: _Look) -> None:
    """The first page: what to fill in which order, level by level, with a link to each sheet."""
    sheet.set_column(0, 0, 16)
    sheet.set_column(1, 1, 52)
    sheet.set_column(2, 2, 52)
    sheet.hide_gridlines(2)
    _print_setup(sheet, landscape=False)
    sheet.write_string(0, 0, TITLE, look.of(bold=True, font_size=16, font_color=_INK))
    sheet.set_row(0, 26)
    sheet.merge_range(1, 0, 1, 2, LEAD, look.text())
    sheet.set_row(1, 34)
    at = 3
    for number, level in enumerate(LEVELS, 1):
        bar = look.text(bold=True, bg_color=_LIGHT)
        said = (f"Level {number}", f"Write down {level.records}.", f"It gives {level.gives}.")
        for column, text in enumerate(said):
            sheet.write_string(at, column, text, bar)
        sheet.set_row(at, 34)
        for place, name in enumerate(level.sheets, at + 1):
            _write_guide_row(sheet, place, tables()[name], look)
        at += len(level.sheets) + 2
    sheet.write_string(at, 0, ADVICE_TITLE, look.of(bold=True, font_size=12, font_color=_INK))
    for place, point in enumerate(ADVICE, at + 1):
        sheet.merge_range(place, 0, place, 2, point, look.text())
        sheet.set_row(place, 4 + 15 * math.ceil(len(point) / 118))


def _write_guide_row(sheet: Worksheet, at: int, table: Table, look: _Look) -> None:
    title = sheet_title(table.name)
    needed = f"Needed: {', '.join(table.fields[name].heading for name in table.required)}."
    sheet.write_url(at, 0, f"internal:'{title}'!A1", look.text(underline=1), title)
    sheet.write_string(at, 1, f"A row is {table.row}.", look.text())
    sheet.write_string(at, 2, needed, look.text())
    sheet.set_row(at, 16 * math.ceil(len(needed) / 54))


def _write_lists(sheet: Worksheet, look: _Look) -> Lists:
    """The words behind the drop-downs, one list below the other; returns where each stands.

    One below the other, since two words beside each other could be taken for the headings of a table.
    """
    sheet.set_column(0, 0, 26)
    sheet.set_column(1, 1, 110)
    sheet.hide_gridlines(2)
    _print_setup(sheet, landscape=True)
    sheet.write_string(0, 0, "The words that the drop-downs offer", look.of(bold=True, font_size=14, font_color=_INK))
    places: dict[tuple[str, str], str] = {}
    at = 2
    for words in word_lists():
        sheet.write_string(at, 0, words.title, look.text(bold=True, bg_color=_LIGHT))
        sheet.write_blank(at, 1, None, look.text(bg_color=_LIGHT))
        for place, (word, said) in enumerate(words.rows, at + 1):
            sheet.write_string(place, 0, word, look.text())
            sheet.write_string(place, 1, said, look.text())
        last = at + len(words.rows)
        places[words.table, words.field.name] = f"{LISTS}!$A${at + 2}:$A${last + 1}"
        at = last + 2
    return places
