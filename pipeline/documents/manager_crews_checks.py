"""The manager's section on how far the comparison of crews can be trusted: residuals, wild jobs, what one job moves."""

from __future__ import annotations

from typing import Any

from pipeline.documents.build import counted, listed, note, slug
from pipeline.documents.formats import show
from pipeline.documents.manager_crews_tables import wild_table
from pipeline.documents.manager_tables import crew_label, crews, several_branches
from pipeline.documents.model import Axis, Block, Chart, Figure, Point, Section, Series, Source, Text, say
from pipeline.documents.results import Results

Record = dict[str, Any]

MODEL_FIGURES = {
    "jobs": ("jobs compared", "count", "jobs", "jobs behind the comparison of crews"),
    "job_spread": ("spread of jobs", "percent", "of hours", "standard deviation of a job's log hours once crew and "
                   "house are taken out, as a share (restricted maximum likelihood)"),
    "crew_spread": ("spread of crews", "percent", "of hours", "standard deviation of the crews' log hours, as a share "
                    "(restricted maximum likelihood)"),
    "bounded_jobs": ("jobs at the bound", "count", "jobs", "jobs beyond 2 robust standard deviations"),
    "wild_jobs": ("wild jobs", "count", "jobs", "jobs beyond 3.5 robust standard deviations"),
    "most_moved": ("most that one job moves", "share", "of the ratio", "largest change of a crew's ratio when one of "
                   "its jobs is left out"),
}  # fmt: skip
"""Label, format, unit and definition of the figures of decisions.crew_model that are said."""
SCORE = (
    "robust standard deviations by which a job took more hours than the model says of that crew on that house, the "
    "mean of a class bounded at 2; limits hold for all classes at once"
)
LEAST_CHANGE = 0.01
"""Change of a ratio that is spoken of: ratios are printed to two decimals."""
BOUND = 2.0
"""Standard deviations beyond which a job counts as if it lay there, as in decisions.crew_jobs."""


def crew_check_section(results: Results) -> tuple[Section, ...]:
    """How the comparison came out: what jobs scatter, which are wild, and what the answer would be without them."""
    blocks = _checks(results)
    return (Section("crew_checks", "How far the comparison of crews can be trusted", blocks),) if blocks else ()


def _model(results: Results) -> dict[str, Any]:
    return {r["what"]: r["value"] for r in results.rows("decisions.crew_model")}


def _figure(results: Results, what: str) -> Figure:
    label, form, unit, definition = MODEL_FIGURES[what]
    source = Source("decisions.crew_model", f"season={results.season}, what={what}")
    return Figure(f"crew_model.{what}", label, _model(results)[what], form, unit, definition, source)


def _checks(results: Results) -> tuple[Block, ...]:
    if not _model(results):
        return ()
    jobs, bounded = _figure(results, "jobs"), _figure(results, "bounded_jobs")
    spread, apart, moved = (_figure(results, what) for what in ("job_spread", "crew_spread", "most_moved"))
    blocks: list[Block] = [
        note(say("Over {}, two alike still differ by {} of their hours as a rule, and crews by {}.",
                 counted(jobs, "job", "jobs"), spread, apart), "method"),
        note(say("{} further off than two standard deviations and {} as if at that bound, so that a few wild jobs do "
                 "not decide (of jobs along the bell curve 1 in 22 lies so far off). No single job moves its crew's "
                 "ratio by more than {}.", counted(bounded, "job lies", "jobs lie"),
                 "counts" if bounded.value == 1 else "count", moved), "method"),
    ]  # fmt: skip
    picture, wild = residual_chart(results), wild_table(results)
    blocks += [picture] if picture else []
    return (*blocks, note(_without(results), "method"), wild) if wild else tuple(blocks)


def _without(results: Results) -> Text:
    """What the crews' ratios would be without the wild jobs."""
    rows = [r for r in crews(results) if r.get("ratio") is not None and r.get("without_wild_ratio") is not None]
    if not rows:
        return Text(("Without the wild jobs too few would be left to compare crews.",))
    most = max(rows, key=lambda r: abs(r["without_wild_ratio"] - r["ratio"]))
    if abs(most["without_wild_ratio"] - most["ratio"]) < LEAST_CHANGE:
        return Text((f"Without the wild jobs below no crew's ratio would change by {LEAST_CHANGE}.",))
    source = Source("decisions.crew_comparison", f"season={results.season}, crew={most['crew']}")
    figures = [
        Figure(f"wild.{slug(most['branch'], most['crew'])}.{key}", label, most[key], "ratio", "ratio",
               "observed / expected hours", source)
        for key, label in (("ratio", "ratio with all jobs"), ("without_wild_ratio", "ratio without the wild jobs"))
    ]  # fmt: skip
    return say("Without the wild jobs below, the ratio that changes most is that of {}, from {} to {}.",
               crew_label(most, several_branches(rows)), *figures)  # fmt: skip


def residual_chart(results: Results) -> Chart | None:
    """Residuals of jobs against the hours that the model says, classes of jobs across them, and wild jobs by number."""
    classes = results.rows("decisions.crew_residuals")
    if not classes:
        return None
    jobs = results.rows("decisions.crew_jobs")
    wild = sorted((r for r in jobs if r["is_wild"]), key=lambda r: (r["fitted_hours"], str(r["job_no"])))
    series = [Series("class", "means of classes of jobs", tuple(map(_class_point, classes)))]
    if wild:
        series.append(Series("wild", "wild jobs", tuple(_wild_point(r, several_branches(jobs)) for r in wild)))
    lines = [
        Figure(f"residual_line.{key}", label, value, "number", "standard deviations", SCORE,
               Source("decisions.crew_jobs"))
        for key, label, value in (("none", "model", 0.0), ("above", "bound", BOUND), ("below", "bound", -BOUND))
    ]  # fmt: skip
    return Chart(
        "crew_residuals", "scatter", _finding(results, classes),
        Axis("standard deviations above the model", "standard deviations", "number"),
        "hours that the model says of the crew and the house", tuple(series), SCORE,
        Source("decisions.crew_residuals", f"season={results.season}"), references=tuple(lines),
        cloud=tuple((r["fitted_hours"], r["score"]) for r in jobs if not r["is_wild"]),
    )  # fmt: skip


def _class_point(record: Record) -> Point:
    between = f"{show(record['least_hours'], 'days')} to {show(record['most_hours'], 'days')} h"
    return Point(str(record["class"]), between, record["score"], record["low"], record["high"],
                 at=record["middle_hours"])  # fmt: skip


def _wild_point(record: Record, with_branch: bool) -> Point:
    where = f" in {record['branch']}" if with_branch else ""
    return Point(
        slug(record["branch"], record["job_no"]), f"job {record['job_no']}{where}, {record['crew']}", record["score"],
        role="bad" if record["score"] > 0 else "good", note=str(record["job_no"]), at=record["fitted_hours"],
    )  # fmt: skip


def _finding(results: Results, classes: list[Record]) -> Text:
    """Whether the model fits small jobs as it fits large ones, and how many jobs are wild."""
    off = [f"jobs of {_class_point(r).label} took {r['told']}" for r in classes if r["told"] != "even"]
    figure = _figure(results, "wild_jobs")
    wild = counted(figure, "wild job lies far off", "wild jobs lie far off") if figure.value else "no job lies far off"
    if off:
        return say("The model does not fit every size: {} than it says; {}", listed(off), wild)
    return say("Jobs scatter evenly about the model, the small as the large; {}", wild)
