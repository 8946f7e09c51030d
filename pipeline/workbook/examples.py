"""The example row of the blank workbook: how it is marked, and how it is told from a record when it is read."""

from __future__ import annotations

import polars as pl

from pipeline.units import reader_of
from pipeline.vocabulary import TEXT_KINDS, Field, Table
from pipeline.workbook.readings import EXAMPLE_ROW
from pipeline.workbook.rows import SOURCE_ROW, Words

MARK = "example:"
"""What the first cell of an example begins with: a person sees it, and no record begins so by chance."""


def example_cell(table: Table, field: Field) -> str:
    """What a field's cell of the example holds, as text: the marked one is that of the table's first field."""
    is_first = field.name == next(iter(table.fields))
    return f"{MARK} {field.example}" if is_first else field.example


def _is_written(field: Field, text: str) -> bool:
    """Whether a cell holds a field's example, in whatever form a spreadsheet program gave it."""
    text, example = text.casefold(), field.example.casefold()
    if text == example or field.kind in TEXT_KINDS:
        return text == example
    readers = (reader_of(field.kind, unit=field.unit, order=order) for order in ("mdy", "dmy"))
    return any((value := read(text)) is not None and value == read(example) for read in readers)


def _is_example(table: Table, row: dict[str, str]) -> bool:
    """Whether a marked row is the example: a cell that was changed makes it someone's record, to be looked at."""
    first = next(iter(table.fields))
    unmarked = row | {first: row[first][len(MARK) :].strip()}
    return all(_is_written(table.fields[name], text) for name, text in unmarked.items())


def split_examples(
    frame: pl.DataFrame, table: Table, columns: tuple[tuple[int, str], ...], words: Words
) -> tuple[pl.DataFrame, pl.DataFrame]:
    """The rows under headings without the examples, and the examples as rows set aside: `source_row` and `why`.

    `words` has the texts of the columns.
    """
    fields = {str(place): name for place, name in columns}
    marked = next((place for place, name in fields.items() if name == next(iter(table.fields))), None)
    rows: list[int] = []
    if marked is not None:
        texts = words[marked]
        marks = texts.filter(texts.str.head(len(MARK)).str.to_lowercase() == MARK)
        likely = frame.filter(pl.col(marked).is_in(marks.to_list())) if len(marks) else frame.clear()
        for row in likely.iter_rows(named=True):
            cells = {name: row[place] for place, name in fields.items() if row[place] is not None}
            if _is_example(table, cells):
                rows.append(row[SOURCE_ROW])
    aside = pl.DataFrame([(row, EXAMPLE_ROW) for row in rows], {SOURCE_ROW: pl.Int64, "why": pl.String}, orient="row")
    return (frame.filter(~pl.col(SOURCE_ROW).is_in(rows)) if rows else frame), aside
