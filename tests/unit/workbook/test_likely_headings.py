"""Rows that may hold headings are found by their words, and a word with digits only where a heading has them."""

from __future__ import annotations

from support.workbooks import cells_of

from pipeline.workbook.known import OwnHeading, known_headings
from pipeline.workbook.layout import likely_rows

ROWS = (("Job no", "Feet 9 by 3"), ("1042", "120"), ("C39", "Slope x/12"), ("Crew", "Feet (2025)"), ("Crew", "W 39"))


def test_a_heading_with_digits_is_one_where_it_is_known_or_the_firm_s_own() -> None:
    assert likely_rows(cells_of(*ROWS).cells, known_headings()) == [3]
    own = known_headings([OwnHeading("jobs", "feet", "Feet 9 by 3"), OwnHeading("jobs", "customer_no", "C39")])
    assert likely_rows(cells_of(*ROWS).cells, own) == [0, 2, 3]
