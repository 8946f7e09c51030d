"""The manager's charts of crews and hours."""

from __future__ import annotations

from typing import Any

from pipeline.documents.build import listed, slug
from pipeline.documents.manager_tables import crew_label, several_branches
from pipeline.documents.model import Axis, Chart, Estimate, Figure, Point, Role, Series, Source, Table, Text, say
from pipeline.documents.parts import exact
from pipeline.documents.results import Results

Record = dict[str, Any]


def crews_compared(results: Results, records: list[Record]) -> Chart | None:
    """Each crew's hours against those its houses ask for."""
    shown = [r for r in records if r.get("ratio") is not None]
    if len(shown) < 2:
        return None
    with_branch = several_branches(shown)
    points = tuple(
        Point(
            slug(r["branch"], r["crew"]),
            crew_label(r, with_branch),
            r["ratio"],
            r.get("all_low"),
            r.get("all_high"),
            role=_role(r),
            note=f"{r['hours_per_100_ft']:.2f}" if r.get("hours_per_100_ft") is not None else "",
        )
        for r in shown
    )
    as_expected = Figure("as_expected", "as the houses ask for", 1, "ratio", "ratio", "observed hours equal expected "
                         "hours", Source("decisions.crew_comparison"))  # fmt: skip
    return Chart(
        "crews_compared", "dots", Text((crew_finding(records, with_branch),)),
        Axis("observed / expected hours (1 is the average crew)", "ratio", "ratio"), "crew",
        (Series("ratio", "observed / expected", points),),
        "prep and install hours / those the average crew would have taken for the same houses",
        Source("decisions.crew_comparison", f"season={results.season}"), references=(as_expected,),
    )  # fmt: skip


def _role(record: Record) -> Role:
    if not record.get("told_apart"):
        return "quiet"
    return "bad" if record["ratio"] > 1 else "good"


def crew_finding(records: list[Record], with_branch: bool) -> str:
    """What the comparison says, in words: who takes more or fewer hours, or that nobody can be told apart."""
    apart = [r for r in records if r.get("told_apart") and r.get("ratio") is not None]
    if not apart:
        return "These crews cannot be told apart: their differences are within what chance gives"
    more = listed([crew_label(r, with_branch) for r in apart if r["ratio"] > 1])
    fewer = listed([crew_label(r, with_branch) for r in apart if r["ratio"] <= 1])
    if more and fewer:
        return f"On equal houses {more} took more hours than the average crew, {fewer} fewer"
    return f"On equal houses {more or fewer} took {'more' if more else 'fewer'} hours than the average crew"


def hours_chart(hours: Table, season: int) -> Chart | None:
    """The tasks' hours, from the table of hours; None where there is one task alone."""
    tasks = [r for r in hours.rows if not r.strong]
    if len(tasks) < 2:
        return None
    points = tuple(Point(r.key, str(r.cells[0]).capitalize(), exact(r.cells[1])) for r in tasks if r.cells[1])  # type: ignore[arg-type]
    first = tasks[0]
    share = first.cells[2]
    assert not isinstance(share, Estimate)
    figure = Figure(f"hours.{first.key}.share", "share of hours", share, "share", "of hours", "hours of the task / "
                    "all hours", first.source)  # fmt: skip
    return Chart(
        "hours", "bars", say("{} takes {} of all paid hours", str(first.cells[0]).capitalize(), figure),
        Axis("paid person-hours", "h", "hours"), "task", (Series("hours", "Hours", points),),
        "paid person-hours of the task", Source("measures.task_hours", f"season={season}"),
    )  # fmt: skip
