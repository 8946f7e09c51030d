"""A scatter: a cloud of places, estimates across it with their intervals, and the places that have a name."""

from __future__ import annotations

from typing import TYPE_CHECKING

from pipeline.documents.formats import show
from pipeline.documents.model import Chart, Point
from pipeline.render import canvas
from pipeline.render.palette import BLUE, INK, ROLE_COLOURS, ROLE_MARKS, SMALL_PT, SOFT

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

PLOT_IN = 2.6
LEFT_IN = 0.5
TOP_IN = 0.32
BOTTOM_IN = 0.42
CLOUD_PT = 2.6
NAMED_PT = 5.2
SPARE = 0.08
"""Room beyond the outermost places, as a share of the axis: a mark at the edge is drawn whole."""
TICKS = (0.5, 1, 2, 5, 10, 20, 50, 100, 200, 500)
"""Numbers that are written across, whose steps are alike on a logarithmic scale."""


def scatter(chart: Chart) -> Figure:
    """The first series are estimates across the cloud, the second places of it with their names beside them."""
    figure, axes = canvas.sheet(PLOT_IN + TOP_IN + BOTTOM_IN, LEFT_IN, 0.12, TOP_IN, BOTTOM_IN)
    for line in chart.references:
        axes.axhline(float(line.value or 0), color=INK, linewidth=0.9, linestyle=(0, (3, 2)), zorder=1)  # type: ignore[arg-type]
    across, up = zip(*chart.cloud, strict=True) if chart.cloud else ((), ())
    axes.plot(across, up, "o", color=SOFT, alpha=0.45, markersize=CLOUD_PT, markeredgewidth=0)
    for draw, series in zip((_estimate, _named), chart.series, strict=False):
        for point in series.points:
            draw(axes, point)
    axes.set_xscale("log")
    axes.margins(x=SPARE, y=SPARE)
    low, high = axes.get_xlim()
    ticks = [tick for tick in TICKS if low <= tick <= high]
    axes.set_xticks(ticks, [show(tick, "hours") for tick in ticks])
    axes.minorticks_off()
    axes.yaxis.set_major_formatter(lambda value, _: show(round(value, 6), "count"))
    axes.locator_params(axis="y", nbins=7)
    axes.set_xlabel(chart.across, fontsize=SMALL_PT, color=SOFT, labelpad=3)
    axes.set_ylabel(chart.axis.label, fontsize=SMALL_PT, color=SOFT)
    canvas.grid(axes, "y")
    lines = "   ".join(dict.fromkeys(f"- - {line.label}" for line in chart.references))
    for text, at, side in ((f"squares: {chart.series[0].label}", 0, "left"), (lines, 1, "right")):
        axes.annotate(text, (at, 1), xycoords="axes fraction", xytext=(0, 8), textcoords="offset points",
                      fontsize=SMALL_PT, color=SOFT, va="center", ha=side)  # fmt: skip
    return figure


def _estimate(axes: Axes, point: Point) -> None:
    at = float(point.at or 1)
    if point.low is not None and point.high is not None:
        axes.plot([at, at], [float(point.low), float(point.high)], color=BLUE, linewidth=1.6, zorder=3)
    axes.plot([at], [float(point.value)], "s", color=BLUE, markersize=NAMED_PT, zorder=3)


def _named(axes: Axes, point: Point) -> None:
    at, value, colour = float(point.at or 1), float(point.value), ROLE_COLOURS[point.role]
    axes.plot([at], [value], ROLE_MARKS.get(point.role, "o"), color=colour, markersize=NAMED_PT, zorder=4)
    above = value > 0
    axes.annotate(point.note or point.label, (at, value), xytext=(0, 6 if above else -6), textcoords="offset points",
                  ha="center", va="bottom" if above else "top", fontsize=SMALL_PT, color=colour)  # fmt: skip
