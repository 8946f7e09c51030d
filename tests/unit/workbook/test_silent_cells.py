"""Cells that the library gives as blank although they hold something are found by their markup."""

from __future__ import annotations

import pytest

from pipeline.workbook.silent_cells import WITHOUT_A_RESULT, silent_cells


@pytest.mark.parametrize(
    ("cell", "text"),
    [
        ('<c r="AB12" t="e"><v>#N/A</v></c>', "#N/A"),
        ('<c r="AB12" s="3" t="e"><f>1/0</f><v>#DIV/0!</v></c>', "#DIV/0!"),
        ('<c r="AB12" t="e"><f t="shared" si="0"/><v>#REF!</v></c>', "#REF!"),
        ('<x:c r="AB12" t="e"><x:v>#NAME?</x:v></x:c>', "#NAME?"),
        ('<c r="AB12"><f>A1</f></c>', WITHOUT_A_RESULT),
        ('<c r="AB12" s="1"><f>SUM(A1:A2)</f><v></v></c>', WITHOUT_A_RESULT),
        ('<c r="AB12"><f>A1</f><v /></c>', WITHOUT_A_RESULT),
        ('<c r="AB12"><f t="shared" si="0"/></c>', WITHOUT_A_RESULT),
        ('<x:c r="AB12"><x:f>A1</x:f><x:v/></x:c>', WITHOUT_A_RESULT),
    ],
)
def test_an_error_and_a_formula_without_a_result_are_found(cell: str, text: str) -> None:
    xml = f'<row r="12"><c r="A12"><v>1</v></c>{cell}<c r="AC12" t="s"><v>0</v></c></row>'
    assert silent_cells(xml.encode()) == [(11, 27, text)]


@pytest.mark.parametrize(
    "cell",
    [
        '<c r="B2"><f>A1</f><v>0</v></c>',
        # Spreadsheet programs write the empty text so, the result of `=IF(A1="", "", A1)`.
        '<c r="B2" t="str"><f>A1</f><v></v></c>',
        '<c r="B2" s="1" t="str"><f>A1</f><v/></c>',
        '<c r="B2"/>',
        '<c r="B2"><v></v></c>',
        '<c r="B2" t="inlineStr"><is><t>a t="e" of text</t></is></c>',
    ],
)
def test_a_cell_that_the_library_gives_as_it_is_is_left_alone(cell: str) -> None:
    assert silent_cells(f'<row r="2">{cell}</row>'.encode()) == []
