"""Findings of the intake: grouped by rule with the worst first, drawn, and listed."""

from __future__ import annotations

from typing import Any

from pipeline.documents.build import counted, note, row, slug, table
from pipeline.documents.columns import prose, words
from pipeline.documents.model import Axis, Chart, Column, Figure, Point, Role, Section, Series, Source, Text, say
from pipeline.documents.results import Results

Record = dict[str, Any]

SEVERITY_ORDER = {"error": 0, "held": 1, "warning": 2, "note": 3}
SEVERITY_ROLES: dict[str, Role] = {"error": "bad", "held": "quiet"}
MOST_LISTED = 10_000
"""Findings printed one by one, of a page that a browser still opens; the store has all."""
MOST_DRAWN = 10
"""Rules drawn."""
COUNT = Column("count", "Findings", "findings", "count", "rows or cells that break this rule")


def group_findings(findings: list[Record]) -> list[Record]:
    """Findings counted by rule and severity, the worst first, with the first of each.

    Worst are those that took a whole file or sheet, then errors, then the most frequent.
    """
    groups: dict[tuple[str, str], list[Record]] = {}
    for finding in findings:
        groups.setdefault((finding["severity"], finding["rule"]), []).append(finding)
    kinds = [
        {"severity": severity, "rule": rule, "count": len(rows), "first": rows[0]}
        for (severity, rule), rows in groups.items()
    ]
    return sorted(
        kinds,
        key=lambda kind: (
            SEVERITY_ORDER.get(kind["severity"], 4),
            kind["first"]["source_row"] is not None,
            -kind["count"],
            kind["rule"],
        ),
    )


def by_rule(results: Results) -> list[Record]:
    """The season's findings by rule and severity, the worst first, each with an example in words."""
    return [
        kind
        | {
            "words": rule_words(kind["rule"]),
            "example": f"{place(kind['first'])}: {kind['first']['message']}",
            "remedy": kind["first"]["remedy"],
        }
        for kind in group_findings(results.rows("audit.findings"))
    ]


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
    """What to mend first, in a sentence: what most rows wait for, else the commonest error or warning."""
    rules = by_rule(results)
    held = [rule for rule in rules if rule["severity"] == "held"]
    wrong = [rule for rule in rules if rule["severity"] in ("error", "warning")]
    if held and (not wrong or held[0]["count"] > wrong[0]["count"]):
        rows = counted(_count_figure(held[0], results), "row is", "rows are")
        if held[0]["rule"] == "the_job_was_accepted":
            return say("Put the rejected jobs right first: {} held for their sake.", rows)
        return say("Mend first what breaks the rule {}: {} held for it.", _quoted(held[0]), rows)
    if not wrong:
        return Text(("There is nothing to mend.",))
    findings = counted(_count_figure(wrong[0], results), "finding", "findings")
    return say("Mend first what breaks the rule {} ({}).", _quoted(wrong[0]), findings)


def _quoted(rule: Record) -> str:
    return f"\N{LEFT DOUBLE QUOTATION MARK}{rule['words']}\N{RIGHT DOUBLE QUOTATION MARK}"


def rule_chart(results: Results) -> Chart | None:
    """The commonest errors and warnings."""
    worst = (rule for rule in by_rule(results) if rule["severity"] != "note")
    rules = sorted(worst, key=lambda r: -r["count"])[:MOST_DRAWN]
    if len(rules) < 2:
        return None
    points = tuple(
        Point(slug(r["severity"], r["rule"]), r["words"].capitalize(), r["count"],
              role=SEVERITY_ROLES.get(r["severity"], "plain"))
        for r in rules
    )  # fmt: skip
    title = say("The rule most often broken: {}", rules[0]["words"])
    return Chart(
        "rules", "bars", title, Axis("findings", "findings", "count"),
        "rule", (Series("count", "Findings", points),), COUNT.definition,
        Source("audit.findings", f"season={results.season}"),
    )  # fmt: skip


def rules_section(results: Results) -> Section:
    """Findings by rule, the worst first, with an example of each."""
    rules = by_rule(results)
    if not rules:
        return Section("findings", "Findings", (note("No row broke a rule."),))
    columns = (words("severity", "Kind"), words("words", "Rule"), COUNT, prose("example", "For example"),
               prose("remedy", "How to mend it"))  # fmt: skip
    rows = [row(r, columns, slug(r["severity"], r["rule"]), _count_figure(r, results).source) for r in rules]
    return Section("findings", "Findings", (table("rules", "Findings by rule", columns, rows),))


def _listed(findings: list[Record]) -> list[Record]:
    """The findings to print: by severity, and no more than a page holds."""
    return sorted(findings, key=lambda f: SEVERITY_ORDER.get(f["severity"], 4))[:MOST_LISTED]


def list_section(results: Results) -> tuple[Section, ...]:
    """Findings one by one; nothing where there are none."""
    findings = results.rows("audit.findings")
    if not findings:
        return ()
    columns = (words("severity", "Kind"), prose("where", "Where"), words("value", "Value"), prose("message", "What"),
               prose("remedy", "How to mend it"))  # fmt: skip
    source = Source("audit.findings", f"season={results.season}")
    rows = [
        row(f | {"where": place(f), "value": f["value"] or ""}, columns, str(number), source)
        for number, f in enumerate(_listed(findings), start=1)
    ]
    footnote = None
    if len(rows) < len(findings):
        shown = Figure("findings_listed", "findings listed", len(rows), "count", "findings",
                       "findings printed one by one", source)  # fmt: skip
        whole = Figure("findings", "findings", len(findings), "count", "findings", "all findings of the season", source)
        footnote = say(
            "{} of {} findings are listed, the worst first; all are in the store, audit.findings.", shown, whole
        )
    return (Section("list", "Every finding", (table("findings", "Findings one by one", columns, rows, footnote),)),)
