"""A sheet to draw a chart on: sized by its rows, its margins measured from its words; and its SVG text."""

from __future__ import annotations

import re
from collections.abc import Sequence
from functools import cache
from io import StringIO
from typing import TYPE_CHECKING, Any

from pipeline.render import typeface
from pipeline.render.palette import CHART_WIDTH_IN, FONT_PT, INK, ROW_IN, RULE, SMALL_PT, SOFT

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

PT_PER_IN = 72
WRAP_AT = 22
"""Letters after which a label goes on to a second line."""

RC: Any = {
    "svg.hashsalt": "perfoot",
    # Letters stay letters: smaller, to be searched and copied, and sharp at any size.
    "svg.fonttype": "none",
    "font.family": [typeface.FAMILY, *typeface.FALLBACKS],
    "font.size": FONT_PT,
    "text.parse_math": False,
    "text.color": INK,
    "axes.unicode_minus": True,
    "path.simplify": False,
    "hatch.linewidth": 1.1,
}
"""What makes the same chart give the same bytes, and keeps a dollar sign from starting a formula."""


@cache
def text_width_in(text: str, size: float) -> float:
    """Width of a line of text, inches."""
    from matplotlib.font_manager import FontProperties
    from matplotlib.textpath import text_to_path

    typeface.register()
    font = FontProperties(family=RC["font.family"], size=size)
    width, _, _ = text_to_path.get_text_width_height_descent(text, font, False)
    return float(width) / PT_PER_IN


def wrapped(text: str) -> str:
    """A label on two lines at most, the second cut off with an ellipsis where it is too long."""
    if len(text) <= WRAP_AT:
        return text
    cut = text.rfind(" ", 0, WRAP_AT + 1)
    first, rest = (text[:cut], text[cut + 1 :]) if cut > 0 else (text[:WRAP_AT], text[WRAP_AT:])
    return f"{first}\n{rest if len(rest) <= WRAP_AT else rest[: WRAP_AT - 1] + '…'}"


def widest(labels: Sequence[str], size: float) -> float:
    """Width of the widest line among labels, inches."""
    return max((text_width_in(line, size) for label in labels for line in label.split("\n")), default=0.0)


def sheet(height_in: float, left_in: float, right_in: float, top_in: float, bottom_in: float) -> tuple[Figure, Axes]:
    """A figure with one plot, its margins in inches."""
    from matplotlib.figure import Figure as MplFigure

    figure = MplFigure(figsize=(CHART_WIDTH_IN, height_in))
    axes = figure.add_axes(
        (
            left_in / CHART_WIDTH_IN,
            bottom_in / height_in,
            (CHART_WIDTH_IN - left_in - right_in) / CHART_WIDTH_IN,
            (height_in - top_in - bottom_in) / height_in,
        )
    )
    axes.patch.set_visible(False)
    figure.patch.set_visible(False)
    for side in axes.spines.values():
        side.set_visible(False)
    axes.tick_params(length=0, labelsize=SMALL_PT, labelcolor=SOFT, pad=3)
    return figure, axes


def rows_height(rows: float) -> float:
    """Height of the plot of so many rows, inches."""
    return max(rows, 1) * ROW_IN


def grid(axes: Axes, which: str) -> None:
    """Thin lines to read values by, behind everything."""
    axes.grid(axis=which, color=RULE, linewidth=0.6)  # type: ignore[arg-type]
    axes.set_axisbelow(True)


_FAMILY = re.compile(r" ?font-family: [^;\"]+;?")
_NO_TURN = re.compile(r' transform="rotate\(-0 [^)]*\)"')


def svg_of(figure: Figure, name: str) -> str:
    """The figure as an SVG element: no head, no comments, no ids but its own that it uses, and no typeface named,
    which is its page's."""
    from matplotlib.backends.backend_svg import FigureCanvasSVG

    out = StringIO()
    FigureCanvasSVG(figure).print_svg(out, metadata={"Date": None, "Creator": None, "Format": None, "Type": None})
    text = out.getvalue()
    text = text[text.index("<svg") :]
    text = re.sub(r"<!--.*?-->\s*", "", text, flags=re.DOTALL)
    text = re.sub(r"\s*<metadata>.*?</metadata>", "", text, flags=re.DOTALL)
    used = set(re.findall(r'(?:href="#|url\(#)([^")]+)', text))
    text = re.sub(r'\s?\bid="([^"]+)"', lambda found: f' id="{name}-{found[1]}"' if found[1] in used else "", text)
    text = re.sub(r'href="#([^"]+)"', rf'href="#{name}-\1"', text)
    text = re.sub(r"url\(#([^)]+)\)", rf"url(#{name}-\1)", text)
    return _NO_TURN.sub("", _FAMILY.sub("", text))
