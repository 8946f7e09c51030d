"""The words of a drawn chart, taken out of its SVG, so that the page's own typesetter can set them.

Typst's reading of SVG text finds no glyph for some letters and sets others wrongly; its own text does not.
"""

from __future__ import annotations

import html
import re
from typing import Any

_TEXT = re.compile(r"<text ([^>]*)>(.*?)</text>\s*", re.DOTALL)
_NUMBER = r"(-?[\d.]+)"
_ANCHORS = {"start": 0.0, "middle": 0.5, "end": 1.0}
"""Which part of its width a text stands to the left of its place."""

Lettering = dict[str, Any]


def _found(pattern: str, text: str) -> float | None:
    found = re.search(pattern, text)
    return float(found[1]) if found else None


def _lettering(attributes: str, text: str) -> Lettering:
    x, y = _found(rf'\bx="{_NUMBER}"', attributes), _found(rf'\by="{_NUMBER}"', attributes)
    if x is None or y is None:
        moved = re.search(rf"translate\({_NUMBER} {_NUMBER}\)", attributes)
        assert moved is not None, attributes
        x, y = float(moved[1]), float(moved[2])
    anchor = re.search(r"text-anchor: (\w+)", attributes)
    fill = re.search(r"fill: (#[0-9a-f]{6})", attributes)
    return {
        "text": html.unescape(text),
        "x": x,
        "y": y,
        "size": _found(rf"font-size: {_NUMBER}px", attributes),
        "before": _ANCHORS[anchor[1] if anchor else "start"],
        "turn": _found(rf"rotate\({_NUMBER}", attributes) or 0.0,
        "fill": fill[1] if fill else "#000000",
    }


def apart(svg: str) -> tuple[str, list[Lettering]]:
    """A chart without its words, and the words: text, place, size in points, anchor, turn in degrees and colour."""
    return _TEXT.sub("", svg), [_lettering(attributes, text) for attributes, text in _TEXT.findall(svg)]
