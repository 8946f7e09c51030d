"""Whatever people do with the workbooks of rejected rows, each row counts once and nothing typed last is lost."""

from __future__ import annotations

import tempfile
from pathlib import Path

from hypothesis import given, settings
from hypothesis import strategies as st
from support.put_right import HOURS, Book, check, counts, made, rejects

ROWS = 3
JOBS = 2
CELLS = ("2", "3", "4.5", "see note", "~7", "", None)
"""What may be typed: hours, what is no duration, nothing, and (None) the deletion of every cell."""
READ = {"2": 2.0, "3": 3.0, "4.5": 4.5}

Word = tuple[int, str]
"""The step in which a row was typed, and what."""
Words = dict[str, Word]

edits = st.dictionaries(st.sampled_from(["2", "3", "4"]), st.sampled_from(CELLS), max_size=3)


def type_in(book: Book, changes: dict[str, str | None]) -> None:
    """Change rows by the row of origin; what did not count before is left alone."""
    for line in book:
        row = str(line["Origin row"])
        if row in changes and line["Rejected or held"] != "not counted":
            if changes[row] is None:
                line.update({name: None for name in line if not name.startswith("Origin")})
            else:
                line["Hours"] = changes[row]


def accepted(folder: Path) -> dict[int, float]:
    """Accepted hours by the row of hours.csv that each stands for; that no row counts twice is seen on the way."""
    checked = check(folder)
    found = counts(checked)
    assert sum(found.values()) == ROWS + JOBS
    origin = {
        (row["source_file"], row["source_sheet"], row["source_row"]): row["origin_row"]
        for row in checked.corrections.iter_rows(named=True)
    }
    rows = [
        (origin.get((file, sheet, row), row), float(hours))
        for file, sheet, row, hours in checked.records["hours"]
        .select("source_file", "source_sheet", "source_row", "hours")
        .rows()
    ]
    assert len(dict(rows)) == len(rows)
    return dict(rows)


def word_of(files: dict[str, Words], row: str) -> Word | None:
    """The newest word on a row in any of the workbooks."""
    return max((words[row] for words in files.values() if row in words), default=None)


@settings(max_examples=20)
@given(steps=st.lists(st.tuples(edits, st.sampled_from(["instead", "beside", "alone"])), min_size=1, max_size=4))
def test_in_whichever_way_each_new_workbook_is_put_back_the_last_word_counts(
    steps: list[tuple[dict[str, str | None], str]],
) -> None:
    """A workbook says again what counted when it was written, unless every cell of the row was deleted in it."""
    with tempfile.TemporaryDirectory() as name:
        folder = made(Path(name) / "in", hours=HOURS)
        files: dict[str, Words] = {}
        for number, (changes, where) in enumerate(steps):
            book = rejects(folder)
            shown = {str(line["Origin row"]): str(line["Hours"]) for line in book}
            words = {row: word for row in shown if (word := word_of(files, row))}
            for row in shown.keys() & changes.keys():
                typed = changes[row]
                if typed is None:
                    words.pop(row, None)
                elif typed != shown[row]:
                    words[row] = (number, typed)
            type_in(book, changes)
            if where == "alone":
                for path in folder.glob("rejects*.xlsx"):
                    path.unlink()
                files.clear()
            path = book.save(folder / ("rejects.xlsx" if where == "instead" else f"rejects {number}.xlsx"))
            files[path.name] = words
            found = {row: word[1] for row in ("2", "3", "4") if (word := word_of(files, row))}
            said = {int(row): READ[text] for row, text in found.items() if text in READ}
            assert accepted(folder) == {3: 3.0} | said


@settings(max_examples=20)
@given(first=edits, second=edits, third=edits, again=edits, order=st.permutations(["a", "b", "c"]))
def test_workbooks_changed_by_several_people_never_count_a_row_twice(
    first: dict[str, str | None], second: dict[str, str | None], third: dict[str, str | None],
    again: dict[str, str | None], order: list[str],
) -> None:  # fmt: skip
    """Two change the same workbook, a third the one after it, and then the first changes the old one again."""
    with tempfile.TemporaryDirectory() as name:
        folder = made(Path(name) / "in", hours=HOURS)
        written = rejects(folder).save(Path(name) / "first.xlsx")
        paths = dict(zip("abc", (folder / f"{letter}.xlsx" for letter in order), strict=True))
        for letter, changes in (("a", first), ("b", second)):
            book = Book(written)
            type_in(book, changes)
            book.save(paths[letter])
        accepted(folder)
        book = rejects(folder)
        type_in(book, third)
        book.save(paths["c"])
        accepted(folder)
        book = Book(paths["a"])
        type_in(book, again)
        book.save(paths["a"])
        accepted(folder)
