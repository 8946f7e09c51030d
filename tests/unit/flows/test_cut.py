"""`perfoot cut`: a cut list from a file of lengths and spools."""

from __future__ import annotations

import json
from pathlib import Path

import openpyxl
import pytest
from support.workbooks import write_xlsx

from pipeline.cli import main
from pipeline.decisions.spools_cut import Offered, Piece, cut_lines
from pipeline.documents.cut_list import cut_list_json, cut_list_lines, feet_and_inches
from pipeline.errors import UsageError
from pipeline.flows.cut import cut, spool_of, write_sheet

SPOOLS = "\n\nSpool size,Price\n100,10\n250,24\n"


def listed(folder: Path, text: str) -> Path:
    path = folder / "list.csv"
    path.write_text(text, encoding="utf-8")
    return path


def test_lengths_as_people_write_them_are_cut_behind_sockets_and_the_rest_is_told(tmp_path: Path) -> None:
    """60, 39 ft 6 in and 52 twice at 12 in: 60 + 40 fill one spool, 52 one each with 48 left; .5 ft is cut off.

    Three spools of 100 at $10 are $30. One of 250 at $24 holds all of 204 and leaves 46: $24.
    """
    path = listed(tmp_path, 'Length,Count,Spacing (in)\n60\',1,12\n"39\' 6""",1,12\n52 ft,2,12' + SPOOLS)
    assert cut_list_lines(cut(path)) == [
        "12 in: 4 pieces, 203.5 ft",
        "  Take 1 spool of 250 ft for $24.00. No plan costs less.",
        "  Spool 1 (250 ft): 1 x 60', 2 x 52', 1 x 40'; 46' left, keep it",
        "  Offcut 0.5 ft, 0.2 % of the spools; 46.0 ft are kept.",
    ]


def test_each_line_is_cut_from_its_own_spools() -> None:
    """Green of 60 ft from the green spool, white of 40 from the one that does not say; colours in any case."""
    spools = [Offered(100, 9, colour="Green"), Offered(50, 7)]
    green, white = cut_lines([Piece(60, 1, 12, "green"), Piece(40, 1, 12, "white")], spools, keep_ft=10)
    assert (green.colour, green.cost, white.colour, white.cost) == ("green", 9, "white", 7)


def test_without_prices_the_least_length_of_spools_is_taken() -> None:
    (line,) = cut_lines([Piece(60, 2)], [Offered(100), Offered(130)], keep_ft=10)
    assert (line.bought_ft, line.has_prices, line.cost, line.bound) == (130, False, 130, 130)
    assert cut_list_lines([line])[1] == "  Take 1 spool of 130 ft, 130.0 ft in all. No plan takes less."
    assert cut_list_json([line])[0]["cost_usd"] is None


def test_a_rest_is_kept_from_the_stated_length_on() -> None:
    (line,) = cut_lines([Piece(90, 1), Piece(91, 1)], [Offered(100, 5)], keep_ft=10)
    assert (line.kept_ft, line.offcut_ft) == (10, 9)


def test_a_length_without_a_spacing_is_cut_to_the_eighth_of_an_inch() -> None:
    """12 1/2 in is 100 eighths; a third of a foot is 32."""
    (line,) = cut_lines([Piece(12.5 / 12, 3), Piece(1 / 3, 1)], [Offered(10, 1)], keep_ft=1)
    assert line.cut_ft == pytest.approx((37.5 + 4) / 12)
    assert [feet_and_inches(feet) for feet in (12.5 / 12, 1 / 3, 120, 5.25 / 12, 0.125 / 12)] == [
        "1' 0 1/2\"", "0' 4\"", "120'", "0' 5 1/4\"", "0' 0 1/8\"",
    ]  # fmt: skip


def test_tables_side_by_side_and_a_limit_of_spools_are_read(tmp_path: Path) -> None:
    """One spool of 100 is left from before at no price; the two of 70 go on it and on a new one of 80 at $8."""
    rows = [["Feet", "Pieces", None, "Spool", "Price", "On hand"], [70, 2, None, 100, 0, 1], [None, None, None, 80, 8]]
    path = write_xlsx(tmp_path / "list.xlsx", {"Any": rows})
    (line,) = cut(path)
    assert (line.plan.bought, line.cost, line.plan.is_proven) == ((1, 1), 8, True)


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("Length,Count\n12x,3" + SPOOLS, "list.csv, row 2, column A 'Length': \"12x\" is not a length"),
        ("Length,Count\n12,2.5" + SPOOLS, "column B 'Count': \"2.5\" is not a count"),
        ("Length,Count\n-12,2" + SPOOLS, '"-12" is not a length'),
        ("Length\n251" + SPOOLS, "a piece of 251 ft is longer than the longest spool of 250 ft; split it"),
        ("Length\n20", "no spool sizes are given; head their column Spool size and Price"),
        ("Any,Thing\n1,2" + SPOOLS, "holds no lengths; head their column Length"),
        ("Length\n20\n\nSpool,Price\n50,4\n80,\n", "some spools have a price and some have none"),
        ("Length\n20\n20\n20\n\nSpool,Price,On hand\n50,4,1\n", "the spools are too few for the pieces"),
        ("Length,Count\n20,100001" + SPOOLS, "more than 100,000 pieces"),
        ("Length,Spacing\n20,9\n\nSpool,Spacing\n50,12\n", "there is no spool of the line 9 in; give its size"),
    ],
)
def test_what_cannot_be_cut_is_said_with_its_place_and_remedy(tmp_path: Path, text: str, said: str) -> None:
    with pytest.raises(UsageError) as error:
        cut(listed(tmp_path, text))
    assert said in str(error.value)


def test_faults_beyond_the_first_five_are_counted(tmp_path: Path) -> None:
    with pytest.raises(UsageError, match="; and 2 more"):
        cut(listed(tmp_path, "Length\n" + "x\n" * 7 + SPOOLS))


def test_a_file_that_is_not_there_or_no_spreadsheet_is_said(tmp_path: Path) -> None:
    with pytest.raises(UsageError, match="there is no file"):
        cut(tmp_path / "none.csv")
    with pytest.raises(UsageError, match="is no spreadsheet"):
        cut(tmp_path / "none.txt")


@pytest.mark.parametrize("text", ["x", "0", "-5=3", "100=x", "100=-1", "="])
def test_a_spool_that_is_typed_wrong_is_said(text: str) -> None:
    with pytest.raises(UsageError, match="is not a spool; write its feet and its price"):
        spool_of(text)


def test_spools_that_are_typed_take_the_place_of_those_in_the_file(tmp_path: Path) -> None:
    (line,) = cut(listed(tmp_path, "Length\n20" + SPOOLS), ["25=3.50", "30"][:1])
    assert (line.plan.bought, line.cost) == ((1,), 3.5)


def test_the_workbook_holds_each_piece_and_text_is_no_formula(tmp_path: Path) -> None:
    lines = cut_lines([Piece(60, 2, None, "=1+1")], [Offered(100, 5)], keep_ft=10)
    write_sheet(lines, tmp_path / "cuts.xlsx")
    sheet = openpyxl.load_workbook(tmp_path / "cuts.xlsx")["Cut list"]
    rows = [[cell.value for cell in row[:7]] for row in sheet.iter_rows(min_row=2, max_row=2)]
    assert rows == [["Spools 1 to 2", "=1+1", 100, 1, "60'", 60, 40]]
    assert {cell.data_type for row in sheet.iter_rows() for cell in row} <= {"s", "n"}
    with pytest.raises(UsageError, match="is there already"):
        write_sheet(lines, tmp_path / "cuts.xlsx")


def test_the_command_prints_one_object_and_ends_in_two_where_it_is_used_wrongly(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = listed(tmp_path, "Length,Count\n60,2" + SPOOLS)
    assert main(["cut", str(path), "--json", "--out", str(tmp_path / "cuts.xlsx")]) == 0
    said = json.loads(capsys.readouterr().out)
    assert (said["lines"][0]["cost_usd"], said["lines"][0]["is_proven"]) == (20, True)
    assert (tmp_path / "cuts.xlsx").is_file()
    assert main(["cut", str(path), "--spool", "none"]) == 2
    assert "is not a spool" in capsys.readouterr().err
