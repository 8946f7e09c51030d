"""Seasons whose cells stand in other forms or are spoilt: what is accepted is what was written, what is not is kept.

`PERFOOT_FUZZ=20000` runs that many cases; without it a hundred.
"""

from __future__ import annotations

import os
import tempfile
from pathlib import Path
from random import Random

from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from support.checking import assert_rows_add_up
from support.rewriting import Page, cleaned, made_pages, means, write_pages

from pipeline.errors import PerfootError
from pipeline.validation import Checked, check_folder
from pipeline.vocabulary import tables
from pipeline.workbook import read_folder

CASES = int(os.environ.get("PERFOOT_FUZZ", "120"))
MOST_SPOILT = 6
RUN = settings(max_examples=CASES, derandomize=CASES <= 120,
               suppress_health_check=[HealthCheck.too_slow])  # fmt: skip

Rows = dict[int, dict]


def checked_pages(pages: list[Page], random: Random) -> Checked | None:
    """The pages written, read and checked; None where the folder is refused in a sentence."""
    with tempfile.TemporaryDirectory() as name:
        write_pages(pages, Path(name), random)
        try:
            reading = read_folder(Path(name))
            checked = check_folder(reading)
        except PerfootError as error:
            said = str(error)
        else:
            said = ""
    if said:
        assert 20 < len(said) < 2000
        return None
    assert [file.problem for file in reading.files if file.problem] == []
    assert_rows_add_up(reading, checked)
    return checked


def by_row(checked: Checked, page: Page, which: str) -> Rows:
    """A table's rows by their place."""
    frame = getattr(checked, which).get(page.table)
    return {} if frame is None else {row["source_row"]: row for row in frame.iter_rows(named=True)}


def assert_as_written(page: Page, checked: Checked) -> None:
    described = tables()[page.table].fields
    accepted, refused = by_row(checked, page, "records"), by_row(checked, page, "refused_cells")
    places = page.places()
    assert accepted.keys() | refused.keys() == places.keys(), f"{page.table}: rows are lost, or there twice"
    assert not accepted.keys() & refused.keys()
    for place, record in accepted.items():
        for name, cell in places[place].items():
            assert means(described[name], cell, record[name]), (page.file, place, name, cell, record[name])
    for place, kept in refused.items():
        assert kept["why"]
        for name, cell in places[place].items():
            if isinstance(cell.written, str):
                assert (kept[name] or "") == cleaned(cell.written), (page.file, place, name, cell, kept[name])


@RUN
@given(seed=st.integers(0, 2**48))
def test_what_is_accepted_is_what_was_written_and_what_is_not_is_kept_as_it_was(seed: int) -> None:
    random = Random(seed)
    pages = made_pages(random, MOST_SPOILT)
    checked = checked_pages(pages, random)
    for page in pages if checked else ():
        assert_as_written(page, checked)


@settings(RUN, max_examples=max(CASES // 20, 10))
@given(seed=st.integers(0, 2**48))
def test_a_season_in_other_forms_is_accepted_whole(seed: int) -> None:
    random = Random(seed)
    pages = made_pages(random, 0, is_whole=True)
    checked = checked_pages(pages, random)
    assert checked is not None
    for page in pages:
        assert len(checked.records[page.table]) == len(page.places()), checked.findings["message"].to_list()
        assert_as_written(page, checked)
