"""Words that mean something to a program on the way, or are hard to set; put into every column of words."""

from __future__ import annotations

import polars as pl
from support.made_results import made_tables

MARKUP = "<script>alert('x')</script><img src=x onerror=y> {{ 7*7 }} $a_b$ & \"q\""
WORDS = {
    "markup": MARKUP,
    "template": "{% raw %}{{ config }}{% endraw %} {} {0} %s",
    "typesetting": '#eval("1 + 1") #{ panic() } *a* _b_ $x^2$ @ref <label> // not a comment \\',
    "a formula": '=HYPERLINK("a.xlsx", "open") +1 -1 @SUM(A1)',
    "a long word": "W" * 300,
    "a name of 300 letters": ("Maple and Sons Rooflines " * 12)[:300],
    "right to left": "\u05d0\u05d1\u05d2 \u0645\u0631\u062d\u0628\u0627",
    "signs of no language": "\U0001f384\U0001f468\u200d\U0001f469\u200d\U0001f467 \u6f22\u5b57 \u2603",
    "two lines": "one\ntwo\ttabbed",
    "a control sign": "bell\x07 escape\x1b[31m",
}
"""Each kind of hard text."""

COLUMNS = {
    "decisions.order_lines": ("item_no", "supplier", "colour", "why"),
    "measures.job_cost": ("job_no", "crew"),
    "measures.crew_hours": ("crew",),
    "decisions.crew_comparison": ("crew",),
    "measures.segment_cost": ("segment",),
    "measures.failure_causes": ("cause",),
    "audit.findings": ("value", "message", "source_file", "rule"),
    "audit.intake": ("source_sheet", "left_out", "note"),
}
"""Columns that hold people's words."""


def hostile_tables(words: str) -> dict[str, pl.DataFrame]:
    """A made season's tables with these words, and a number, in every column of words."""
    tables = made_tables()
    for name, columns in COLUMNS.items():
        marks = pl.Series([f"{words} {n}" for n in range(tables[name].height)])
        tables[name] = tables[name].with_columns(*(marks.alias(column) for column in columns))
    return tables
