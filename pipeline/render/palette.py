"""The report's colours and measures. The hues are Okabe and Ito's, which colour-blind readers can tell apart.

A page is light or dark as its reader's system is; paper is light. What a colour says is said by place, shape or
hatching too, so that a black-and-white print loses nothing.
"""

from __future__ import annotations

INK = "#22303a"
SOFT = "#56636b"
RULE = "#d9d4c8"
PAPER = "#fdfcf9"
TINT = "#f4f1ea"

BLUE = "#0072b2"
SKY = "#4a94bd"
GREEN = "#00805f"
RED = "#c04d00"
SAND = "#8f8778"
DEEP = "#00583f"
WARM = "#a04000"

LIGHT = {
    "ink": INK, "soft": SOFT, "rule": RULE, "paper": PAPER, "tint": TINT, "blue": BLUE, "sky": SKY, "green": GREEN,
    "red": RED, "sand": SAND, "deep": DEEP, "warm": WARM,
}  # fmt: skip
DARK = {
    "ink": "#e9e5dc", "soft": "#a7b1b7", "rule": "#3a444b", "paper": "#151b1f", "tint": "#1e262b", "blue": "#58abe0",
    "sky": "#4f8fb3", "green": "#3dbd93", "red": "#f28c50", "sand": "#938d80", "deep": "#5fd0aa", "warm": "#f0a070",
}  # fmt: skip
"""The same colours by name on light and on dark ground."""
TEXT_COLOURS = ("ink", "soft", "deep", "warm")
"""What words are set in: 4.5:1 at least against paper and tint."""
MARK_COLOURS = ("ink", "soft", "blue", "sky", "green", "red", "sand")
"""What charts are drawn in: 3:1 at least against paper."""

ROLE_COLOURS = {"plain": BLUE, "part": SKY, "total": INK, "good": GREEN, "bad": RED, "quiet": SOFT}
"""Colour of a point by what it means."""
ROLE_HATCHES = {"bad": "////"}
"""Hatching of a bar by what it means; others are plain."""
ROLE_MARKS = {"bad": "s", "good": "D"}
"""Shape of a mark by what it means; others are round."""

CHART_WIDTH_IN = 3.5
"""Width of every chart, inches: half a page's, and a telephone's, so that its letters are never made smaller."""
FONT_PT = 8.8
SMALL_PT = 8.0
ROW_IN = 0.25
"""Height of a row of a chart, inches."""
