"""A figure and the lines that it is made of, each with its rate, quantity, amount, rule and row."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field, replace
from decimal import Decimal
from typing import Any

from pipeline.documents.parts import PARTS

Record = dict[str, Any]

CENT = Decimal("0.01")
CENTS_PLACED = "cents, placed so that the part adds up over all jobs"
"""What a part in cents has more or less than its exact lines: under a cent."""


@dataclass(frozen=True)
class Traced:
    """A figure by name, its value, and its lines.

    `measure` is the column of the lines that adds up to the value: amount_usd or quantity; `unit` is that of the value.
    `facts` say what the figure is, each a word and its text; `adds_up` is False where the lines are the rows that it
    was read from, whose sum means nothing.
    """

    name: str
    title: str
    value: Decimal
    unit: str
    lines: tuple[Record, ...]
    measure: str = "amount_usd"
    notes: tuple[str, ...] = field(default=())
    facts: tuple[tuple[str, str], ...] = ()
    adds_up: bool = True

    @property
    def sum(self) -> Decimal:
        """The sum of the lines: it is the value."""
        return sum((line[self.measure] or Decimal(0) for line in self.lines), Decimal(0))


def sum_of(lines: Iterable[Record], measure: str = "amount_usd") -> Decimal:
    """The sum of some lines."""
    return sum((line[measure] or Decimal(0) for line in lines), Decimal(0))


def rounding_line(part: str, amount: Decimal, rule: str = CENTS_PLACED) -> Record:
    """The line of what rounding adds or takes."""
    return {
        "part": part, "what": "rounding", "quantity": None, "unit": None, "rate_usd": None, "amount_usd": amount,
        "rule": rule, "source_file": None, "source_sheet": None, "source_row": None,
    }  # fmt: skip


def job_traced(job: Record, lines: Sequence[Record]) -> Traced:
    """A job's cost with its lines, part by part, each ended by what rounding to cents adds.

    Raises ValueError where the lines of a part are further than a cent from what the job bears: they are not its lines.
    """
    ordered: list[Record] = []
    for key, _ in PARTS:
        own = [line for line in lines if line["part"] == key]
        value = job[f"{key}_usd"]
        if value is None:
            continue
        rest = Decimal(value) - sum_of(own)
        if abs(rest) > CENT:
            raise ValueError(f"the lines of {key} of job {job['job_no']} come to {sum_of(own)}, not to {value}")
        ordered += own
        if rest:
            ordered.append(rounding_line(key, rest))
    total, feet = Decimal(job["total_usd"]), job["feet"]
    per_foot = f", {total / feet:.2f} a foot over {feet.normalize():f} ft" if feet else ""
    notes = [f"Understated: {job['understated_why']}."] if job["is_understated"] else []
    if not job["is_final"]:
        notes.append("The lines are still up: the cost is not final.")
    return Traced(
        name=f"job {job['season']} {job['job_no']}",
        title=f"Job {job['job_no']}, {job['branch']}, season {job['season']}: cost {total:,.2f} usd{per_foot}",
        value=total,
        unit="usd",
        lines=tuple(ordered),
        notes=tuple(notes),
    )


def _price_line(
    what: str, quantity: float | None, unit: str, amount: Decimal, rule: str, part: str = "price"
) -> Record:
    return {
        "part": part, "what": what, "quantity": quantity, "unit": unit, "rate_usd": None, "amount_usd": amount,
        "rule": rule, "source_file": None, "source_sheet": None, "source_row": None,
    }  # fmt: skip


def price_traced(price: Record, forecast: Sequence[Record], margin: Decimal) -> Traced:
    """A price of the price table with its lines: next season's parts, what seasons and jobs may differ by, the margin.

    `price` is a row of decisions.price_table, `forecast` decisions.cost_forecast of the same season (usd a foot),
    `margin` the target margin. The lines add up to the price exactly.
    """
    cents = Decimal("0.000001")
    value = Decimal(str(price["price_usd_per_ft"]))
    lines = [
        _price_line(
            f"{line['now_usd_per_ft']:.4f} now, changed by {line['rise_share'] * 100:+.1f} %",
            None,
            "usd/ft",
            Decimal(str(line["next_usd_per_ft"])).quantize(cents),
            line["why"],
            line["part"],
        )
        for line in forecast
        if line["part"] != "all"
    ]
    chance = f"{price['chance'] * 100:.0f} %"
    left = (value * margin).quantize(cents)
    spread = value - left - sum_of(lines)
    rule = "how far jobs and seasons differ, at that chance, and the step that prices are rounded up to"
    lines.append(_price_line(f"to be enough with a chance of {chance}", None, "usd/ft", spread, rule))
    lines.append(_price_line("target margin", float(margin), "of price", left, "price = cost / (1 - margin)"))
    return Traced(
        name=f"price {price['season']} {chance}",
        title=f"Price of season {price['season']} that keeps {margin * 100:.0f} % with a chance of {chance}: "
        f"{value:,.2f} usd a foot",
        value=value,
        unit="usd/ft",
        lines=tuple(lines),
    )


def rounded(traced: Traced, most: Decimal, rule: str) -> Traced:
    """The trace with a last line for what rounding adds; raises ValueError where that is more than `most`."""
    rest = traced.value - traced.sum
    if abs(rest) > most:
        raise ValueError(f"the lines of {traced.name} come to {traced.sum}, not to {traced.value}")
    if not rest:
        return traced
    part = traced.lines[-1]["part"] if traced.lines else "cost"
    line = rounding_line(part, rest, rule)
    return replace(traced, lines=(*traced.lines, line))
