"""What is missing from the season's costs, and what it, or one step of it, would add to a foot: estimates."""

from __future__ import annotations

from typing import Any

from pipeline.documents.build import rows_by, table
from pipeline.documents.columns import prose, words
from pipeline.documents.model import Block, Column
from pipeline.documents.results import Results

Record = dict[str, Any]

MOST_ROWS = 12
"""Rows of the table: an owner mends the dearest first, and the store has them all."""

THINGS: dict[str, tuple[str, str]] = {
    "state_unemployment": (
        "the state's unemployment rate",
        "each 1 % of pay: at least up to the federal base, at most on all pay; the state says up to which",
    ),
    "compensation": ("the rate of workers' compensation of {}", "each 1 % of their pay without the overtime premium"),
    "owner_wage": ("the owner's wage", "each $10 for an hour of the owner's"),
    "wage": ("the wage of some hours", "all of them, at the firm's median loaded hour"),
    "price": ("the price of {}", "all of it, at the median unit cost of its kind; leased goods over their life"),
    "miles": ("the miles of some jobs", "all of them, at the median travel of the other jobs"),
    "hours": ("the hours of some jobs", "all of them, at the median labor a foot of the other jobs"),
    "stock_counts": ("stock counts at both ends of the season", "each 1 % of the goods issued that is gone"),
}
"""What each thing is called, and which step of it the amounts are of."""

_NOBODY = {"compensation": "workers without a role"}
"""What stands for a thing that has no name of its own."""


def missing_costs(results: Results) -> tuple[Block, ...]:
    """The table of what is missing and what it would change; none where nothing is missing."""
    found = [record for record in results.rows("measures.missing_costs") if record["feet"]]
    if not found:
        return ()
    dearest = sorted(found, key=lambda record: (-(record["high_usd"] or 0), record["thing"], record["about"] or ""))
    shown = [_said(record) for record in dearest[:MOST_ROWS]]
    columns = (
        prose("what", "What is missing"),
        Column("quantity", "How much", "units", "count", "how much of it the season has, in the unit beside it"),
        words("unit", "Unit"),
        prose("step", "What would be added"),
        Column("low_usd_per_ft", "At least", "usd/ft", "rate", "estimate: that amount over the season's feet"),
        Column("high_usd_per_ft", "At most", "usd/ft", "rate", "estimate: that amount over the season's feet"),
    )
    footnote = "Estimates, and in no figure of cost. Where the firm's own records give no median, none is given."
    if len(found) > MOST_ROWS:
        footnote += f" The {MOST_ROWS} dearest are shown; the store's measures.missing_costs has all."
    rows = rows_by(shown, columns, "measures.missing_costs", ("season", "thing", "about"))
    return (table("missing_costs", "What is missing, and what it would change", columns, rows, footnote),)


def _said(record: Record) -> Record:
    what, step = THINGS[record["thing"]]
    return record | {"what": what.format(record["about"] or _NOBODY.get(record["thing"], "")), "step": step}
