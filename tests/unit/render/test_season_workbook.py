"""season.xlsx: numbers are numbers, money is money to the cent, and text is text."""

from __future__ import annotations

from datetime import date, datetime
from decimal import Decimal
from pathlib import Path
from typing import Any

import openpyxl
import polars as pl
import pytest
from support.demo import closed
from support.hostile_words import WORDS

from pipeline.documents import season_tables
from pipeline.documents.season_tables import column_of, result_files, season_sheet
from pipeline.render import SeasonBook, write_season_workbook
from pipeline.warehouse import open_store

JOB_COST = result_files()["measures.job_cost"]


def written(tmp_path: Path, frame: pl.DataFrame, firm: str = "A firm") -> Any:
    book = SeasonBook(2025, firm, (season_sheet(JOB_COST, frame),), (), (), ())
    write_season_workbook(book, tmp_path / "season.xlsx")
    return openpyxl.load_workbook(tmp_path / "season.xlsx")


def jobs(**changes: Any) -> pl.DataFrame:
    row = {
        "season": 2025, "job_no": "1042", "install_date": date(2025, 11, 14), "feet": Decimal("120.5"),
        "total_usd": Decimal("9007199254740.93"), "margin_share": 0.25, "is_final": True,
    } | changes  # fmt: skip
    return pl.DataFrame([row])


def test_every_cell_has_its_own_type(tmp_path: Path) -> None:
    cells = {cell.column: cell for cell in written(tmp_path, jobs())["job_cost"][2]}
    values = [cells[column].value for column in range(1, 8)]
    assert values == [2025, "1042", datetime(2025, 11, 14), 120.5, 9007199254740.93, 0.25, True]
    assert [cells[column].data_type for column in range(1, 8)] == ["n", "s", "d", "n", "n", "n", "b"]
    assert cells[6].number_format == "0.0%"
    assert cells[5].number_format.startswith("$#,##0.00")


def test_headings_say_the_unit_and_stay_and_filter(tmp_path: Path) -> None:
    sheet = written(tmp_path, jobs())["job_cost"]
    assert [cell.value for cell in sheet[1]] == [
        "Season", "Job no", "Install date", "Feet (ft)", "Total (usd)", "Margin (share)", "Is final",
    ]  # fmt: skip
    assert sheet.freeze_panes == "B2"
    assert sheet.auto_filter.ref == "A1:G2"


def test_what_is_not_known_is_blank_and_never_a_zero(tmp_path: Path) -> None:
    frame = jobs(total_usd=None, margin_share=float("nan")).with_columns(pl.col("total_usd").cast(pl.Decimal(18, 2)))
    row = [cell.value for cell in written(tmp_path, frame)["job_cost"][2]]
    assert row[4:6] == [None, None]


@pytest.mark.parametrize("words", WORDS.values(), ids=WORDS.keys())
def test_hard_words_are_text_and_whole(words: str, tmp_path: Path) -> None:
    book = written(tmp_path, jobs(job_no=words), firm=words)
    cell = book["job_cost"].cell(2, 2)
    assert cell.data_type == "s"
    assert cell.hyperlink is None
    # A control sign has no place in a workbook and is shown by a picture of it.
    assert cell.value == words.replace("\x07", "\u2407").replace("\x1b", "\u241b")


def test_each_column_is_defined_by_the_comment_of_its_model(tmp_path: Path) -> None:
    rows = [[cell.value for cell in row] for row in written(tmp_path, jobs())["Definitions"].iter_rows()]
    assert ["job_cost", "Margin (share)", "margin_share", "share", "margin / invoiced"] in rows


@pytest.mark.parametrize(
    ("name", "heading"),
    [
        ("cost_usd_per_ft", "Cost (usd/ft)"),
        ("usd_per_call", "Rate (usd/call)"),
        ("chance_short", "Chance short"),
        ("drop_share", "Drop (share)"),
        ("median_days", "Median days"),
        ("owner_hours", "Owner hours (h)"),
        ("spacing_in", "Spacing (in)"),
    ],
)
def test_a_unit_is_told_by_the_end_of_a_name(name: str, heading: str) -> None:
    assert column_of(name, pl.Float64(), "").titled == heading


def test_a_long_table_is_cut_and_says_so(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    monkeypatch.setattr(season_tables, "MOST_ROWS", 2)
    for rows, said in ((2, False), (3, True)):
        book = written(tmp_path, pl.concat([jobs()] * rows))
        assert book["job_cost"].max_row == 3
        assert any("1 rows more" in str(cell.value) for cell in book["Contents"]["B"]) is said


def test_the_same_season_gives_the_same_bytes(tmp_path: Path) -> None:
    book = SeasonBook(2025, None, (season_sheet(JOB_COST, jobs()),), (), (), ())
    for name in ("one", "two"):
        write_season_workbook(book, tmp_path / name)
    assert (tmp_path / "one").read_bytes() == (tmp_path / "two").read_bytes()


def test_the_demo_s_money_is_in_the_workbook_to_the_cent() -> None:
    book = openpyxl.load_workbook(closed() / "reports/2025/season.xlsx", read_only=True)
    with open_store(closed() / "perfoot.duckdb", read_only=True) as store:
        known = {file.partition(".")[2] for file in result_files()}
        assert known <= set(book.sheetnames)
        sums = store.query("select sum(total_usd) as total, sum(invoiced_usd) as invoiced from measures.job_cost "
                           "where season = 2025").row(0)  # fmt: skip
    rows = list(book["job_cost"].iter_rows(values_only=True))
    for name, total in zip(("Total (usd)", "Invoiced (usd)"), sums, strict=True):
        at = rows[0].index(name)
        assert sum(Decimal(str(row[at])) for row in rows[1:] if row[at] is not None) == total
