"""A reader of PDF structure that knows nothing of how ours are made: elements, and the text that is marked for each.

It follows ISO 32000-1: structure elements (14.7), marked content (14.6), ToUnicode maps (9.10.3); it reads files whose
objects stand one by one.
"""

from __future__ import annotations

import re
import zlib
from collections.abc import Iterator
from dataclasses import dataclass, field

_OBJECT = re.compile(rb"(?:^|\n)(\d+) 0 obj\n(.*?)\nendobj", re.DOTALL)
_PLAIN = rb"(?:\\.|[^\\()])*"
_NESTED = rb"(?:\\.|[^\\()]|\(" + _PLAIN + rb"\))*"
_LITERAL = rb"(?:\\.|[^\\()]|\(" + _NESTED + rb"\))*"
# Brackets within a string need no escape where they are balanced (7.3.4.2).
_TOKEN = re.compile(
    rb"/Span<</MCID (\d+)[^>]*>>BDC|/(?:Artifact|[A-Za-z0-9]+)(?:<<.*?>>)?\s*B[DM]C|EMC|/(f\d+) [\d.]+ Tf"
    rb"|\((" + _LITERAL + rb")\)|<([0-9A-Fa-f\s]*)>",
    re.DOTALL,
)
_ESCAPE = re.compile(rb"\\([0-7]{1,3}|.)", re.DOTALL)
_SHORT = {b"n": b"\n", b"r": b"\r", b"t": b"\t", b"b": b"\b", b"f": b"\f"}


@dataclass
class Element:
    """A structure element: its kind (`TD`), its own text, its alternative text, and the elements in it."""

    kind: str
    alt: str = ""
    parts: list[Element | str] = field(default_factory=list)

    @property
    def text(self) -> str:
        """All text in it, in reading order, words set apart as they are on paper."""
        return " ".join(part if isinstance(part, str) else part.text for part in self.parts)

    def walk(self) -> Iterator[Element]:
        """It and every element in it, in reading order."""
        yield self
        for part in self.parts:
            if isinstance(part, Element):
                yield from part.walk()

    def all(self, *kinds: str) -> list[Element]:
        """The elements of some kinds, in reading order."""
        return [element for element in self.walk() if element.kind in kinds]


def _literal(raw: bytes) -> bytes:
    def plain(found: re.Match[bytes]) -> bytes:
        code = found[1]
        return bytes([int(code, 8)]) if code.isdigit() else _SHORT.get(code, code)

    return _ESCAPE.sub(plain, raw)


def _said(raw: bytes) -> str:
    """A string of the file's own words: UTF-16 with its mark, or plain."""
    data = bytes.fromhex(raw[1:-1].decode()) if raw.startswith(b"<") else _literal(raw[1:-1])
    return data[2:].decode("utf-16-be") if data.startswith(b"\xfe\xff") else data.decode("latin-1")


class Pdf:
    """A file, read."""

    def __init__(self, data: bytes) -> None:
        self.objects = {int(number): body for number, body in _OBJECT.findall(data)}
        self.raw = data
        self._texts: dict[int, dict[int, str]] = {}
        self._beside: dict[int, list[str]] = {}

    def _stream(self, number: int) -> bytes:
        found = re.search(rb"stream\r?\n(.*)\r?\nendstream", self.objects[number], re.DOTALL)
        assert found is not None
        return zlib.decompress(found[1])

    def _letters(self, number: int) -> dict[int, str]:
        """Code to text of a font."""
        font = re.search(rb"/ToUnicode (\d+) 0 R", self.objects[number])
        assert font is not None, "a font without letters"
        mapped = self._stream(int(font[1])).partition(b"endcodespacerange")[2]
        pairs = re.findall(rb"<([0-9A-Fa-f]{4})> <([0-9A-Fa-f]+)>", mapped)
        return {int(code, 16): bytes.fromhex(text.decode()).decode("utf-16-be") for code, text in pairs}

    def _dictionary(self, page: bytes, key: bytes) -> bytes:
        """What stands under a key of a page's resources, followed where it is a reference."""
        resources = re.search(rb"/Resources (\d+) 0 R", page)
        body = self.objects[int(resources[1])] if resources else page
        found = re.search(rb"/" + key + rb"\s*(?:(\d+) 0 R|<<(.*?)>>)", body, re.DOTALL)
        assert found is not None
        return self.objects[int(found[1])] if found[1] else found[2]

    def _page(self, number: int) -> dict[int, str]:
        """Marked text of a page by its mark."""
        if number in self._texts:
            return self._texts[number]
        page = self.objects[number]
        named = re.findall(rb"/(f\d+) (\d+) 0 R", self._dictionary(page, b"Font"))
        fonts = {name: self._letters(int(ref)) for name, ref in named}
        contents = re.search(rb"/Contents (\d+) 0 R", page)
        assert contents is not None
        out: dict[int, str] = {}
        font: dict[int, str] = {}
        marks: list[int | None] = []
        beside = self._beside.setdefault(number, [])
        for token in _TOKEN.finditer(self._stream(int(contents[1]))):
            if token[0] == b"EMC":
                marks.pop()
            elif token[0].endswith((b"BDC", b"BMC")):
                marks.append(int(token[1]) if token[1] is not None else (marks[-1] if marks else None))
                if token[0].startswith(b"/Artifact"):
                    beside.append("")
            elif token[2]:
                font = fonts[token[2]]
            elif marks and (token[3] is not None or token[4] is not None):
                raw = _literal(token[3]) if token[3] is not None else bytes.fromhex(token[4].decode())
                codes = [int.from_bytes(raw[at : at + 2], "big") for at in range(0, len(raw), 2)]
                text = "".join(font[code] for code in codes)
                if marks[-1] is None:
                    beside[-1] += text
                else:
                    out[marks[-1]] = out.get(marks[-1], "") + text
        self._texts[number] = out
        return out

    def _element(self, number: int) -> Element:
        body = self.objects[number]
        kind = re.search(rb"/S/(\w+)", body)
        assert kind is not None
        alt = re.search(rb"/Alt(\(" + _LITERAL + rb"\)|<[0-9A-F]*>)", body, re.DOTALL)
        element = Element(kind[1].decode(), _said(alt[1]) if alt else "")
        page = re.search(rb"/Pg (\d+) 0 R", body)
        kids = re.search(rb"/K\[(.*)\]", body, re.DOTALL)
        plain = re.sub(rb"<</Type/OBJR.*?>>", b" ", kids[1], flags=re.DOTALL) if kids else b""
        for mcr, mark, reference, own in re.findall(rb"<</Type/MCR/Pg (\d+) 0 R/MCID (\d+)>>|(\d+) 0 R|(\d+)", plain):
            if mcr:
                element.parts.append(self._page(int(mcr)).get(int(mark), ""))
            elif reference:
                element.parts.append(self._element(int(reference)))
            else:
                assert page is not None
                element.parts.append(self._page(int(page[1])).get(int(own), ""))
        return element

    @property
    def tree(self) -> Element:
        """The document's structure."""
        root = next(number for number, body in self.objects.items() if b"/StructElem/S/Document" in body)
        return self._element(root)

    @property
    def artifacts(self) -> list[str]:
        """Text that stands beside the document's own: running heads and page numbers."""
        pages = [number for number, body in self.objects.items() if b"/Type/Page/" in body]
        for number in pages:
            self._page(number)
        return [text for number in pages for text in self._beside[number] if text]

    @property
    def bookmarks(self) -> list[str]:
        """Titles of the bookmarks, in no set order."""
        found = re.findall(rb"/Title(\(" + _LITERAL + rb"\)|<[0-9A-F]*>)/Dest", self.raw, re.DOTALL)
        return [_said(one) for one in found]


def read_pdf(data: bytes) -> Pdf:
    """Read a file's structure."""
    return Pdf(data)
