"""A control chart: rates by week between the limits of each week."""

from __future__ import annotations

from typing import TYPE_CHECKING

from pipeline.documents.formats import show
from pipeline.documents.model import Chart
from pipeline.render import canvas
from pipeline.render.palette import INK, ROLE_COLOURS, SAND, SKY, SMALL_PT, SOFT

if TYPE_CHECKING:
    from matplotlib.figure import Figure

PLOT_IN = 2.1
LEFT_IN = 0.55
TOP_IN = 0.32
ABOVE = 1.25
"""Room above the highest rate and the middle limit; the limits of weeks that were hardly lit run out of the frame."""
MOST_LABELS = 5
"""Labels that stand beside each other without touching; with more weeks every second or third is named."""
BOTTOM_IN = 0.42


def _top(values: list[float], high: list[float]) -> float:
    return ABOVE * max(*values, sorted(high)[len(high) // 2]) or 1


def control(chart: Chart) -> Figure:
    """Points joined in order, their limits as steps; points beyond are larger, and named."""
    points = chart.series[0].points
    figure, axes = canvas.sheet(PLOT_IN + TOP_IN + BOTTOM_IN, LEFT_IN, 0.12, TOP_IN, BOTTOM_IN)
    places = list(range(len(points)))
    values = [float(point.value) for point in points]
    low, high = ([float(end or 0) for end in ends] for ends in zip(*((p.low, p.high) for p in points), strict=True))
    edges = [-0.5, *(place + 0.5 for place in places)]
    axes.stairs(high, edges, baseline=low, fill=True, color=SKY, alpha=0.35)
    axes.stairs(high, edges, color=SOFT, linewidth=0.7)
    axes.stairs(low, edges, color=SOFT, linewidth=0.7)
    for line in chart.references:
        axes.axhline(float(line.value or 0), color=INK, linewidth=0.9, linestyle=(0, (3, 2)))  # type: ignore[arg-type]
    axes.plot(places, values, color=SAND, linewidth=1)
    for place, value, point in zip(places, values, points, strict=True):
        beyond = point.role == "bad"
        axes.plot(
            [place], [value], "D" if beyond else "o", color=ROLE_COLOURS[point.role], markersize=7 if beyond else 4
        )
        if beyond:
            axes.annotate(point.label, (place, value), xytext=(0, 6), textcoords="offset points", ha="center",
                          va="bottom", fontsize=SMALL_PT, color=ROLE_COLOURS["bad"])  # fmt: skip
    axes.set_ylim(0, _top(values, high))
    axes.set_xlim(edges[0], edges[-1])
    step = -(-len(places) // MOST_LABELS)
    axes.set_xticks(places[::step], [point.label for point in points[::step]])
    axes.yaxis.set_major_formatter(lambda value, _: show(round(value, 6), "number"))
    axes.locator_params(axis="y", nbins=5)
    axes.set_xlabel(chart.across, fontsize=SMALL_PT, color=SOFT, labelpad=3)
    canvas.grid(axes, "y")
    words = "   ".join(f"- - {line.label}: {show(line.value, line.format)}" for line in chart.references)
    for text, at, side in (("shaded: the week's limits", 0, "left"), (words, 1, "right")):
        axes.annotate(text, (at, 1), xycoords="axes fraction", xytext=(0, 8), textcoords="offset points",
                      fontsize=SMALL_PT, color=SOFT, va="center", ha=side)  # fmt: skip
    return figure
