"""Files that mean harm, each made by a function that takes the folder in which it is to lie."""

from __future__ import annotations

import io
import struct
import zipfile
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from pathlib import Path

from support.old_workbooks import compound, stream_of, xls
from support.workbooks import write_ods

MB = 1024 * 1024
NAME = "trap"
"""How the files are named; the ending is each one's own."""

_MAIN = "http://schemas.openxmlformats.org/spreadsheetml/2006/main"
_RELATIONS = "http://schemas.openxmlformats.org/package/2006/relationships"
_OFFICE = "http://schemas.openxmlformats.org/officeDocument/2006/relationships"
LAUGHS = "<!DOCTYPE a [<!ENTITY l0 'ha'>{}]>".format(
    "".join(f"<!ENTITY l{n} '{f'&l{n - 1};' * 10}'>" for n in range(1, 11))
)
"""Ten entities, each ten of the one before it: a text of 20 GB."""
OUTSIDE = "<!DOCTYPE a [<!ENTITY l10 SYSTEM 'file:///etc/passwd'>]>"
"""An entity that stands for a file of this machine."""


@dataclass(frozen=True)
class Trap:
    """A kind of harm; `says` is what its one sentence must hold, None where the file is harmless and read."""

    kind: str
    make: Callable[[Path], object]
    says: str | None


def zipped(parts: Mapping[str, bytes | str]) -> bytes:
    """A zip of parts."""
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED, compresslevel=1) as archive:
        for name, part in parts.items():
            archive.writestr(name, part)
    return out.getvalue()


def workbook_parts(*sheets: bytes, name: str = "Notes") -> dict[str, bytes | str]:
    """The parts of a workbook around the XML of its sheets' rows."""
    numbers = range(1, len(sheets) + 1)
    listed = "".join(f'<sheet name="{name} {n}" sheetId="{n}" r:id="rId{n}"/>' for n in numbers)
    related = "".join(
        f'<Relationship Id="rId{n}" Type="{_OFFICE}/worksheet" Target="worksheets/sheet{n}.xml"/>' for n in numbers
    )
    parts: dict[str, bytes | str] = {
        "[Content_Types].xml": '<Types xmlns="http://schemas.openxmlformats.org/package/2006/content-types"/>',
        "_rels/.rels": f'<Relationships xmlns="{_RELATIONS}"><Relationship Id="rId1" '
        f'Type="{_OFFICE}/officeDocument" Target="xl/workbook.xml"/></Relationships>',
        "xl/workbook.xml": f'<workbook xmlns="{_MAIN}" xmlns:r="{_OFFICE}"><sheets>{listed}</sheets></workbook>',
        "xl/_rels/workbook.xml.rels": f'<Relationships xmlns="{_RELATIONS}">{related}</Relationships>',
    }
    for n, rows in zip(numbers, sheets, strict=True):
        head = f'<worksheet xmlns="{_MAIN}"><sheetData>'.encode()
        parts[f"xl/worksheets/sheet{n}.xml"] = head + rows + b"</sheetData></worksheet>"
    return parts


def xlsx(folder: Path, *sheets: bytes, name: str = f"{NAME}.xlsx", **more: bytes | str) -> Path:
    """A workbook around the XML of its sheets' rows; `more` are further parts, `__` standing for `/`."""
    parts = workbook_parts(*sheets) | {key.replace("__", "/"): part for key, part in more.items()}
    path = folder / name
    path.write_bytes(zipped(parts))
    return path


def with_part(part: str, change: Callable[[bytes], bytes]) -> Callable[[Path], object]:
    """A maker of a workbook of one sheet, one part of which is changed."""

    def make(folder: Path) -> None:
        parts = workbook_parts(CELL)
        whole = parts.get(part, b"<sst/>")
        parts[part] = change(whole.encode() if isinstance(whole, str) else whole)
        (folder / f"{NAME}.xlsx").write_bytes(zipped(parts))

    return make


def ods(folder: Path, rows: str, name: str = f"{NAME}.ods") -> Path:
    """An OpenDocument workbook of one table."""
    return write_ods(folder / name, f'<table:table table:name="Notes">{rows}</table:table>')


def file(name: str, data: bytes) -> Callable[[Path], object]:
    """A maker of a file of these bytes."""
    return lambda folder: (folder / name).write_bytes(data)


CELL = b'<row r="1"><c r="A1"><v>1</v></c></row>'


def lying_zip(folder: Path) -> None:
    """A list of strings of 600 MB that says, in both places, that it has a hundred bytes."""
    strings = b"<sst>" + b"<si><t/></si>" * (600 * MB // 13) + b"</sst>"
    data = zipped(workbook_parts(CELL) | {"xl/sharedStrings.xml": strings})
    said = struct.pack("<I", len(strings))
    assert data.count(said) == 2
    (folder / f"{NAME}.xlsx").write_bytes(data.replace(said, struct.pack("<I", 100)))


def many_entries(folder: Path) -> None:
    parts = workbook_parts(CELL)
    xlsx(folder, CELL, **{f"xl__{n}.xml": b"" for n in range(10_001 - len(parts))}, xl__last="")


def nested_zip(folder: Path) -> None:
    """A zip in a zip in a zip, five deep, of ten zeros' files each."""
    inner = zipped({f"{n}.xlsx": bytes(10 * MB) for n in range(10)})
    for _ in range(4):
        inner = zipped({f"{n}.xlsx": inner for n in range(10)})
    (folder / f"{NAME}.xlsx").write_bytes(inner)


def blank_rows(rows: int, last: bytes = b"") -> bytes:
    """Rows of ten cells that hold a format and nothing else."""
    cells = b"".join(b'<c r="%c%%d" s="1"/>' % (65 + column) for column in range(10))
    row = b'<row r="%d" ht="15">' + cells + b"</row>"
    return b"".join(row % ((n,) * 11) for n in range(1, rows)) + last


def full_sheet(rows: int, columns: int, cell: bytes) -> bytes:
    """Rows of cells; `cell` has a place for its column's letters and its row."""
    names = [_letters(column).encode() for column in range(columns)]
    row = b'<row r="%d">' + b"".join(cell.replace(b"@", name + b"%d") for name in names) + b"</row>"
    return b"".join(row % ((n,) * (row.count(b"%d"))) for n in range(1, rows + 1))


def _letters(column: int) -> str:
    text = ""
    column += 1
    while column:
        column, rest = divmod(column - 1, 26)
        text = chr(65 + rest) + text
    return text


def merged(count: int) -> bytes:
    """Cells merged over the whole of a column, again and again."""
    rows = b"".join(b'<row r="%d"><c r="A%d"><v>1</v></c></row>' % (n, n) for n in range(1, 20_001))
    ranges = b'<mergeCell ref="A1:A20000"/>' * count
    return rows + b"</sheetData><mergeCells>" + ranges + b"</mergeCells><sheetData>"


def protected_ods(folder: Path) -> None:
    manifest = (
        '<manifest:manifest xmlns:manifest="urn:oasis:names:tc:opendocument:xmlns:manifest:1.0">'
        '<manifest:file-entry manifest:full-path="content.xml"><manifest:encryption-data/></manifest:file-entry>'
        "</manifest:manifest>"
    )
    kind = "application/vnd.oasis.opendocument.spreadsheet"
    parts = {"mimetype": kind, "META-INF/manifest.xml": manifest, "content.xml": bytes(range(256)) * 40}
    (folder / f"{NAME}.ods").write_bytes(zipped(parts))


def protected_zip(folder: Path) -> None:
    """A zip whose entries say that they are encrypted."""
    data = bytearray(zipped(workbook_parts(CELL)))
    for mark, place in ((b"PK\x03\x04", 6), (b"PK\x01\x02", 8)):
        at = data.find(mark)
        while at >= 0:
            data[at + place] |= 1
            at = data.find(mark, at + 1)
    (folder / f"{NAME}.xlsx").write_bytes(bytes(data))


def old_far_corner(folder: Path) -> None:
    (folder / f"{NAME}.xls").write_bytes(xls({"Notes": [(0, 0, "x"), (65_535, 255, 1.0)]}))


def old_sheets_of_one_place(folder: Path) -> None:
    """Four hundred sheets, all of which lie at one place and reach to the far corner."""
    stream = bytearray(stream_of({f"S{n}": [(65_535, 60, 1.0)] if n == 0 else [] for n in range(400)}))
    first = struct.unpack_from("<I", stream, stream.find(b"\x85\x00") + 4)[0]
    at = stream.find(b"\x85\x00")
    while at >= 0 and at < first:
        struct.pack_into("<I", stream, at + 4, first)
        at = stream.find(b"\x85\x00", at + 4 + struct.unpack_from("<H", stream, at + 2)[0])
    (folder / f"{NAME}.xls").write_bytes(compound({"Workbook": bytes(stream)}))


def old_circle(folder: Path) -> None:
    data = compound({"Workbook": stream_of({"Notes": [(0, 0, 1.0)]})}, in_a_circle=True)
    (folder / f"{NAME}.xls").write_bytes(data)


def cut(data: bytes, share: float) -> bytes:
    """The first part of a file."""
    return data[: int(len(data) * share)]
