"""Findings of the intake: grouped by rule with the worst first, drawn, and listed."""

from __future__ import annotations

from typing import Any

from pipeline.documents.build import counted, note, row, slug, table
from pipeline.documents.columns import prose, words
from pipeline.documents.model import Axis, Block, Chart, Column, Figure, Point, Section, Series, Source, Text, say
from pipeline.documents.results import Results

Record = dict[str, Any]

SEVERITY_ORDER = {"error": 0, "held": 1, "warning": 2, "note": 3}
MOST_LISTED = 200
"""Findings printed one by one; the store has all."""
MOST_DRAWN = 10
"""Rules drawn."""
COUNT = Column("count", "Findings", "findings", "count", "rows or cells that break this rule")


def by_rule(results: Results) -> list[Record]:
    """Findings counted by rule and severity: errors first, then the most frequent; an example of each."""
    groups: dict[tuple[str, str], list[Record]] = {}
    for finding in results.rows("audit.findings"):
        groups.setdefault((finding["severity"], finding["rule"]), []).append(finding)
    counted_rules = [
        {
            "severity": severity,
            "rule": rule,
            "words": rule_words(rule),
            "count": len(rows),
            "example": f"{place(rows[0])}: {rows[0]['message']}",
            "remedy": rows[0]["remedy"],
        }
        for (severity, rule), rows in groups.items()
    ]
    return sorted(counted_rules, key=lambda r: (SEVERITY_ORDER.get(r["severity"], 4), -r["count"], r["rule"]))


def rule_words(rule: str) -> str:
    """A rule's name as words."""
    return str(rule).replace("_", " ")


def place(finding: Record) -> str:
    """Where a finding is: file, sheet, row and column, as far as each is known."""
    parts = [finding["source_file"], finding["source_sheet"]]
    if finding["source_row"] is not None:
        parts.append(f"row {finding['source_row']}")
    parts.append(finding["column_name"])
    return ", ".join(str(part) for part in parts if part)


def _count_figure(rule: Record, results: Results) -> Figure:
    return Figure(
        f"rules.{slug(rule['severity'], rule['rule'])}.count", rule["words"], rule["count"], "count", "findings",
        COUNT.definition,
        Source("audit.findings", f"season={results.season}, severity={rule['severity']}, rule={rule['rule']}"),
    )  # fmt: skip


def to_fix_first(results: Results) -> Text:
    """What to mend first, in a sentence."""
    rules = [rule for rule in by_rule(results) if rule["severity"] in ("error", "warning")]
    if not rules:
        return Text(("There is nothing to mend.",))
    first = rules[0]
    many = counted(_count_figure(first, results), "finding", "findings")
    return say(
        "Mend first what breaks the rule \N{LEFT DOUBLE QUOTATION MARK}{}\N{RIGHT DOUBLE QUOTATION MARK} ({}).",
        first["words"],
        many,
    )


def rule_chart(results: Results) -> Chart | None:
    """The commonest errors and warnings."""
    worst = (rule for rule in by_rule(results) if rule["severity"] != "note")
    rules = sorted(worst, key=lambda r: -r["count"])[:MOST_DRAWN]
    if len(rules) < 2:
        return None
    points = tuple(
        Point(slug(r["severity"], r["rule"]), r["words"].capitalize(), r["count"],
              role="bad" if r["severity"] in ("error", "held") else "plain")
        for r in rules
    )  # fmt: skip
    title = say("The rule most often broken: {}", rules[0]["words"])
    return Chart(
        "rules", "bars", title, Axis("findings", "findings", "count"),
        "rule", (Series("count", "Findings", points),), COUNT.definition,
        Source("audit.findings", f"season={results.season}"),
    )  # fmt: skip


def findings_section(results: Results) -> Section:
    """Findings by rule, then one by one."""
    rules = by_rule(results)
    if not rules:
        return Section("findings", "Findings", (note("No row broke a rule."),))
    columns = (words("severity", "Kind"), words("words", "Rule"), COUNT, prose("example", "For example"),
               prose("remedy", "How to mend it"))  # fmt: skip
    rows = [row(r, columns, slug(r["severity"], r["rule"]), _count_figure(r, results).source) for r in rules]
    return Section("findings", "Findings", (table("rules", "Findings by rule", columns, rows), *_one_by_one(results)))


def _one_by_one(results: Results) -> tuple[Block, ...]:
    findings = results.rows("audit.findings")
    findings.sort(key=lambda f: SEVERITY_ORDER.get(f["severity"], 4))
    columns = (words("severity", "Kind"), prose("where", "Where"), words("value", "Value"), prose("message", "What"),
               prose("remedy", "How to mend it"))  # fmt: skip
    rows = [
        row(f | {"where": place(f), "value": f["value"] or ""}, columns, str(number), Source("audit.findings"))
        for number, f in enumerate(findings[:MOST_LISTED], start=1)
    ]
    shown = Figure("findings_listed", "findings listed", len(rows), "count", "findings", "findings printed one by one",
                   Source("audit.findings", f"season={results.season}"))  # fmt: skip
    whole = Figure("findings", "findings", len(findings), "count", "findings", "all findings of the season",
                   Source("audit.findings", f"season={results.season}"))  # fmt: skip
    footnote = None
    if len(findings) > MOST_LISTED:
        footnote = say("{} of {} findings are listed; all of them are in the store, audit.findings.", shown, whole)
    return (table("findings", "Findings one by one", columns, rows, footnote),)
