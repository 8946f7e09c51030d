"""Where the tables of a sheet lie: below each other, side by side, under headings of one row or of two."""

from __future__ import annotations

from support.workbooks import aside, read_rows

HOURS = ("Date", "Job", "Crew", "Worker", "Task", "Hours")
ENTRY = ("2025-11-14", "1042", "Maple", "W07", "install", "6.5")
OTHER = ("2025-11-15", "1043", "Maple", "W07", "install", "7")
TRIPS = ("Date", "Crew", "Miles")
TRIP = ("2025-11-14", "Maple", "38")
JOB = ("1042", "C207", "Maple", "new", "leased", "2", "1150", "1187.50", "2025-11-14", "2026-01-09")
BAND = ("Job", None, None, "Terms of the work", None, None, "Money", None, "Dates", None)
UNDER = ("No", "Customer no", "Crew", "Work", "Terms", "Stories", "Quoted", "Invoiced", "Installed", "Takedown")
JOB_FIELDS = [
    "job_no", "customer_no", "crew", "work", "terms", "stories", "quoted", "invoiced", "install_date", "takedown_date",
]  # fmt: skip


def test_headings_over_two_rows_are_read_as_one() -> None:
    (reading,) = read_rows(("Jobs of the autumn",), BAND, UNDER, JOB)
    assert reading.table == "jobs"
    assert [column.field for column in reading.columns] == JOB_FIELDS
    assert reading.columns[0].heading == "Job No"
    assert aside(reading) == {1: "title", 2: "headings", 3: "headings"}
    assert reading.cells.rows() == [(4, *JOB)]


def test_headings_merged_down_two_rows_count_once() -> None:
    # A reader of merged cells gives the value in each of their rows.
    upper = ("Job", "Customer no", "Crew", "Work", "Terms", "Stories", "Money", None, "Dates", None)
    lower = ("Job", "Customer no", "Crew", "Work", "Terms", "Stories", "Quoted", "Invoiced", "Installed", "Takedown")
    (reading,) = read_rows(upper, lower, JOB)
    assert [column.field for column in reading.columns] == JOB_FIELDS
    assert reading.columns[0].heading == "Job"


def test_headings_wrapped_over_two_rows_are_read_as_one() -> None:
    upper = ("Job", "Customer", "Crew", "Work", "Terms", "Stories", "Invoiced", "Install", "Lit")
    lower = (None, "number", None, None, None, None, "(usd)", "date", "nights")
    (reading,) = read_rows(upper, lower, ("1042", "C207", "Maple", "new", "sold", "2", "900", "2025-11-14", "50"))
    assert reading.table == "jobs"
    assert {column.field: column.heading for column in reading.columns}["install_date"] == "Install date"
    assert {column.field: column.heading_unit for column in reading.columns}["invoiced"] == "usd"
    assert aside(reading) == {1: "headings", 2: "headings"}


def test_a_title_above_the_headings_gives_them_no_other_meaning() -> None:
    (reading,) = read_rows(("Install",), HOURS, ENTRY)
    assert (reading.table, aside(reading)) == ("hours", {1: "title", 2: "headings"})


def test_a_heading_over_one_column_for_each_task_is_a_problem_and_not_taken_for_the_first_of_them() -> None:
    upper = ("Date", "Job", "Crew", "Worker", "Hours", None, None)
    (reading,) = read_rows(upper, (None, None, None, None, "Prep", "Drive", "Install"), (*ENTRY[:4], "1", "2", "3"))
    assert reading.table is None
    assert reading.problem == (
        "it looks like hours, but under its heading 'Hours' stand 'Prep', 'Drive', 'Install', which are not headings "
        "that we know there; write a row for each, with the word in a column of its own."
    )
    assert aside(reading) == {1: "headings", 2: "headings", 3: "the sheet's table is not certain"}


def test_a_table_beside_another_may_begin_further_down() -> None:
    blank = (None,) * 4
    left, right = read_rows(
        (*HOURS, *blank), (*ENTRY, *blank), (*OTHER, None, *TRIPS), (*ENTRY, None, *TRIP), OTHER, (*blank, *blank)
    )
    assert (left.table, right.table) == ("hours", "trips")
    assert left.cells["source_row"].to_list() == [2, 3, 4, 5]
    assert aside(right) == {3: "headings", 5: "blank row", 6: "blank row"}
    assert right.cells.rows() == [(4, *TRIP)]


def test_a_table_that_begins_beside_the_records_of_the_one_on_its_right() -> None:
    blank = (None,) * 4
    right, left = read_rows((*blank, *HOURS), (*blank, *ENTRY), (*TRIPS, None, *OTHER), (*TRIP, None, *ENTRY))
    assert (left.table, right.table) == ("trips", "hours")
    assert left.cells.rows() == [(4, *TRIP)]
    assert right.cells["source_row"].to_list() == [2, 3, 4]


def test_each_of_two_tables_side_by_side_has_its_own_title() -> None:
    left, right = read_rows(
        ("Hours of the week", *[None] * 6, "Miles of the week"), (*HOURS, None, *TRIPS), (*ENTRY, None, *TRIP)
    )
    assert aside(left)[1] == "title"
    assert aside(right)[1] == "title"


def test_two_tables_side_by_side_each_with_headings_over_two_rows() -> None:
    left, right = read_rows(
        (*BAND, None, "Day", None, "Road"), (*UNDER, None, "Date", "Crew", "Miles"), (*JOB, None, *TRIP)
    )
    assert (left.table, right.table) == ("jobs", "trips")
    assert left.cells.rows() == [(3, *JOB)]
    assert right.cells.rows() == [(3, *TRIP)]


def test_tables_side_by_side_under_a_wide_one() -> None:
    names = ("Job no", *UNDER[1:])
    jobs, hours, trips = read_rows(names, JOB, (), (*HOURS, None, *TRIPS), (*ENTRY, None, *TRIP), OTHER)
    assert (jobs.table, hours.table, trips.table) == ("jobs", "hours", "trips")
    assert jobs.cells.rows() == [(2, *JOB)]
    assert aside(jobs) == {1: "headings", 3: "blank row"}
    assert hours.cells["source_row"].to_list() == [5, 6]
    assert trips.cells["source_row"].to_list() == [5]


def test_a_wide_table_under_two_side_by_side() -> None:
    hours, trips, jobs = read_rows((*HOURS, None, *TRIPS), (*ENTRY, None, *TRIP), ("Job no", *UNDER[1:]), JOB)
    assert (hours.table, trips.table, jobs.table) == ("hours", "trips", "jobs")
    assert [r.cells.height for r in (hours, trips, jobs)] == [1, 1, 1]
    assert jobs.cells.rows() == [(4, *JOB)]


def test_titles_of_tables_side_by_side_under_a_wide_one_are_theirs() -> None:
    names = ("Job no", *UNDER[1:])
    titles = ("Hours of the week", *[None] * 6, "Miles of the week")
    jobs, hours, trips = read_rows(names, JOB, (), titles, (), (*HOURS, None, *TRIPS), (*ENTRY, None, *TRIP))
    assert aside(jobs) == {1: "headings", 3: "blank row"}
    assert aside(hours) == {4: "title", 5: "blank row", 6: "headings"}
    assert aside(trips) == {4: "title", 6: "headings"}


def test_tables_under_a_wide_one_may_begin_on_different_rows() -> None:
    names = ("Job no", *UNDER[1:])
    jobs, trips, hours = read_rows(
        names, JOB, (), ("Hours", *[None] * 6, *TRIPS), (*HOURS, None, *TRIP), (*ENTRY, None, *TRIP), OTHER
    )  # fmt: skip
    assert jobs.cells["source_row"].to_list() == [2]
    assert hours.cells.rows() == [(6, *ENTRY), (7, *OTHER)]
    assert trips.cells["source_row"].to_list() == [5, 6]


def test_the_title_of_a_table_beside_stands_in_the_row_of_headings_and_is_none_of_them() -> None:
    hours, trips = read_rows((*HOURS, None, "Miles"), (*ENTRY, None, *TRIPS), (*OTHER, None, *TRIP))
    assert hours.cells.rows() == [(2, *ENTRY), (3, *OTHER)]
    assert (hours.left_out, trips.left_out) == ((), ())
    assert trips.cells.rows() == [(3, *TRIP)]


def test_two_of_one_table_below_each_other_beside_a_long_one() -> None:
    blank = (None,) * 3
    readings = read_rows(
        (*TRIPS, None, *HOURS), (*TRIP, None, *ENTRY), (*blank, None, *OTHER), (*TRIPS, None, *ENTRY),
        (*TRIP, None, *OTHER),
    )  # fmt: skip
    found = [(r.table, r.cells["source_row"].to_list()) for r in readings]
    assert found == [("trips", [2, 5]), ("hours", [2, 3, 4, 5])]
    assert aside(readings[0]) == {1: "headings", 3: "blank row", 4: "headings"}


def test_a_blank_column_in_a_table_does_not_make_two_of_it() -> None:
    (reading,) = read_rows((*HOURS[:3], None, *HOURS[3:], None, "Mood"), (*ENTRY[:3], None, *ENTRY[3:], None, "good"))
    assert reading.table == "hours"
    assert [(left.letter, left.why) for left in reading.left_out] == [("I", "not a heading of this table")]


def test_headings_on_both_sides_of_a_blank_column_that_one_table_explains_are_that_table_s() -> None:
    # `Worker no` and `Branch` alone would be a list of workers, the rest pay of nobody.
    headings = ("Worker no", "Branch", None, "From date", "To date", "Kind", "Amount", "Job no")
    (reading,) = read_rows(headings, ("W01", "north", None, "2025-11-02", "2025-11-08", "bonus", "150", None))
    assert reading.table == "pay"
    assert reading.cells["worker_no"].to_list() == ["W01"]


def test_words_that_would_make_it_another_table_are_a_problem_even_behind_a_blank_column() -> None:
    row = ("Item", "Kind", "Unit", "Pack size", None, "Supplier", "On hand")
    (reading,) = read_rows(row, ("LL12", "light_line", "ft", "500", None, "Northfork Supply", "860"))
    assert reading.table is None
    assert reading.problem is not None
    assert reading.problem.startswith("it looks like items but has no column for price of a pack")
