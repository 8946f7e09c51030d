"""Every kind of file that means harm or has come to it, and what is said of it."""

from __future__ import annotations

import os
from collections.abc import Callable
from pathlib import Path

from support import hostile
from support.hostile import (
    CELL,
    LAUGHS,
    MB,
    NAME,
    OUTSIDE,
    Trap,
    file,
    full_sheet,
    with_part,
    workbook_parts,
    xlsx,
    zipped,
)
from support.old_workbooks import compound, xls

FAR = b'<row r="1048576"><c r="XFD1048576"><v>1</v></c></row>'
NUMBER = b'<c r="@"><v>%d.25</v></c>'
TEXT = b'<c r="@" t="inlineStr"><is><t>a text of some length in row %d</t></is></c>'
_ROW = (
    '<table:table-row{}><table:table-cell office:value-type="float" office:value="1"/><table:table-cell{} '
    'office:value-type="float" office:value="1"/></table:table-row>'
)
_MEMORY = "cannot be read within 640 MB of memory"
_CORNER = "spans? more than 5 million cells; delete the rows and columns beyond the table"
_BROKEN = r"it cannot be opened as a spreadsheet \(.*\); save it again as .xlsx."
_PASSWORD = "it is protected by a password; save it without one."
_TYPE = "declares a document type"


def _declaring(declared: str, inside: bytes) -> Callable[[bytes], bytes]:
    """Puts a declaration before a part's first element, and a reference to its last entity into it."""
    return lambda part: declared.encode() + part.replace(inside, inside + b"&l10;", 1)


def _ods_declaring(declared: str) -> Callable[[Path], object]:
    def make(folder: Path) -> None:
        path = hostile.ods(folder, _ROW.format(' x="&l10;"', ' table:number-rows-spanned="2"'))
        with hostile.zipfile.ZipFile(path) as archive:
            parts = {name: archive.read(name) for name in archive.namelist()}
        parts["content.xml"] = declared.encode() + parts["content.xml"]
        path.write_bytes(zipped(parts))

    return make


def _zip_bombs() -> list[Trap]:
    huge = b"<sst>" + b"<si><t/></si>" * (500 * MB // 13)
    return [
        Trap("a zip in a zip in a zip", hostile.nested_zip, "it is a zip file but no workbook that we read"),
        Trap("a part of 600 MB", lambda f: xlsx(f, b" " * (600 * MB)), "it unpacks to more than 512 MB"),
        Trap("a list of strings of 500 MB", lambda f: xlsx(f, CELL, **{"xl__sharedStrings.xml": huge}), _MEMORY),
        Trap("ten thousand parts", hostile.many_entries, "it has more than 10,000 parts"),
        Trap("a part that hides its size", hostile.lying_zip, f"{_BROKEN}|{_MEMORY}"),
    ]  # fmt: skip


def _corners() -> list[Trap]:
    row = full_sheet(1, 26, NUMBER)
    blank = "<table:table-row table:number-rows-repeated='1048574'><table:table-cell/></table:table-row>"
    repeated, wide = ' table:number-rows-repeated="1000000"', ' table:number-columns-repeated="16000"'
    one_row = _ROW.format("", wide)
    return [
        Trap("a far corner", lambda f: xlsx(f, CELL + FAR), f"sheet 'Notes 1' {_CORNER}"),
        Trap("a far corner in other quotes", lambda f: xlsx(f, CELL + FAR.replace(b'"', b"'")), _MEMORY),
        Trap("a far corner by the row's number", lambda f: xlsx(
            f, CELL + b'<row a=">" r="1048576">' + b"<c/>" * 9999 + b"<c><v>1</v></c></row>"), _MEMORY),
        Trap("a far corner of an old sheet", hostile.old_far_corner, f"{_CORNER}|{_MEMORY}"),
        Trap("four hundred far corners", hostile.old_sheets_of_one_place, _CORNER),
        Trap("a filled row repeated", lambda f: hostile.ods(f, _ROW.format(repeated, wide)), _CORNER),
        Trap("a far row behind blank ones", lambda f: hostile.ods(f, one_row + blank + one_row),
             f"{_BROKEN}|{_MEMORY}"),
        Trap("a million blank rows", lambda f: xlsx(f, hostile.blank_rows(1_000_000)), None),
        Trap("a word below a million blank rows", lambda f: xlsx(
            f, row + b'<row r="1048576"><c r="A1048576"><v>1</v></c></row>'), _CORNER),
        Trap("a million lines", file(f"{NAME}.csv", b"\n" * 1_000_000), None),
        Trap("a million lines of commas", file(f"{NAME}.csv", b",,,\n" * 1_000_000), None),
        Trap("a thousand columns", lambda f: xlsx(f, full_sheet(200, 1000, NUMBER)), None),
        Trap("five thousand columns", lambda f: xlsx(f, full_sheet(60, 5000, NUMBER)),
             "sheet 'Notes 1' .* more than 4,096 columns; delete those beyond its table"),
        Trap("a line of a million commas", file(f"{NAME}.csv", b"," * MB + b"\n1"), "it has more than 4,096 columns"),
        Trap("as many numbers as may be", lambda f: xlsx(f, full_sheet(490_000, 10, NUMBER)), None),
        Trap("as many texts as may be", lambda f: xlsx(f, full_sheet(490_000, 10, TEXT)), f"{_MEMORY}|{_CORNER}"),
        Trap("as many cells of CSV as may be", file(f"{NAME}.csv", b"1,22,333,4444,55555\n" * 3_990_000), None),
        Trap("as many lines of CSV as may be", file(f"{NAME}.csv", b"1\n" * 19_900_000), None),
        Trap("a line of 200 MB", file(f"{NAME}.csv", b"x" * (200 * MB)), "a line of more than 4 million letters"),
        Trap("inch marks without end", file(f"{NAME}.csv", b'1,22",333,4444\n' * 2_000_000),
             "cells in lines with quotes"),
    ]  # fmt: skip


def _markup() -> list[Trap]:
    sheet, rels = "xl/worksheets/sheet1.xml", "xl/_rels/workbook.xml.rels"
    traps = []
    for kind, declared in (("laughs", LAUGHS), ("a file of this machine", OUTSIDE)):
        traps += [
            Trap(
                f"{kind} in the list of sheets", with_part("xl/workbook.xml", _declaring(declared, b"<sheets>")), _TYPE
            ),
            Trap(f"{kind} in the relations", with_part(rels, _declaring(declared, b"<Relationships ")), _TYPE),
            Trap(f"{kind} in a sheet", with_part(sheet, _declaring(declared, b"<v>")), None),
            Trap(f"{kind} in the strings", with_part("xl/sharedStrings.xml", _declaring(declared, b"<sst>")), None),
            Trap(f"{kind} in an open document", _ods_declaring(declared), _TYPE),
        ]
    return [
        *traps,
        Trap("tags without an end", lambda f: xlsx(f, b"<row " * MB), f"{_BROKEN}|{_MEMORY}"),
        Trap("rows without an end", lambda f: hostile.ods(f, "<table:table-row>" * (MB // 4)), f"{_BROKEN}|{_MEMORY}"),
        Trap("cells merged upon each other", lambda f: xlsx(f, hostile.merged(5000)), "lie upon each other"),
    ]


def _damaged() -> list[Trap]:
    whole = zipped(workbook_parts(full_sheet(500, 9, NUMBER)))
    old = xls({"Notes": [(row, 0, float(row)) for row in range(900)]})
    page = b"<html><body><table><tr><td>Job</td><td>Feet</td></tr></table></body></html>"
    in_xml = b'<?xml version="1.0"?><Workbook xmlns="urn:schemas-microsoft-com:office:spreadsheet"/>'
    return [
        Trap("a workbook cut off", file(f"{NAME}.xlsx", hostile.cut(whole, 0.6)), "it is cut off, its end is missing"),
        Trap("an old workbook cut off", file(f"{NAME}.xls", hostile.cut(old, 0.5)), _BROKEN),
        Trap("an open document cut off", file(f"{NAME}.ods", hostile.cut(whole, 0.9)), "its end is missing"),
        Trap("a protected workbook", file(f"{NAME}.xlsx", compound({"EncryptionInfo": b"x", "EncryptedPackage": b"y"})),
             _PASSWORD),
        Trap("a protected old workbook", file(f"{NAME}.xls", xls({"Notes": [(0, 0, 1.0)]}, is_protected=True)),
             _PASSWORD),
        Trap("a protected open document", hostile.protected_ods, _PASSWORD),
        Trap("a protected zip", hostile.protected_zip, _PASSWORD),
        Trap("a web page", file(f"{NAME}.xls", page), "it is a web page by the name of a spreadsheet"),
        Trap("a workbook in XML", file(f"{NAME}.xls", in_xml), "it is a workbook in an old form of XML"),
        Trap("an empty file", file(f"{NAME}.xlsx", b""), "it is empty"),
        Trap("a workbook called CSV", file(f"{NAME}.csv", whole), "it is not text"),
        Trap("zeros called CSV", file(f"{NAME}.csv", bytes(MB)), "it is not text"),
        Trap("a chain of sectors in a circle", hostile.old_circle, _BROKEN),
        Trap("a quote that is not closed", file(f"{NAME}.csv", b'a,b\n1,"2\n' + b"3,4\n" * MB), "is not closed|as CSV"),
        Trap("a file of 300 MB", lambda f: os.truncate(_touched(f / f"{NAME}.csv"), 300 * MB), "larger than 256 MB"),
    ]  # fmt: skip


def _touched(path: Path) -> Path:
    path.touch()
    return path


def _beyond_the_folder() -> list[Trap]:
    macro = {"xl__vbaProject.bin": compound({"VBA": b"Sub Auto_Open()"})}
    link = {"xl__externalLinks__externalLink1.xml": '<externalLink><externalBook r:id="rId1"/></externalLink>'}
    return [
        Trap("a workbook of macros", lambda f: xlsx(f, CELL, name=f"{NAME}.xlsm", **macro), None),
        Trap("links to other workbooks", lambda f: xlsx(f, CELL, **link), None),
        Trap("parts that lead out of the zip", lambda f: xlsx(f, CELL, **{"..__..__out.xml": b"x"}), None),
        Trap("a link out of the folder", lambda f: (f / f"{NAME}.csv").symlink_to("/etc/passwd"), "it is a link"),
        Trap("a link to a device", lambda f: (f / f"{NAME}.csv").symlink_to("/dev/zero"), "it is a link"),
        Trap("a link to itself", lambda f: (f / f"{NAME}.csv").symlink_to(f / f"{NAME}.csv"), "it is a link"),
        Trap("a folder that leads back", lambda f: (f / NAME).symlink_to(f), "it is a link to a folder"),
        Trap("a folder called a workbook", lambda f: (f / f"{NAME}.xlsx").mkdir(), "it is a folder by the name of"),
        Trap("a pipe", lambda f: os.mkfifo(f / f"{NAME}.csv"), "a pipe or a device"),
    ]


TRAPS = [*_zip_bombs(), *_corners(), *_markup(), *_damaged(), *_beyond_the_folder()]
