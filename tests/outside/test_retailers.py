"""A table of another trade with many gaps is set aside by name, and nothing of it enters a record.

Made after `retailers` of the R package validate (M. van der Loo and E. de Jonge, GPL-3): 60 retailers, ten columns,
a .csv with semicolons, texts in quotes and NA in the gaps. Its licence keeps its rows out of this project, so that
the rows here are invented; headings, number of rows and number of gaps in each column are those of the published file
(pkg/data/retailers.csv). The published file itself was read with the same outcome.
"""

from __future__ import annotations

import csv
from pathlib import Path

import pytest
from support.checking import checked_folder, plain_season, record_bytes
from support.sheets import Grid
from support.small_season import small_season
from support.twelve_ways import one_csv_a_table
from support.workbooks import write_xlsx

from pipeline.workbook import read_folder

GAPS = {"size": 0, "incl.prob": 0, "staff": 6, "turnover": 4, "other.rev": 36, "total.rev": 2, "staff.costs": 10,
        "total.costs": 5, "profit": 5, "vat": 12}  # fmt: skip
RETAILERS = 60


def made_rows(gap: object) -> Grid:
    """The headings and 60 invented retailers; the gaps of a column stand at every so many rows."""
    columns: list[list[object]] = []
    for place, (name, gaps) in enumerate(GAPS.items()):
        values: list[object] = [(place + 1) * (7 * row % 53 + 1) for row in range(RETAILERS)]
        if name == "size":
            values = [f"sc{row % 4}" for row in range(RETAILERS)]
        elif name == "incl.prob":
            values = [(0.02, 0.05, 0.14)[row % 3] for row in range(RETAILERS)]
        empty = {(place + row * RETAILERS // gaps) % RETAILERS for row in range(gaps)} if gaps else set()
        columns.append([gap if row in empty else value for row, value in enumerate(values)])
    return [list(GAPS), *map(list, zip(*columns, strict=True))]


def test_the_table_has_the_published_shape() -> None:
    head, *rows = made_rows("NA")
    assert len(rows) == RETAILERS
    assert {name: sum(row[place] == "NA" for row in rows) for place, name in enumerate(map(str, head))} == GAPS


def write(folder: Path, kind: str) -> None:
    if kind == "xlsx":
        write_xlsx(folder / "retailers.xlsx", {"SBS2000": made_rows(None)})
        return
    with (folder / "retailers.csv").open("w", encoding="utf-8", newline="") as file:
        csv.writer(file, delimiter=";", quoting=csv.QUOTE_NONNUMERIC).writerows(made_rows("NA"))


@pytest.mark.parametrize("kind", ["csv", "xlsx"])
def test_it_is_set_aside_by_name_row_for_row(kind: str, tmp_path: Path) -> None:
    write(tmp_path, kind)
    (sheet,) = read_folder(tmp_path).sheets
    assert (sheet.file, sheet.table, sheet.problem) == (f"retailers.{kind}", None, None)
    assert sheet.set_aside["source_row"].to_list() == list(range(1, RETAILERS + 2))
    assert (sheet.note or "").startswith("no row holds the headings of a table that we know")


@pytest.mark.parametrize("kind", ["csv", "xlsx"])
def test_nothing_of_it_enters_a_record(kind: str, tmp_path: Path) -> None:
    one_csv_a_table(small_season(), tmp_path)
    write(tmp_path, kind)
    plain, found = plain_season(), checked_folder(tmp_path)
    for name in plain.records:
        assert record_bytes(found, name) == record_bytes(plain, name)
        assert f"retailers.{kind}" not in found.records[name]["source_file"].to_list()
    assert found.findings.rows() == plain.findings.rows()
