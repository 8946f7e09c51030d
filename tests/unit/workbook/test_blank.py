"""The blank workbook is made from the one description, and read as it is it tells nothing."""

from __future__ import annotations

from functools import cache
from io import BytesIO

import openpyxl
import pytest
from openpyxl.worksheet.datavalidation import DataValidation
from openpyxl.worksheet.worksheet import Worksheet
from support.intake import check

from pipeline.dictionary import describe, sheet_title
from pipeline.settings import known_settings, parse_setting
from pipeline.validation import Checked
from pipeline.vocabulary import Field, tables
from pipeline.workbook import FolderReading, read_folder
from pipeline.workbook.blank import blank_workbook, write_blank
from pipeline.workbook.blank_pages import GUIDE, LEVELS, LISTS

EVERY = [(name, field) for name, table in tables().items() for field in table.fields.values()]
CHOICES = [(name, field) for name, field in EVERY if field.allowed]
NAMED = [f"{name}.{field.name}" for name, field in EVERY]


@cache
def book() -> openpyxl.Workbook:
    return openpyxl.load_workbook(BytesIO(blank_workbook()))


@pytest.fixture(scope="module")
def reading(tmp_path_factory: pytest.TempPathFactory) -> FolderReading:
    folder = tmp_path_factory.mktemp("blank")
    write_blank(folder / "season.xlsx")
    return read_folder(folder)


def page(table: str) -> Worksheet:
    return book()[sheet_title(table)]


def place(table: str, field: Field) -> int:
    return list(tables()[table].fields).index(field.name) + 1


def rules(table: str, field: Field) -> list[DataValidation]:
    cell = page(table).cell(3, place(table, field)).coordinate
    return [rule for rule in page(table).data_validations.dataValidation if cell in rule.sqref]


def offered(table: str, field: Field) -> list[str]:
    """The words of a field's drop-down."""
    (rule,) = rules(table, field)
    assert rule.type == "list"
    sheet, cells = rule.formula1.split("!")
    return [row[0].value for row in book()[sheet][cells.replace("$", "")]]


def test_read_as_it_is_it_gives_no_record_and_no_trouble(reading: FolderReading) -> None:
    assert not reading.troubles
    assert [file.problem for file in reading.files] == [None]
    assert {sheet.problem for sheet in reading.sheets} == {None}
    assert {sheet.cells.height for sheet in reading.sheets} == {0}


def test_every_sheet_is_recognised_as_its_table_with_every_field(reading: FolderReading) -> None:
    found = {sheet.sheet: sheet.table for sheet in reading.sheets}
    assert found == {GUIDE: None, LISTS: None} | {sheet_title(name): name for name in tables()}
    for sheet in reading.sheets:
        if sheet.table:
            fields = tables()[sheet.table].fields
            assert [column.field for column in sheet.columns] == list(fields)
            assert sheet.left_out == ()
            assert dict(sheet.set_aside.iter_rows()) == {1: "headings", 2: "example row"}


def test_the_sheets_stand_in_the_order_of_the_levels_between_the_guide_and_the_lists() -> None:
    names = [name for level in LEVELS for name in level.sheets]
    assert sorted(names) == sorted(tables())
    assert names[0] == "jobs"
    assert book().sheetnames == [GUIDE, *map(sheet_title, names), LISTS]


def test_it_is_the_same_bytes_each_time() -> None:
    assert blank_workbook() == blank_workbook()


@pytest.mark.parametrize(("table", "field"), EVERY, ids=NAMED)
def test_a_heading_is_the_field_s_own_with_its_unit_and_a_star_where_it_is_needed(table: str, field: Field) -> None:
    cell = page(table).cell(1, place(table, field))
    assert str(cell.value).startswith(field.heading)
    assert str(cell.value).endswith("*") == field.required
    words = str(cell.value).rstrip(" *\N{NO-BREAK SPACE}]").casefold()
    assert field.unit is None or words.endswith(field.unit.casefold())
    assert cell.comment is not None
    lines = cell.comment.text.splitlines()
    assert tuple(lines[1:]) == describe(field)
    assert lines[1].casefold() == f"{field.text}.".casefold()


@pytest.mark.parametrize(("table", "field"), CHOICES, ids=[f"{name}.{field.name}" for name, field in CHOICES])
def test_a_drop_down_offers_the_allowed_words_and_validation_takes_each(table: str, field: Field) -> None:
    words = offered(table, field)
    assert words == list(field.allowed)
    key = [name for name in tables()[table].key if name not in ("branch", field.name)]
    numbered = key[-1:] or (["quantity"] if table == "materials" else [])
    head = " | ".join([field.name, *numbered])
    rows = "\n".join(f"| {' | '.join([word, *[str(at) for _ in numbered]])} |" for at, word in enumerate(words, 1))
    assert _unread(check(**{table: f"| {head} |\n{rows}"}), field) == []


def _unread(checked: Checked, field: Field) -> list[str]:
    return checked.findings.filter(rule=f"{field.name}_can_be_read")["value"].to_list()


def test_yes_and_no_and_the_settings_names_are_offered_too() -> None:
    assert offered("service_calls", tables()["service_calls"].fields["chargeable"]) == ["yes", "no"]
    setting = tables()["settings"].fields["setting"]
    assert offered("settings", setting) == list(known_settings())
    given = {name: known.default for name, known in known_settings().items() if known.default is not None}
    assert [parse_setting(name, default)[0] for name, default in given.items()] == list(given)
    # compensation:installer is no word of the list, so that its rule warns and does not stop.
    assert rules("settings", setting)[0].errorStyle == "warning"
    assert rules("jobs", tables()["jobs"].fields["work"])[0].errorStyle in (
        None,
        "stop",
    )  # `stop` is what a file that says nothing means


def test_no_list_stands_in_a_rule_itself_where_more_than_255_letters_corrupt_a_file() -> None:
    for name, field in EVERY:
        for rule in rules(name, field):
            assert max(len(rule.formula1 or ""), len(rule.error or "")) < 255
            assert len(rule.errorTitle or "") <= 32


@pytest.mark.parametrize(("table", "field"), EVERY, ids=NAMED)
def test_a_known_range_warns_and_does_not_stop(table: str, field: Field) -> None:
    ranged = any(bound is not None for bound in (field.min, field.max, field.above)) and field.kind != "slope"
    found = [rule for rule in rules(table, field) if rule.type != "list"]
    assert len(found) == (ranged or field.kind == "date")
    assert all(rule.errorStyle == "warning" for rule in found)


@pytest.mark.parametrize(
    ("table", "field", "expected"),
    [
        ("jobs", "job_no", "@"),
        ("jobs", "crew", "@"),
        ("jobs", "slope", "@"),
        ("jobs", "invoiced", "#,##0.00"),
        ("jobs", "install_date", "yyyy-mm-dd"),
        ("hours", "hours", "General"),
        ("run_bulbs", "share", "General"),
    ],
)
def test_a_column_has_the_format_of_its_kind_down_to_the_last_row(table: str, field: str, expected: str) -> None:
    at = place(table, tables()[table].fields[field])
    # Neighbours of one width and format are kept as one.
    (columns,) = [one for one in page(table).column_dimensions.values() if one.min <= at <= one.max]
    assert columns.number_format == expected
    assert all(str(1_048_576) in str(rule.sqref) for rule in rules(table, tables()[table].fields[field]))


@pytest.mark.parametrize("table", list(tables()))
def test_each_sheet_is_ready_to_be_filled_filtered_and_printed(table: str) -> None:
    sheet = page(table)
    assert sheet.freeze_panes == "B2"
    assert sheet.auto_filter.ref.startswith("A1:")
    assert sheet.print_title_rows == "$1:$1"
    assert sheet.page_setup.orientation == "landscape"
    assert sheet.page_setup.fitToHeight == 0
    assert sheet.sheet_properties.pageSetUpPr.fitToPage


def test_the_guide_links_each_sheet_and_says_what_a_row_of_it_is() -> None:
    guide = book()[GUIDE]
    links = {cell.value: cell.hyperlink.location for row in guide.iter_rows() for cell in row if cell.hyperlink}
    assert links == {sheet_title(name): f"'{sheet_title(name)}'!A1" for name in tables()}
    said = {str(cell.value) for row in guide.iter_rows() for cell in row}
    assert {f"A row is {table.row}." for table in tables().values()} <= said
    assert {f"Level {number}" for number in (1, 2, 3, 4)} <= said
