"""What a zipped workbook can take at most is told from its bytes; what is not certain is said to be so."""

from __future__ import annotations

import io
import struct
import zipfile

import pytest

from pipeline.workbook.bounding import SMALL_UNPACKED_BYTES, Parts, grid_extent
from pipeline.workbook.opendocument import extent


def zipped(parts: dict[str, bytes], way: int = zipfile.ZIP_DEFLATED) -> bytes:
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", way) as archive:
        for name, part in parts.items():
            archive.writestr(name, part)
    return out.getvalue()


def small(data: bytes) -> dict[str, list[bytes]] | None:
    with zipfile.ZipFile(io.BytesIO(data)) as archive:
        return Parts(data, archive).small


@pytest.mark.parametrize(
    ("xml", "found"),
    [
        # Cells in columns of one letter and rows below the 190,000th are few enough wherever they are.
        (b'<row r="1"><c r="A1"/></row><row r="7"><c r="B7"/></row>', (189_999, 26)),
        (b'<row r="1"><c r="A1"/></row><row r="189999"><c r="Z189999"/></row>', (189_999, 26)),
        (b'<row r="190000"><c r="A190000"/></row>', (190_000, 26)),
        (b'<row r="200000"><c r="A200000"/></row>', (200_000, 26)),
        (b'<row r="1000000"><c r="A1000000"/></row>', (1_000_000, 26)),
        (b'<dimension ref="A1:XFD1048576"/><row r="2"><c r="AD2"/></row>', (99_999, 30)),
        (b'<row r="1"><c r="A1"/><c r="XFD1"/></row><row r="2"><c r="A1000"/></row>', (1000, 16_384)),
        (b'<x:row r="1"><x:c r="A1048576"/></x:row>', (1_048_576, 26)),
        (b"\x89PNG and whatever else", (189_999, 26)),
        (b'\xff<\xe9\xff:c r="XFD1048576">', (1_048_576, 16_384)),
        (b'<a-prefix-of-more-than-twenty-letters:c r="XFD9">', (9, 16_384)),
    ],
)
def test_the_extent_of_a_sheet_is_that_of_its_cells_whatever_it_says_of_itself(
    xml: bytes, found: tuple[int, int]
) -> None:
    assert grid_extent(xml) == found


@pytest.mark.parametrize(
    "cell",
    [b"<c r='XFD1048576'>", b'<c  r="XFD1048576">', b'<c t="n" r="XFD1048576">', b"<c>", b"<c/>", b'<x:c r="A1\x00">',
     b'<c r="xfd1048576">', b'<c r="&#88;FD1">', b'<c r="XFDA1">', b'<c r="A12345678">', b'<c r="A">', b'<c r="1">',
     b'<\xc3\xa9:c r ="XFD1">', b'<:c t="n" r="XFD1">'],
)  # fmt: skip
def test_a_cell_that_says_in_another_way_where_it_stands_makes_the_extent_uncertain(cell: bytes) -> None:
    assert grid_extent(b'<row r="1"><c r="A1"/>' + cell) is None


def test_the_parts_of_a_small_zip_are_unpacked_whole() -> None:
    parts = {"a.xml": b"a" * 5000, "b.bin": b""}
    for way in (zipfile.ZIP_DEFLATED, zipfile.ZIP_STORED):
        assert small(zipped(parts, way)) == {name: [part] for name, part in parts.items()}


def test_a_part_that_unpacks_to_more_than_it_says_makes_the_zip_uncertain() -> None:
    data = zipped({"a.xml": b"a" * 5000})
    assert data.count(struct.pack("<I", 5000)) == 2
    assert small(data.replace(struct.pack("<I", 5000), struct.pack("<I", 100))) is None
    assert small(data.replace(struct.pack("<I", 5000), struct.pack("<I", 9000))) is None


def test_a_large_zip_and_a_packing_of_another_kind_are_uncertain() -> None:
    assert small(zipped({"a.xml": b"a" * SMALL_UNPACKED_BYTES})) is not None
    assert small(zipped({"a.xml": b"a" * SMALL_UNPACKED_BYTES, "b.xml": b"b"})) is None
    assert small(zipped({"a.xml": b"a" * 5000}, zipfile.ZIP_BZIP2)) is None


def test_a_part_comes_in_pieces_that_begin_where_a_cell_begins() -> None:
    xml = b"".join(b'<c r="A%d"><v>1</v></c>' % row for row in range(1, 200_000))
    data = zipped({"a.xml": xml, "b.xml": b" " * SMALL_UNPACKED_BYTES})
    with zipfile.ZipFile(io.BytesIO(data)) as archive:
        pieces = list(Parts(data, archive).pieces("a.xml", b"<c "))
    assert b"".join(pieces) == xml
    assert len(pieces) > 3
    assert all(piece.startswith(b"<c ") and piece.endswith(b"</c>") for piece in pieces)


def test_a_list_of_sheets_that_declares_a_document_type_is_not_parsed() -> None:
    data = zipped({"a.xml": b'<!DOCTYPE a [<!ENTITY b "c">]><a>&b;</a>'})
    with zipfile.ZipFile(io.BytesIO(data)) as archive, pytest.raises(ValueError, match="declares a document type"):
        Parts(data, archive).parsed("a.xml")


ROW = b'<table:table-row><table:table-cell office:value-type="float"/></table:table-row>'
REPEATED = b'<table:table-row table:number-rows-repeated="9"><table:table-cell/></table:table-row>'


@pytest.mark.parametrize(
    ("xml", "found"),
    [
        (ROW, (1, 1)),
        (ROW + REPEATED, (1, 1)),
        (ROW + REPEATED + ROW, (11, 1)),
        (b"<table:table>" + ROW * 3 + b"</table:table><table:table>" + ROW + b"</table:table>", (3, 1)),
        (ROW.replace(b"<table:table-cell", b'<table:table-cell table:number-columns-repeated="40"'), (1, 40)),
        (b"<table:table-row><table:table-cell>\n<text:p>x</text:p></table:table-cell></table:table-row>", (1, 1)),
        (ROW + REPEATED.replace(b'"9"', b"'9'") + ROW, None),
        (ROW + REPEATED.replace(b" table:number", b' x=">" table:number') + ROW, None),
        (ROW + REPEATED.replace(b" table:number", b' x="<" table:number') + ROW, None),
    ],
)
def test_the_extent_of_an_open_document_reaches_to_the_last_cell_that_holds_something(
    xml: bytes, found: tuple[int, int] | None
) -> None:
    assert extent(xml) == found
