"""Whatever stands in a cell comes back as it was, is never a formula, and is not lost on the way."""

from __future__ import annotations

import zipfile
from pathlib import Path

import polars as pl
from openpyxl import load_workbook
from support.put_right import HOURS, Book, check, counts, hours, made, rejects, write
from support.workbooks import write_xlsx

HEAD = "Work date,Job #,Crew,Worker,Task,Hours\n"
SIGNS = [
    "=1+2",
    "+3",
    "-4-5",
    "@SUM(A1)",
    "_x0041_",
    "_x005F_x0041_",
    "{=6}",
    "https://made.example/",
    "\u202eabc",
    "\U0001f4a1",
]


def test_text_that_looks_like_a_formula_or_a_link_is_text(tmp_path: Path) -> None:
    sheet = HEAD + "".join(f'2025-11-10,1,Maple,W{n},install,"{sign}"\n' for n, sign in enumerate(SIGNS))
    folder = made(tmp_path / "in", hours=sheet)
    path = tmp_path / "rejects.xlsx"
    write(folder, path)
    cells = [cell for row in load_workbook(path)["1 hours"].iter_rows() for cell in row if cell.value is not None]
    assert {cell.data_type for cell in cells} == {"s"}
    assert {cell.hyperlink for cell in cells} == {None}
    with zipfile.ZipFile(path) as archive:
        assert not any(b"<f>" in archive.read(name) for name in archive.namelist())


def test_what_was_not_touched_is_as_it_was_at_the_origin(tmp_path: Path) -> None:
    """A cell cut, or shown by other signs, since a workbook cannot hold it, keeps the text of the origin."""
    long = "x" * 40_000
    head = "What,Season amount,Spread by,Behaves\n"
    texts = [*SIGNS, long, "a\x01b"]
    rows = "".join(f'"{text}",n/a,feet,fixed\n' for text in texts)
    folder = made(tmp_path / "in", overheads=head + rows)
    # Signs that are not seen are no part of a text, and one that turns others round is shown as a sign of its own.
    known = [text.replace("\x01", "").replace("\u202e", "\ufffd") for text in texts]
    book = rejects(folder)
    for line in book:
        line["Season amount"] = "10"
    book.save(folder / "rejects.xlsx")
    checked = check(folder)
    assert set(checked.records["overheads"]["what"]) == set(known)
    assert set(checked.corrections["column_name"].str.slice(9)) == {"'Season amount'"}


def test_cells_merged_blank_and_typed_come_back_as_they_were_read(tmp_path: Path) -> None:
    folder = made(tmp_path / "in")
    rows = [
        ["Hours of a week"],
        [],
        HEAD.strip().split(","),
        ["11/10/2025", 1042.0, "Maple", None, "install", 0.1 + 0.2],
    ]
    write_xlsx(folder / "hours.xlsx", {"Week 46": rows})
    row = rejects(folder).row("1042")
    assert [row[name] for name in HEAD.strip().split(",")] == ["11/10/2025", "1042", "Maple", "", "install", "0.3"]
    assert (row["Origin sheet"], row["Origin row"]) == ("Week 46", "4")


def test_a_sheet_name_that_no_cell_gives_back_is_still_found(tmp_path: Path) -> None:
    folder = made(tmp_path / "in")
    rows = [HEAD.strip().split(","), ["2025-11-10", "1", "Maple", "W1", "install", "n/a"]]
    write_xlsx(folder / "hours.xlsx", {"Otter\u2019s  week ": rows})
    book = rejects(folder)
    book.row("n/a")["Hours"] = "6"
    book.save(folder / "rejects.xlsx")
    assert hours(check(folder)) == [("2025-11-10", "install", 6.0)]


def test_two_columns_of_one_heading_keep_their_order(tmp_path: Path) -> None:
    items = "Item,Kind,Unit,Pack size,Pack price\nLL12,light_line,ft,500,100\nB9,bulb,each,100,40\n"
    runs = "Job #,Run,Surface,Feet,Spacing,Item,Item\n1,1,gutter,~9,12,LL12,B9\n"
    head, row = runs.splitlines()
    folder = made(tmp_path / "in", items=items, runs=f"{head.replace('Item,Item', 'Line item,Bulb item')}\n{row}\n")
    book = rejects(folder)
    book.row("~9")["Feet"] = "9"
    book.save(folder / "rejects.xlsx")
    assert check(folder).records["runs"].select("line_item", "bulb_item").rows() == [("LL12", "B9")]


def test_a_column_that_the_sheet_of_origin_lacks_is_offered(tmp_path: Path) -> None:
    """A job without runs needs feet: where there is no such column, the workbook has one."""
    jobs = "Job #,Customer,Crew,Work,Terms,Stories,Invoiced,Installed\n1,C1,Maple,new,sold,1,700,2025-11-10\n"
    folder = made(tmp_path / "in", jobs=jobs)
    book = rejects(folder)
    row = book.row("C1")
    assert row["Feet"] == ""
    row["Feet"] = "100 ft"
    book.save(folder / "rejects.xlsx")
    assert check(folder).records["jobs"]["feet"].cast(pl.Float64).to_list() == [100.0]
    assert rejects(folder).row("C1")["Feet"] == "100 ft"


def test_tables_side_by_side_are_each_corrected_by_itself(tmp_path: Path) -> None:
    folder = made(tmp_path / "in")
    day = ["2025-11-10", "1", "Maple", "W1", "install"]
    head = HEAD.strip().split(",")
    rows = [[*head, None, *head], [*day, "n/a", None, *day, "5"], [*day, "3", None, *day, "~4"]]
    write_xlsx(folder / "hours.xlsx", {"Weeks": rows})
    book = rejects(folder)
    assert [line["Origin part"] for line in book] == ["1", "2"]
    book.row("n/a")["Hours"] = "6"
    book.row("~4")["Hours"] = "4"
    book.save(folder / "rejects.xlsx")
    checked = check(folder)
    assert [spent for _, _, spent in hours(checked)] == [3.0, 4.0, 5.0, 6.0]
    assert counts(checked) == {"accepted": 6, "rejected": 0, "held": 0}


def test_names_and_phones_are_in_no_cell_of_it(tmp_path: Path) -> None:
    jobs = "Job #,Customer,Customer name,Phone,Crew,Work,Terms,Stories,Invoiced,Installed,Feet\n"
    jobs += "1,C1,Ada Quill,555-0100,Maple,new,sold,1,700,2025-11-10,1OO\n"
    folder = made(tmp_path / "in", jobs=jobs)
    written = Book(tmp_path / "written.xlsx") if write(folder, tmp_path / "written.xlsx") else None
    assert written is not None
    cells = {str(cell) for lines in written.lines.values() for line in lines for cell in line.values()}
    assert "1OO" in cells
    assert not {"Ada Quill", "555-0100"} & cells


def test_a_total_counts_the_corrected_row_where_it_first_stood(tmp_path: Path) -> None:
    sheet = HEAD + "2025-11-10,1,Maple,W1,install,n/a\n2025-11-11,1,Maple,W1,install,3\nTotal,,,,,9\n"
    folder = made(tmp_path / "in", hours=sheet)
    assert "a_totals_row_agrees_with_its_rows" in check(folder).findings["rule"].to_list()
    book = rejects(folder)
    book.row("n/a")["Hours"] = "6"
    book.save(folder / "rejects.xlsx")
    assert check(folder).findings.filter(pl.col("rule").str.contains("total")).is_empty()


def test_a_corrected_row_like_another_of_its_sheet_is_no_repeat(tmp_path: Path) -> None:
    """4 h in two rows of 2 h are two rows; on a sheet of its own the corrected one would pass for a copied block."""
    sheet = HEAD + "2025-11-10,1,Maple,W1,install,2\n2025-11-10,1,Maple,W1,install,n/a\n"
    folder = made(tmp_path / "in", hours=sheet)
    book = rejects(folder)
    book.row("n/a")["Hours"] = "2"
    book.save(folder / "rejects.xlsx")
    assert counts(check(folder)) == {"accepted": 4, "rejected": 0, "held": 0}


def test_the_same_rows_give_the_same_bytes(tmp_path: Path) -> None:
    folder = made(tmp_path / "in", hours=HOURS)
    write(folder, tmp_path / "a.xlsx")
    write(folder, tmp_path / "b.xlsx")
    assert (tmp_path / "a.xlsx").read_bytes() == (tmp_path / "b.xlsx").read_bytes()
