"""What is said in the terminal: findings by kind with the worst first, and the guide, within the screen's width."""

from __future__ import annotations

import textwrap
from collections.abc import Iterable, Sequence
from typing import Any

from pipeline.documents.findings import group_findings, place, rule_words
from pipeline.documents.guide import Entry
from pipeline.documents.trace import Traced, sum_of
from pipeline.workbook.folder import plain_name

Record = dict[str, Any]

SEVERITIES = {
    "error": "errors, whose rows are rejected",
    "held": "findings that hold a row for another's sake",
    "warning": "warnings, whose rows are accepted",
}
"""What a finding of each severity means for its row; notes are in the report alone."""
EXAMPLES = 3
"""Kinds of finding that are shown with their first one in full."""
LINES_OF_AN_EXAMPLE = 3
"""Lines that it may take; the report has all of it."""
TERM_WIDTH = 22
"""Columns for a term of the guide; a longer one has a line of its own."""


def _wrapped(text: str, width: int, indent: str, most: int | None = None) -> list[str]:
    """A text in lines; where they are more than `most`, cut off with three dots."""
    return textwrap.wrap(
        plain_name(text), max(width, 40), initial_indent=indent, subsequent_indent=indent, max_lines=most,
        placeholder=" ...", break_long_words=True,
    )  # fmt: skip


def message(finding: Record) -> str:
    """A finding as a sentence: where it is, what is wrong and how to put it right."""
    where = place(finding)
    return f"{where + ': ' if where else ''}{finding['message']}; {finding['remedy']}"


def _counted(severity: str, kinds: Sequence[Record]) -> str:
    return f"  {sum(kind['count'] for kind in kinds if kind['severity'] == severity):,} {SEVERITIES[severity]}"


def message_lines(findings: Iterable[Record], *, width: int, most: int) -> list[str]:
    """Findings by kind, the worst first: how many there are, and the first of the worst kinds in full.

    At most `most` lines (5 or more) of `width` columns; the last says how many kinds are left.
    """
    kinds = [kind for kind in group_findings(list(findings)) if kind["severity"] in SEVERITIES]
    lines: list[str] = []
    severity = None
    for number, kind in enumerate(kinds):
        more = [] if kind["severity"] == severity else [_counted(kind["severity"], kinds)]
        severity = kind["severity"]
        more += _wrapped(f"{kind['count']:>6,}  {rule_words(kind['rule'])}", width, "", 1)
        example = _wrapped(message(kind["first"]), width, " " * 8, LINES_OF_AN_EXAMPLE)
        left = len(kinds) - number
        if number < EXAMPLES and len(lines) + len(more) + len(example) < most:
            more += example
        if len(lines) + len(more) + (left > 1) > most:
            lines.append(f"  and {left} more {'kind' if left == 1 else 'kinds'} in the intake report")
            break
        lines += more
    return lines


def _entry_lines(entry: Entry, width: int) -> list[str]:
    lines = [f"{entry.name} ({entry.what})", *_wrapped(entry.about, width, "  ")]
    for term, text in entry.lines:
        if not term:
            lines += _wrapped(text, width, "  ")
            continue
        rest = textwrap.wrap(text, max(width - TERM_WIDTH - 4, 30)) or [""]
        head = f"  {term}"
        if len(head) > TERM_WIDTH + 2:
            lines.append(head)
            head = ""
        lines.append(f"{head:<{TERM_WIDTH + 4}}{rest[0]}")
        lines += [" " * (TERM_WIDTH + 4) + more for more in rest[1:]]
    return lines


def guide_lines(entries: Sequence[Entry], *, width: int) -> list[str]:
    """Entries of the guide, a blank line between two."""
    lines: list[str] = []
    for entry in entries:
        lines += [*([""] if lines else []), *_entry_lines(entry, width)]
    return lines


def _number(value: Any, places: int) -> str:
    return "" if value is None else f"{value:,.{places}f}"


def _trace_line(line: Record, width: int) -> list[str]:
    figures = (
        f"{_number(line['quantity'], 2):>10} {(line['unit'] or ''):<8}"
        f"{_number(line['rate_usd'], 4):>10} {_number(line['amount_usd'], 4):>12}"
    )
    room = max(width - len(figures) - 4, 20)
    what = textwrap.wrap(plain_name(line["what"]), room) or [""]
    origin = ""
    if line["source_file"]:
        sheet = f", {line['source_sheet']}" if line["source_sheet"] else ""
        origin = f"; {line['source_file']}{sheet}, row {line['source_row']}"
    lines = [f"  {what[0]:<{room}}  {figures}".rstrip(), *(f"  {more}" for more in what[1:])]
    return lines + _wrapped(f"{line['rule']}{origin}", width, "      ")


def trace_lines(traced: Traced, *, width: int) -> list[str]:
    """A figure's lines by part, each with quantity, rate and amount, and under it the rule and the row."""
    lines = [traced.title]
    for word, text in traced.facts:
        head, *rest = textwrap.wrap(plain_name(text), max(width - 14, 40)) or [""]
        lines += [f"  {word + ':':<12}{head}", *(f"{'':<14}{more}" for more in rest)]
    part = None
    for line in traced.lines:
        if line["part"] != part:
            part = line["part"]
            total = sum_of((own for own in traced.lines if own["part"] == part), traced.measure)
            lines += ["", f"{part}: {total:,.2f} {traced.unit}" if traced.adds_up else f"{part}"]
        lines += _trace_line(line, width)
    lines += ["", f"sum of the lines: {traced.sum:,.2f} {traced.unit}"] if traced.adds_up else [""]
    for said in traced.notes:
        lines += _wrapped(said, width, "")
    return lines
