"""The manager's tables of crews and hours."""

from __future__ import annotations

from typing import Any

from pipeline.documents.build import row, slug, table
from pipeline.documents.columns import column, words
from pipeline.documents.model import Column, Row, Source, Table
from pipeline.documents.parts import share_of, total
from pipeline.documents.results import Results

Record = dict[str, Any]

TASK_WORDS = {"other_work": "other work"}

FAULT_RATIO = "faults on the jobs that the crew built / faults expected of the same connections and nights"


def crews(results: Results) -> list[Record]:
    """Crews with their hours and, where they could be compared, their comparison.

    Those told to take more hours stand first and those told to take fewer last; all others by name, since their order
    is not known.
    """
    compared = {(r["branch"], r["crew"]): r for r in results.rows("decisions.crew_comparison")}
    out = []
    for hours in results.rows("measures.crew_hours"):
        if not hours["feet"]:
            continue
        more = compared.get((hours["branch"], hours["crew"]), {})
        out.append({key: value for key, value in more.items() if key not in hours} | hours)
    return sorted(out, key=_place)


def _place(record: Record) -> tuple[int, float, str, str]:
    told = record["ratio"] if record.get("told_apart") else None
    group = 1 if told is None else 0 if told > 1 else 2
    return group, -(told or 0), str(record["branch"]), str(record["crew"])


def several_branches(records: list[Record]) -> bool:
    """Whether the rows are of more than one branch, so that the branch must be printed."""
    return len({record["branch"] for record in records}) > 1


def crew_label(record: Record, with_branch: bool) -> str:
    """A crew's name, with its branch where there are several."""
    return f"{record['crew']} ({record['branch']})" if with_branch else str(record["crew"])


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
