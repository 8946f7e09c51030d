"""A heading is read without regard to how it is written."""

from __future__ import annotations

from pipeline.workbook.headings import column_letter, heading_keys, heading_unit, normalise_heading


def test_case_punctuation_line_breaks_and_units_do_not_matter() -> None:
    assert normalise_heading("Job\nNo.") == normalise_heading("job #") == normalise_heading("JOB NUMBER") == "job no"
    assert normalise_heading("Length (ft)") == "length"


def test_the_unit_in_a_heading_is_kept() -> None:
    assert heading_unit("Hours [min]") == "min"
    assert heading_unit("Length (IN)") == "in"
    assert heading_unit("Length") is None


def test_columns_are_lettered_as_a_spreadsheet_letters_them() -> None:
    assert [column_letter(i) for i in (0, 25, 26, 701, 702)] == ["A", "Z", "AA", "ZZ", "AAA"]


def test_a_unit_at_the_end_of_a_heading_is_its_unit_and_does_not_hide_the_heading() -> None:
    assert heading_unit("Hours, min") == "min"
    assert heading_unit("Counted in", is_whole=True) is None
    assert heading_keys("Length in feet") == ("lengthinfeet", "length")
    assert heading_keys("$ Amount") == ("$amount", "amount")
    assert heading_keys("Lead days") == ("leaddays", "lead")
