"""Rules across tables: the job, the item and the worker that a row names must be there."""

from __future__ import annotations

from collections.abc import Iterable

import polars as pl

from pipeline.validation.state import State
from pipeline.validation.typing import fold


def one_slip_apart(written: str, known: Iterable[str]) -> str | None:
    """The one known number that differs by one character changed, missing, added or swapped; None if several do."""
    near = [name for name in known if _one_slip(written, name)]
    return near[0] if len(near) == 1 else None


def _one_slip(a: str, b: str) -> bool:
    if a == b or abs(len(a) - len(b)) > 1:
        return False
    start = 0
    while start < min(len(a), len(b)) and a[start] == b[start]:
        start += 1
    rest_a, rest_b = a[start:], b[start:]
    if len(a) == len(b):
        swapped = len(rest_a) > 1 and rest_a[:2] == rest_b[1::-1] and rest_a[2:] == rest_b[2:]
        return rest_a[1:] == rest_b[1:] or swapped
    return rest_a[1:] == rest_b if len(a) > len(b) else rest_a == rest_b[1:]


def _suggest(rows: pl.DataFrame, column: str, known: list[str], what: str) -> pl.Expr:
    """The message for a name that is not there, with a suggestion where one known name is close."""
    near = {name: one_slip_apart(name, known) for name in rows[column].unique().to_list()}
    hints = {name: f"; did you mean {other}?" for name, other in near.items() if other}
    hint = pl.col(column).replace_strict(hints, default="", return_dtype=pl.String) if hints else pl.lit("")
    return pl.format(f'"{{}}" is in no row of {what}{{}}', pl.col(f"raw:{column}").fill_null(pl.col(column)), hint)


def find_jobs(state: State) -> None:
    """Give each child row the branch of its job; hold the rows whose job is unknown, rejected or not certain."""
    jobs = state.accepted("jobs").select("branch", "job_no")
    known = jobs["job_no"].unique().to_list()
    refused = set(state.all("jobs")["job_no"].drop_nulls()) - set(known)
    homes = jobs.group_by("job_no").agg(home=pl.col("branch").first(), homes=pl.len())
    for name, working in state.tables.items():
        if name == "jobs" or "job_no" not in working.table.fields:
            continue
        frame = working.frame.join(homes, on="job_no", how="left", maintain_order="left")
        branch = pl.when(pl.col("branch").is_null() & (pl.col("homes") == 1)).then("home").otherwise("branch")
        state.replace(name, frame.with_columns(branch=branch).drop("home", "homes"))
        _hold_orphans(state, name, jobs, known, refused)


def _hold_orphans(state: State, name: str, jobs: pl.DataFrame, known: list[str], refused: set[str]) -> None:
    naming = state.sound(name).filter(pl.col("job_no").is_not_null())
    orphans = naming.join(jobs, on=["branch", "job_no"], how="anti")
    if orphans.is_empty():
        return
    is_refused, is_known = pl.col("job_no").is_in(list(refused)), pl.col("job_no").is_in(known)
    how = "put the job right, or correct the job's number here; then close again"
    for rows, rule, text in (
        (
            orphans.filter(is_refused & ~is_known),
            "the_job_was_accepted",
            pl.format('job "{}" was rejected, so this row is held', "raw:job_no"),
        ),
        (
            orphans.filter(is_known & pl.col("branch").is_null()),
            "the_branch_of_a_job_is_certain",
            pl.format('job "{}" is in two branches, so this row is held; name the branch', "raw:job_no"),
        ),
        (
            orphans.filter(is_known & pl.col("branch").is_not_null()),
            "the_job_is_known",
            pl.format('job "{}" is not in branch {}, so this row is held', "raw:job_no", "branch"),
        ),
    ):
        state.found.at(rows, "job_no", rule, "held", text, how)
    unknown = orphans.filter(~is_known & ~is_refused)
    state.found.at(
        unknown,
        "job_no",
        "the_job_is_known",
        "held",
        pl.format("{}; this row is held", _suggest(unknown, "job_no", known, "jobs")),
        how,
    )
    state.hold(name, orphans["rid"])


def find_items(state: State) -> None:
    """Reject rows whose item is in no row of items, where there are items at all."""
    if not state.has("items"):
        return
    known = state.accepted("items")["item_no"].unique().to_list()
    for name, working in state.tables.items():
        for field in working.table.fields.values():
            if field.ref != "items":
                continue
            rows = state.sound(name).filter(pl.col(field.name).is_not_null() & ~pl.col(field.name).is_in(known))
            state.error(
                name,
                rows,
                field.name,
                f"{field.name}_is_known",
                _suggest(rows, field.name, known, "items"),
                "correct the item's number, or add the item to the sheet of items",
            )


def find_workers(state: State) -> None:
    """Reject hours and pay of workers without a row, or worked before their first wage."""
    if not state.has("workers"):
        return
    first = (
        state.accepted("workers")
        .group_by("worker_no")
        .agg(since=pl.when(pl.col("from_date").is_null().any()).then(None).otherwise(pl.col("from_date").min()))
    )
    known = first["worker_no"].to_list()
    for name in ("hours", "pay"):
        if not state.has(name):
            continue
        rows = state.sound(name)
        unknown = rows.filter(pl.col("worker_no").is_not_null() & ~pl.col("worker_no").is_in(known))
        state.error(
            name,
            unknown,
            "worker_no",
            "the_worker_is_known",
            _suggest(unknown, "worker_no", known, "workers"),
            "correct the worker's number, or add the worker with a wage to the sheet of workers",
        )
    if state.has("hours"):
        early = state.sound("hours").join(first, on="worker_no").filter(pl.col("work_date") < pl.col("since"))
        state.error(
            "hours",
            early,
            "work_date",
            "the_worker_has_a_wage_that_day",
            pl.format("worker {} has no wage before {}", "worker_no", "since"),
            "give the worker's earlier wage, or leave its first day blank",
        )


def warn_of_near_names(state: State) -> None:
    """A crew that differs from a crew of the jobs by one slip is a warning, never changed silently."""
    if not state.has("jobs"):
        return
    known = {fold(name): name for name in state.accepted("jobs")["crew"].drop_nulls().unique().to_list()}
    for name in ("hours", "trips"):
        if not state.has(name):
            continue
        rows = state.accepted(name).filter(pl.col("crew").is_not_null())
        odd = {crew: one_slip_apart(fold(crew), known) for crew in rows["crew"].unique() if fold(crew) not in known}
        near = {crew: f"did you mean {known[other]}?" for crew, other in odd.items() if other}
        state.warn(
            rows.filter(pl.col("crew").is_in(list(near))),
            "crew",
            "the_crew_leads_jobs",
            pl.format('crew "{}" leads no job; {}', "raw:crew", pl.col("crew").replace(near)),
            "correct the crew's name if it is a slip",
        )


def hold_bulbs_without_runs(state: State) -> None:
    """A bulb's share of a run that is not there is held; shares of a run sum to 1."""
    if not state.has("run_bulbs"):
        return
    shares = state.sound("run_bulbs")
    off = shares.filter((pl.col("share").sum().over("branch", "job_no", "run_no") - 1).abs() > pl.lit(0.001))
    state.error(
        "run_bulbs",
        off,
        "share",
        "shares_of_a_run_sum_to_1",
        pl.format("shares of run {} of job {} do not sum to 1", "run_no", "job_no"),
        "correct the shares of that run",
    )
    if state.has("runs"):
        orphans = state.sound("run_bulbs").join(state.accepted("runs"), on=["branch", "job_no", "run_no"], how="anti")
        state.found.at(
            orphans,
            "run_no",
            "the_run_is_known",
            "held",
            pl.format('run "{}" of job {} is not there, so this row is held', "raw:run_no", "job_no"),
            "correct the run's number, or put the run right",
        )
        state.hold("run_bulbs", orphans["rid"])
