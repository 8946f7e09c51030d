"""Charts drawn from their values: one function a kind, all on the same quiet sheet."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from functools import lru_cache
from itertools import pairwise
from typing import TYPE_CHECKING, Any

from pipeline.documents.formats import show
from pipeline.documents.model import Chart, Point
from pipeline.render import canvas, typeface
from pipeline.render.control_chart import control
from pipeline.render.palette import (
    BLUE,
    CHART_WIDTH_IN,
    FONT_PT,
    INK,
    PAPER,
    ROLE_COLOURS,
    ROLE_HATCHES,
    ROLE_MARKS,
    RULE,
    SAND,
    SKY,
    SMALL_PT,
    SOFT,
)  # fmt: skip
from pipeline.render.scatter import scatter

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure
    from matplotlib.transforms import Transform

GAP_IN = 0.1
AXIS_IN = 0.4
"""Room for the numbers and the name of the value axis, inches."""
TOP_IN = 0.08
KEY_IN = 0.24
"""Room for a line above the plot that names its marks, inches."""
APART = 3 * "\N{NO-BREAK SPACE}"
"""Between two things said in one line; plain spaces would run together."""
BAR = 0.62
"""Thickness of a bar, of the room of its row."""
MARK_PT = 5.2
MOST_KEPT = 64
"""Charts kept once drawn: page and paper print the same ones."""


@lru_cache(maxsize=MOST_KEPT)
def draw(chart: Chart) -> str:
    """A chart as an SVG element. The same chart gives the same text."""
    import matplotlib

    typeface.register()
    with matplotlib.rc_context(canvas.RC):
        return canvas.svg_of(_DRAWERS[chart.kind](chart), chart.name)


def _number(value: object) -> float:
    return float(value)  # type: ignore[arg-type]


class _Rows:
    """Places of a chart's rows from top to bottom, with a heading row before each group."""

    def __init__(self, points: tuple[Point, ...]) -> None:
        self.places: list[float] = []
        self.headings: list[tuple[float, str]] = []
        at, group = 0.0, ""
        for point in points:
            if point.group != group:
                group = point.group
                self.headings.append((at, group))
                at += 0.85
            self.places.append(at)
            at += 1.0 + 0.25 * ("\n" in canvas.wrapped(point.label))
        self.count = at


def _value_axis(axes: Axes, chart: Chart) -> None:
    axes.xaxis.set_major_formatter(lambda value, _: show(round(value, 6), _axis_format(chart)))
    axes.locator_params(axis="x", nbins=5)
    axes.set_xlabel(chart.axis.label, fontsize=SMALL_PT, color=SOFT, labelpad=3)
    canvas.grid(axes, "x")


def _axis_format(chart: Chart) -> str:
    return {"usd_per_ft": "usd_cents"}.get(chart.axis.format, chart.axis.format)


def _row_sheet(chart: Chart, points: tuple[Point, ...], right: list[str], key: bool) -> tuple[Figure, Axes, _Rows]:
    rows = _Rows(points)
    labels = [canvas.wrapped(point.label) for point in points]
    left_in = canvas.widest([*labels, *(text for _, text in rows.headings)], FONT_PT) + GAP_IN
    right_in = max(canvas.widest(right, FONT_PT) + GAP_IN, 0.22) if right else 0.22
    top_in = TOP_IN + (KEY_IN if key else 0)
    height = canvas.rows_height(rows.count) + top_in + AXIS_IN
    figure, axes = canvas.sheet(height, left_in, right_in, top_in, AXIS_IN)
    axes.set_ylim(rows.count - 0.5, -0.6)
    axes.set_yticks(rows.places, labels)
    for label in axes.get_yticklabels():
        label.set(fontsize=FONT_PT, color=INK, linespacing=0.95)
    edge = (1 - left_in * canvas.PT_PER_IN, 0)
    for at, text in rows.headings:
        axes.annotate(text, (0, at), xycoords=("axes fraction", "data"), xytext=edge, textcoords="offset points",
                      va="center", fontsize=SMALL_PT, color=SOFT)  # fmt: skip
    return figure, axes, rows


def _at_right(axes: Axes, rows: _Rows, texts: list[str], colours: list[str] | None = None) -> None:
    for index, (at, text) in enumerate(zip(rows.places, texts, strict=True)):
        colour = colours[index] if colours else INK
        axes.annotate(text, (1, at), xycoords=("axes fraction", "data"), xytext=(5, 0), textcoords="offset points",
                      va="center_baseline", ha="left", fontsize=FONT_PT, color=colour)  # fmt: skip


def _references(axes: Axes, chart: Chart) -> None:
    for figure in chart.references:
        if figure.value is not None:
            axes.axvline(_number(figure.value), color=INK, linewidth=0.9, linestyle=(0, (3, 2)), zorder=1)


def _reference_words(chart: Chart) -> str:
    return APART.join(f"- - {figure.label}: {show(figure.value, figure.format)}" for figure in chart.references)


@dataclass(frozen=True)
class _Mark:
    """A mark of the line above the plot: its shape, its colour, whether it is hollow, and its words."""

    shape: str
    colour: str
    words: str
    hollow: bool = False


def _dot(axes: Axes, x: float, y: float, mark: _Mark, transform: Transform | None = None) -> None:
    face = PAPER if mark.hollow else mark.colour
    where: dict[str, Any] = {"transform": transform, "clip_on": False} if transform is not None else {}
    axes.plot([x], [y], mark.shape, markerfacecolor=face, markeredgecolor=mark.colour, markeredgewidth=1.4,
              markersize=MARK_PT, **where)  # fmt: skip


def _bar(axes: Axes, at: float, width: float, left: float, role: str) -> None:
    axes.barh(at, width, left=left, height=BAR, color=ROLE_COLOURS[role], hatch=ROLE_HATCHES.get(role),
              edgecolor=PAPER, linewidth=0)  # fmt: skip


def _key(axes: Axes, marks: list[_Mark], words: str = "") -> None:
    """A line above the plot: a mark and its words, one after the other; then plain words, alone at the right.

    Where the line is longer than the plot it begins further left, above the labels.
    """
    from matplotlib.transforms import offset_copy

    said = [*(mark.words for mark in marks), words if marks else ""]
    long = sum(0.26 + canvas.text_width_in(one, SMALL_PT) for one in said) * canvas.PT_PER_IN
    width = CHART_WIDTH_IN * canvas.PT_PER_IN
    left = axes.get_position().x0 * width
    at = max(3.0 - left, min(3.0, width - long - left))
    for mark in marks:
        _dot(axes, 0, 1, mark, offset_copy(axes.transAxes, axes.figure, x=at, y=8, units="points"))  # type: ignore[arg-type]
        at += 0.1 * canvas.PT_PER_IN
        axes.annotate(mark.words, (0, 1), xycoords="axes fraction", xytext=(at, 8), textcoords="offset points",
                      fontsize=SMALL_PT, color=SOFT, va="center_baseline")  # fmt: skip
        at += (canvas.text_width_in(mark.words, SMALL_PT) + 0.16) * canvas.PT_PER_IN
    if words:
        side, shift, align = (0, at, "left") if marks else (1, 0, "right")
        axes.annotate(words, (side, 1), xycoords="axes fraction", xytext=(shift, 8), textcoords="offset points",
                      fontsize=SMALL_PT, color=SOFT, va="center_baseline", ha=align)  # fmt: skip


def _waterfall(chart: Chart) -> Figure:
    points = chart.series[0].points
    shown = [point.shown(_axis_format(chart)) for point in points]
    figure, axes, rows = _row_sheet(chart, points, shown, key=False)
    reached, ends = 0.0, []
    for at, point in zip(rows.places, points, strict=True):
        value = _number(point.value)
        start = 0.0 if point.role == "total" else reached
        _bar(axes, at, value, start, point.role)
        reached = start + value
        ends.append((at, reached))
    for (at, end), (below, _) in pairwise(ends):
        axes.plot([end, end], [at + BAR / 2, below - BAR / 2], color=SOFT, linewidth=0.6)
    low, high = min(0.0, *(end for _, end in ends)), max(0.0, *(end for _, end in ends))
    spare = 0.02 * (high - low) or 1
    axes.set_xlim(low - spare * (low < 0), high + spare)
    _value_axis(axes, chart)
    _at_right(axes, rows, shown)
    return figure


def _bars(chart: Chart) -> Figure:
    points = chart.series[0].points
    shown = [p.shown(_axis_format(chart)) + (f"{APART}{p.note}" if p.note else "") for p in points]
    figure, axes, rows = _row_sheet(chart, points, shown, key=False)
    for at, point in zip(rows.places, points, strict=True):
        _bar(axes, at, _number(point.value), 0, point.role)
    axes.set_xlim(0, max(_number(point.value) for point in points) * 1.02 or 1)
    _value_axis(axes, chart)
    _at_right(axes, rows, shown)
    return figure


def _dots(chart: Chart) -> Figure:
    points = chart.series[0].points
    shown = [point.shown(_axis_format(chart)) for point in points]
    words = _reference_words(chart)
    figure, axes, rows = _row_sheet(chart, points, shown, key=bool(words))
    _references(axes, chart)
    for at, point in zip(rows.places, points, strict=True):
        colour = ROLE_COLOURS[point.role]
        if point.low is not None and point.high is not None:
            axes.plot([_number(point.low), _number(point.high)], [at, at], color=colour, linewidth=1.6)
        _dot(axes, _number(point.value), at, _Mark(ROLE_MARKS.get(point.role, "o"), colour, ""))
    axes.margins(x=0.06)
    _value_axis(axes, chart)
    _at_right(axes, rows, shown)
    _key(axes, [], words)
    return figure


def _pairs(chart: Chart) -> Figure:
    first, second = chart.series
    shown = [
        f"{a.shown(_axis_format(chart))} / {b.shown(_axis_format(chart))}"
        for a, b in zip(first.points, second.points, strict=True)
    ]
    figure, axes, rows = _row_sheet(chart, first.points, shown, key=True)
    _references(axes, chart)
    marks = [_Mark("o", INK, first.label), _Mark("o", BLUE, second.label, hollow=True)]
    for at, a, b in zip(rows.places, first.points, second.points, strict=True):
        one, two = _number(a.value), _number(b.value)
        colour = SAND if two >= one else ROLE_COLOURS["bad"]
        axes.plot([one, two], [at, at], color=colour, linewidth=2.4, solid_capstyle="butt")
        _dot(axes, one, at, marks[0])
        _dot(axes, two, at, marks[1])
    axes.margins(x=0.06)
    _value_axis(axes, chart)
    _at_right(axes, rows, shown)
    _key(axes, marks, _reference_words(chart))
    return figure


def _ranges(chart: Chart) -> Figure:
    need, there = chart.series
    shown = [point.shown(_axis_format(chart)) for point in there.points]
    figure, axes, rows = _row_sheet(chart, need.points, shown, key=True)
    for at, a, b in zip(rows.places, need.points, there.points, strict=True):
        axes.barh(at, _number(a.high) - _number(a.low), left=_number(a.low), height=0.46, color=SKY)
        axes.plot([_number(a.value)] * 2, [at - 0.23, at + 0.23], color=INK, linewidth=1.2)
        role = "bad" if b.value < a.value else "good"
        _dot(axes, _number(b.value), at, _Mark(ROLE_MARKS[role], ROLE_COLOURS[role], ""))
    axes.margins(x=0.06)
    _value_axis(axes, chart)
    _at_right(axes, rows, shown)
    there_mark = _Mark(ROLE_MARKS["good"], ROLE_COLOURS["good"], there.label)
    _key(axes, [_Mark("s", SKY, need.label), there_mark])
    return figure


def _columns(chart: Chart) -> Figure:
    points = chart.series[0].points
    labels = [point.label for point in points]
    turned = canvas.widest(labels, SMALL_PT) * len(labels) > CHART_WIDTH_IN - 0.6
    bottom_in = AXIS_IN + (canvas.widest(labels, SMALL_PT) - 0.1 if turned else 0.0)
    height = 2.0 + TOP_IN + bottom_in
    figure, axes = canvas.sheet(height, 0.42, 0.12, TOP_IN, bottom_in)
    places = range(len(points))
    values = [_number(point.value) for point in points]
    for at, value, point in zip(places, values, points, strict=True):
        axes.bar(at, value, width=0.86, color=ROLE_COLOURS[point.role], hatch=ROLE_HATCHES.get(point.role),
                 edgecolor=PAPER, linewidth=0)  # fmt: skip
    for at, value, point in zip(places, values, points, strict=True):
        if value:
            axes.annotate(point.shown(chart.axis.format), (at, value), xytext=(0, 2), textcoords="offset points",
                          ha="center", va="bottom", fontsize=SMALL_PT, color=INK)  # fmt: skip
    axes.set_ylim(0, max(values) * 1.12 or 1)
    axes.set_yticks([])
    axes.set_ylabel(chart.axis.label, fontsize=SMALL_PT, color=SOFT)
    axes.set_xticks(list(places), labels, rotation=90 if turned else 0)
    axes.set_xlabel(chart.across, fontsize=SMALL_PT, color=SOFT, labelpad=3)
    axes.axhline(0, color=RULE, linewidth=1)
    return figure


_DRAWERS: dict[str, Callable[[Chart], Figure]] = {
    "waterfall": _waterfall,
    "bars": _bars,
    "dots": _dots,
    "pairs": _pairs,
    "ranges": _ranges,
    "columns": _columns,
    "control": control,
    "scatter": scatter,
}
