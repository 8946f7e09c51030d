"""The manager's tables: crews, hours, failures, the price of a connection, causes, calls."""

from __future__ import annotations

from typing import Any

from pipeline.documents.build import row, rows_by, slug, table, without_empty
from pipeline.documents.columns import column, estimate, ratio, words
from pipeline.documents.model import Column, Row, Source, Table
from pipeline.documents.parts import share_of, total
from pipeline.documents.results import Results

Record = dict[str, Any]

KIND_WORDS = {
    "plug": "plug",
    "inline_tap": "inline tap",
    "splice": "splice",
    "taped_socket": "taped socket",
    "capped_socket": "capped socket",
    "timer": "timer",
    "cord_joint": "cord joint",
    "all": "all kinds",
}
"""Kinds of connection as they are spoken of."""
TASK_WORDS = {"other_work": "other work"}
CAUSE_WORDS = {"gfci_trip": "GFCI trip"}

FAULT_RATIO = "faults on the jobs that the crew built / faults expected of the same connections and nights"


def kind_word(kind: str | None) -> str:
    """A kind of connection as it is spoken of."""
    return "kind not known" if kind is None else KIND_WORDS.get(kind, kind)


def crews(results: Results) -> list[Record]:
    """Crews with their hours and, where they could be compared, their comparison; the slowest first."""
    compared = {(r["branch"], r["crew"]): r for r in results.rows("decisions.crew_comparison")}
    out = []
    for hours in results.rows("measures.crew_hours"):
        if not hours["feet"]:
            continue
        more = compared.get((hours["branch"], hours["crew"]), {})
        out.append({key: value for key, value in more.items() if key not in hours} | hours)
    return sorted(out, key=lambda r: (-(r.get("ratio") or 0), str(r["branch"]), str(r["crew"])))


def several_branches(records: list[Record]) -> bool:
    """Whether the rows are of more than one branch, so that the branch must be printed."""
    return len({record["branch"] for record in records}) > 1


def crew_label(record: Record, with_branch: bool) -> str:
    """A crew's name, with its branch where there are several."""
    return f"{record['crew']} ({record['branch']})" if with_branch else str(record["crew"])


def crew_table(records: list[Record]) -> Table:
    """Hours per 100 feet as they were, beside what the houses explain, and faults beside speed."""
    columns = [
        words("crew", "Crew"),
        words("branch", "Branch"),
        column("jobs"),
        column("feet"),
        column("hours_per_100_ft"),
        column("install_hours_per_100_ft"),
        ratio("ratio", "Observed / expected hours", "prep and install hours / those the average crew would have taken "
              "for the same houses", "low", "high"),
        ratio("pooled_ratio", "Pooled", "the same, drawn toward the average by how few the jobs are",
              "pooled_low", "pooled_high"),
        words("apart", "Told apart", "whether the crew's interval lies clear of the average"),
        ratio("fault_ratio", "Faults / expected", FAULT_RATIO, "fault_low", "fault_high"),
    ]  # fmt: skip
    shown = [r | {"apart": _apart(r.get("told_apart"))} for r in records]
    rows = rows_by(shown, without_empty(columns, shown), "measures.crew_hours", ("season", "branch", "crew"))
    return table("crews", "Crews beside each other", without_empty(columns, shown), rows)


def _apart(told: bool | None) -> str | None:
    return None if told is None else "yes" if told else "no"


def hours_table(results: Results) -> Table | None:
    """Where the hours went, by task, over all branches."""
    by_task: dict[str, list[Record]] = {}
    for record in results.rows("measures.task_hours"):
        by_task.setdefault(record["task"], []).append(record)
    if not by_task:
        return None
    keys = ("hours", "overtime_hours", "loaded_usd", "premium_usd")
    sums = {task: {key: total(r[key] for r in rows) for key in keys} for task, rows in by_task.items()}
    whole = {key: total(record[key] for record in sums.values()) for key in keys}
    columns = (words("task", "Task"), column("hours"), column("share", unit="of hours"), *map(column, keys[1:]))
    rows = [_hours_row(task, record, whole, columns, results.season) for task, record in sums.items()]
    rows.sort(key=lambda r: -float(str(r.cells[1] or 0)))
    rows.append(_hours_row("all", whole, whole, columns, results.season))
    return table("hours", "Where the hours went", columns, rows)


def _hours_row(task: str, record: Record, whole: Record, columns: tuple[Column, ...], season: int) -> Row:
    word = "all tasks" if task == "all" else TASK_WORDS.get(task, task)
    filled = record | {"task": word, "share": share_of(record["hours"], whole["hours"])}
    where = f"season={season}" + ("" if task == "all" else f", task={task}")
    return row(filled, columns, slug(task), Source("measures.task_hours", where), strong=task == "all")


def failures(results: Results) -> list[Record]:
    """Failures by kind over all branches, the worst first; without the sum of all kinds."""
    rows = results.rows("measures.connection_failures", branch="all")
    kinds = [r for r in rows if r["kind"] != "all" and r["connections"]]
    return sorted(kinds, key=lambda r: (-(r["per_1000_connection_nights"] or 0), str(r["kind"])))


def all_failures(results: Results) -> Record | None:
    """Failures over all kinds and branches."""
    return results.row("measures.connection_failures", branch="all", kind="all")


def failure_table(results: Results) -> Table:
    """Failures by kind with their exact limits, and over all kinds."""
    columns = (
        words("word", "Kind"),
        column("connections"),
        column("connection_nights"),
        column("failed_points"),
        estimate("per_1000_connection_nights", "low", "high"),
        column("per_connection"),
    )
    records = failures(results)
    whole = all_failures(results)
    shown = [r | {"word": kind_word(r["kind"])} for r in (*records, *((whole,) if whole else ()))]
    rows = rows_by(shown, columns, "measures.connection_failures", ("season", "branch", "kind"))
    rows = tuple(Row(r.key.removeprefix("all."), r.cells, r.source, r.key == "all.all") for r in rows)
    return table("failures", "Failures by kind of connection", columns, rows)


def connection_table(results: Results) -> Table | None:
    """What one more connection of a kind costs, the dearest first."""
    records = sorted(
        results.rows("decisions.connection_price"),
        key=lambda r: (r["place_in_order"] is None, r["place_in_order"] or 0),
    )
    if not records:
        return None
    columns = (
        words("word", "Kind"),
        column("make_usd"),
        estimate("failure_usd", "low", "high"),
        column("fault_usd"),
        column("per_connection", heading="Failures"),
    )
    shown = [r | {"word": kind_word(r["kind"]), "per_connection": r["rate_per_connection"]} for r in records]
    kept = without_empty(columns, shown)
    rows = rows_by(shown, kept, "decisions.connection_price", ("season", "kind"))
    return table("connection_price", "What one more connection costs", kept, rows)


def causes(results: Results) -> list[Record]:
    """Causes of the service calls, the commonest first, with the running share."""
    rows = sorted(results.rows("measures.failure_causes", branch="all"), key=lambda r: (-r["calls"], str(r["cause"])))
    whole, running, out = total(r["calls"] for r in rows), 0, []
    for record in rows:
        running += record["calls"]
        cause = record["cause"] or "not known"
        out.append(
            record
            | {"word": CAUSE_WORDS.get(cause, cause.replace("_", " ")), "share": share_of(record["calls"], whole)}
            | {"cumulative_share": share_of(running, whole)}
        )
    return out


def cause_table(records: list[Record]) -> Table:
    """Causes with their shares."""
    columns = (words("word", "Cause"), *map(column, ("calls", "points", "share", "cumulative_share")))
    rows = rows_by(records, columns, "measures.failure_causes", ("season", "branch", "cause"))
    rows = tuple(Row(r.key.removeprefix("all."), r.cells, r.source) for r in rows)
    return table("causes", "What the calls were about", columns, rows)


def call_table(results: Results) -> Table | None:
    """Days from a call to its mending, and what a call and a point cost."""
    records = []
    costs = {r["branch"]: r for r in results.rows("measures.service_cost")}
    for record in results.rows("measures.call_times"):
        records.append(costs.get(record["branch"], {}) | record | {"word": _branch(record["branch"])})
    if len({r["branch"] for r in records}) == 2:
        records = [r for r in records if r["branch"] == "all"]
    if not records:
        return None
    records.sort(key=lambda r: (r["branch"] == "all", r["branch"]))
    columns = (
        words("word", "Branch"),
        column("calls"),
        Column("open_calls", "Still open", "calls", "count", "calls that were not mended by the end of the records"),
        Column("median_days", "Middle call", "days", "days", "median days from the call to its mending"),
        Column("p90_days", "Slow call", "days", "days", "days within which nine calls of ten were mended"),
        Column("usd_per_call", "A call cost", "usd", "usd_cents", "realized service cost / calls"),
        Column("usd_per_point", "A point cost", "usd", "usd_cents", "realized service cost / failed points"),
    )
    kept = without_empty(columns, records)
    rows = rows_by(records, kept, "measures.call_times", ("season", "branch"))
    rows = tuple(Row(r.key, r.cells, r.source, r.key == "all" and len(rows) > 1) for r in rows)
    return table("calls", "Service calls", kept, rows)


def _branch(branch: str) -> str:
    return "all branches" if branch == "all" else branch
