"""A sheet's rows are told apart, and each is accounted for."""

from __future__ import annotations

from support.workbooks import aside, read_rows

HOURS = ("Date", "Job", "Crew", "Worker", "Task", "Hours")
ENTRY = ("2025-11-14", "1042", "Maple", "W07", "install", "6.5")
OTHER = ("2025-11-15", "1043", "Maple", "W07", "install", "7")
TRIPS = ("Date", "Crew", "Miles")
TRIP = ("2025-11-14", "Maple", "38")


def test_headings_under_title_rows_and_blank_rows_are_found() -> None:
    (reading,) = read_rows(("Hours of the Maple crew",), (), HOURS, ENTRY)
    assert reading.table == "hours"
    assert aside(reading) == {1: "title", 2: "blank row", 3: "headings"}
    assert reading.cells.rows() == [(4, *ENTRY)]
    assert reading.cells.columns == ["source_row", "work_date", "job_no", "crew", "worker_no", "task", "hours"]


def test_blank_columns_before_and_inside_a_table_do_not_matter() -> None:
    (reading,) = read_rows((None, *HOURS[:3], None, *HOURS[3:]), (None, *ENTRY[:3], None, *ENTRY[3:]))
    assert reading.table == "hours"
    assert [column.letter for column in reading.columns] == ["B", "C", "D", "F", "G", "H"]
    assert reading.cells.rows() == [(2, *ENTRY)]


def test_blank_rows_totals_and_notes_are_set_aside_and_every_row_is_accounted_for() -> None:
    rows = (
        HOURS,
        ENTRY,
        (),
        OTHER,
        ("Total", None, None, None, None, "13.5"),
        (),
        ("Rain on the 16th, all sent home",),
    )
    (reading,) = read_rows(*rows)
    assert reading.cells["source_row"].to_list() == [2, 4]
    assert aside(reading) == {1: "headings", 3: "blank row", 5: "totals row", 6: "blank row", 7: "note"}
    assert reading.rows_read == 7
    assert reading.totals.rows() == [(5, "Total", None, None, None, None, "13.5")]


def test_a_subtotal_between_records_is_a_totals_row() -> None:
    (reading,) = read_rows(HOURS, ENTRY, (None, None, "Sub-total Maple", None, None, "6.5"), OTHER)
    assert aside(reading) == {1: "headings", 3: "totals row"}


def test_a_label_in_place_of_an_item_number_is_a_totals_row_although_all_required_cells_are_filled() -> None:
    (reading,) = read_rows(("Item", "On hand"), ("LL12", "860"), ("Total", "860"))
    assert aside(reading) == {1: "headings", 3: "totals row"}


def test_a_record_that_speaks_of_a_total_is_a_record() -> None:
    (reading,) = read_rows(("What", "Amount", "Basis"), ("Total loss insurance", "600", "jobs"))
    assert reading.cells.rows() == [(2, "Total loss insurance", "600", "jobs")]


def test_a_note_about_a_total_beside_an_incomplete_record_does_not_hide_the_record() -> None:
    row = (*ENTRY[:3], None, *ENTRY[4:], "total agreed with Ann")
    (reading,) = read_rows((*HOURS, "Remarks"), row)
    assert reading.cells["source_row"].to_list() == [2]


def test_a_record_with_many_blanks_is_a_record_for_validation_to_judge() -> None:
    (reading,) = read_rows(HOURS, ENTRY, ("2025-11-16", None, "Maple"), ("2025-11-17",))
    assert reading.cells["source_row"].to_list() == [2, 3, 4]


def test_a_sentence_of_two_cells_under_the_records_is_a_note() -> None:
    (reading,) = read_rows(HOURS, ENTRY, (), ("Checked by:", "the office on Monday morning"))
    assert aside(reading)[4] == "note"


def test_a_row_with_cells_in_unread_columns_alone_is_a_note() -> None:
    (reading,) = read_rows((*HOURS, "Remarks", "Mood"), ENTRY, (*[None] * 6, "rain", "7"))
    assert aside(reading)[3] == "note"


def test_a_second_table_further_down_is_a_part_of_its_own() -> None:
    first, second = read_rows(("Week 46",), HOURS, ENTRY, (), ("Miles of the week",), TRIPS, TRIP)
    assert (first.table, first.part, second.table, second.part) == ("hours", 1, "trips", 2)
    assert aside(first) == {1: "title", 2: "headings", 4: "blank row"}
    assert aside(second) == {5: "title", 6: "headings"}
    assert second.cells.rows() == [(7, *TRIP)]
    assert first.rows_read + second.rows_read == 7


def test_headings_printed_again_on_the_next_page_are_headings() -> None:
    (reading,) = read_rows(HOURS, ENTRY, HOURS, OTHER)
    assert reading.cells["source_row"].to_list() == [2, 4]
    assert aside(reading) == {1: "headings", 3: "headings"}


def test_tables_side_by_side_are_read_apart() -> None:
    left, right = read_rows((*HOURS, None, *TRIPS), (*ENTRY, None, *TRIP), OTHER)
    assert (left.table, right.table) == ("hours", "trips")
    assert left.cells.rows() == [(2, *ENTRY), (3, *OTHER)]
    assert right.cells.rows() == [(2, *TRIP)]
    assert aside(right) == {1: "headings", 3: "blank row"}
    assert [column.letter for column in right.columns] == ["H", "I", "J"]


def test_a_table_with_headings_only_is_recognised_and_empty() -> None:
    (reading,) = read_rows(HOURS)
    assert reading.table == "hours"
    assert reading.cells.height == 0
    assert reading.cells.columns[1:] == ["work_date", "job_no", "crew", "worker_no", "task", "hours"]


def test_a_sheet_that_fits_two_tables_is_set_aside_with_a_problem() -> None:
    (reading,) = read_rows(("Date", "Kind", "Amount"), ("2025-11-14", "lift", "285"))
    assert reading.table is None
    assert reading.problem is not None
    assert aside(reading) == {1: "headings", 2: "the sheet's table is not certain"}


def test_a_sheet_of_something_else_is_set_aside_whole_and_says_so() -> None:
    (reading,) = read_rows(("Shopping",), ("Milk", "2"), ("Bread", "1"))
    assert (reading.table, reading.problem, reading.rows_read) == (None, None, 3)
    assert reading.note is not None
    assert reading.note.startswith("no row holds the headings of a table that we know")


def test_words_of_choices_are_no_headings() -> None:
    rows = [("2025-12-02", f"S{n}", "1042", "fastener", "timer") for n in range(3)]
    readings = read_rows(("Date", "Call", "Job", "Cause", "Point"), *rows)
    assert [reading.table for reading in readings] == ["service_calls"]
    assert readings[0].cells.height == 3


def test_the_unit_in_a_heading_stays_with_its_column() -> None:
    (reading,) = read_rows(("Date", "Job", "Crew", "Worker", "Time [min]"), (*ENTRY[:4], "390"))
    column = reading.column("hours")
    assert column is not None
    assert (column.heading, column.heading_unit) == ("Time [min]", "min")


def test_cells_of_personal_columns_never_leave_the_reader() -> None:
    (reading,) = read_rows((*HOURS, "Employee name", "Phone"), (*ENTRY, "Ann Example", "555 0100"))
    assert "Ann Example" not in str(reading)
    assert [(left.letter, left.why) for left in reading.left_out] == [("G", "personal data"), ("H", "personal data")]


def test_a_row_of_units_under_the_headings_belongs_to_them() -> None:
    (reading,) = read_rows(HOURS, (None, None, None, None, None, "(min)"), (*ENTRY[:5], "390"))
    column = reading.column("hours")
    assert column is not None
    assert column.heading_unit == "min"
    assert aside(reading) == {1: "headings", 2: "headings"}


def test_a_column_without_a_heading_that_holds_something_is_named() -> None:
    (reading,) = read_rows(HOURS, (*ENTRY, None, "late"))
    assert [(left.letter, left.why) for left in reading.left_out] == [("H", "no heading")]


def test_a_last_row_that_is_the_bare_sum_of_the_rows_above_is_a_totals_row() -> None:
    (reading,) = read_rows(HOURS, ENTRY, OTHER, (*[None] * 5, "13.5"))
    assert aside(reading) == {1: "headings", 4: "totals row"}


def test_a_last_row_with_another_number_alone_is_a_record_for_validation_to_judge() -> None:
    (reading,) = read_rows(HOURS, ENTRY, OTHER, (*[None] * 5, "8"))
    assert reading.cells["source_row"].to_list() == [2, 3, 4]


def test_a_customer_whose_name_begins_with_total_keeps_the_job() -> None:
    headings = ("Job", "Customer", "Crew", "Work", "Terms", "Stories", "Invoiced", "Installed")
    job = ("1042", "Total Example Store", "Maple", "new", "sold", "1", "900", "2025-11-14")
    (reading,) = read_rows(headings, job, ("Total", None, None, None, None, None, "900"))
    assert reading.cells["source_row"].to_list() == [2]
    assert aside(reading)[3] == "totals row"


def test_a_list_of_customers_is_not_taken_for_settings() -> None:
    (reading,) = read_rows(("Name", "Phone", "Value"), ("Ann Example", "555 0100", "900"))
    assert reading.table is None
    (reading,) = read_rows(("Name", "Value"), ("target_margin", "0.35"))
    assert reading.table == "settings"


def test_a_sheet_that_lacks_several_columns_says_what_it_comes_nearest_to() -> None:
    (reading,) = read_rows(
        ("Job", "Customer", "Crew", "Feet", "Work", "Invoiced"), ("1", "C1", "Maple", "20", "new", "9")
    )
    assert (reading.table, reading.problem) == (None, None)
    assert reading.note == "nearest to jobs, but without columns for 'Terms', 'Stories', 'Install date'"


def test_a_sheet_without_its_one_required_column_is_a_problem() -> None:
    (reading,) = read_rows(("Role", "Engaged", "Wage", "From"), ("installer", "owner", "20", None))
    assert reading.table is None
    assert reading.problem == (
        "it looks like workers but has no column for the worker's number; name that column 'Worker no'."
    )


def test_a_payroll_summary_is_not_taken_for_the_list_of_workers() -> None:
    (reading,) = read_rows(("Worker", "Hours", "Rate", "Pay"), ("W1", "30", "20", "600"))
    assert reading.table is None
