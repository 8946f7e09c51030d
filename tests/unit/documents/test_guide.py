"""The guide says of every name what the descriptions say that the program works by."""

from __future__ import annotations

from pathlib import Path

import pytest

from pipeline.documents.columns import COLUMNS
from pipeline.documents.guide import dictionary, look_up
from pipeline.errors import UsageError
from pipeline.settings import known_settings
from pipeline.vocabulary import tables
from pipeline.warehouse.files import model_files

DICTIONARY = Path(__file__).resolve().parents[3] / "sql" / "DICTIONARY.md"


def test_a_sheet_has_a_line_for_each_of_its_columns_and_marks_the_needed_ones() -> None:
    for table in tables().values():
        (entry,) = [entry for entry in look_up([table.name]) if entry.what == "sheet of records"]
        assert [term.removesuffix(" *") for term, _ in entry.lines] == [f.heading for f in table.fields.values()]
        assert [term.endswith(" *") for term, _ in entry.lines] == [f.required for f in table.fields.values()]


def test_a_column_of_a_sheet_has_its_other_headings_and_the_other_words_for_its_choices() -> None:
    (entry,) = look_up(["jobs", "work"])
    said = dict(entry.lines)
    assert "type of work" in said["Headings"]
    assert said["repeat"].startswith("also returning, renewal")


def test_a_name_is_found_however_it_is_written() -> None:
    by_parts = look_up(["jobs", "install_date"])
    assert look_up(["jobs.install_date"]) == look_up(["Jobs", "Install date"]) == by_parts
    assert look_up(["target-margin"]) == look_up(["target margin"]) == look_up(["target_margin"])


def test_every_measure_is_explained_with_its_columns_and_where_it_is_computed() -> None:
    measures = [name for name in model_files() if name.startswith("measures.")]
    assert len(measures) >= 10
    for name in measures:
        (entry,) = look_up([name])
        assert f"Computed in sql/measures/{name.split('.')[1]}.sql." in entry.about
        assert entry.lines


def test_every_setting_and_every_printed_figure_is_found() -> None:
    for name in (*known_settings(), *COLUMNS):
        assert look_up([name]), name


def test_without_a_name_it_lists_what_it_knows() -> None:
    sheets, results, settings = look_up([])
    assert len(sheets.lines) == len(tables())
    assert "job_cost" in dict(results.lines)
    assert len(settings.lines) == len(known_settings())


def test_a_name_that_is_not_known_is_answered_with_near_ones() -> None:
    with pytest.raises(UsageError, match='by the name of "feets"; did you mean feet'):
        look_up(["feets"])


def test_the_dictionary_that_is_kept_is_what_the_descriptions_give_today() -> None:
    assert DICTIONARY.read_text(encoding="utf-8") == dictionary()
