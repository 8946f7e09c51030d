"""The report's colours and measures. The hues are Okabe and Ito's, which colour-blind readers can tell apart."""

from __future__ import annotations

INK = "#22303a"
SOFT = "#5d6a72"
RULE = "#d9d4c8"
PAPER = "#fdfcf9"

BLUE = "#0072b2"
SKY = "#7fb8d8"
GREEN = "#00805f"
RED = "#c04d00"
SAND = "#b9b2a3"

ROLE_COLOURS = {"plain": BLUE, "part": SKY, "total": INK, "good": GREEN, "bad": RED, "quiet": SOFT}
"""Colour of a point by what it means; position and words say the same, so that none relies on colour."""

CHART_WIDTH_IN = 4.1
"""Width of every chart, inches: narrow, so that its letters stay readable on a telephone."""
FONT_PT = 8.6
SMALL_PT = 7.8
ROW_IN = 0.27
"""Height of a row of a chart, inches."""
