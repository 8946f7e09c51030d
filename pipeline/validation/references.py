"""Rules across tables: the job, the item and the worker that a row names must be there."""

from __future__ import annotations

import polars as pl

from pipeline.errors import UsageError
from pipeline.validation.findings import quoted
from pipeline.validation.nearness import Near
from pipeline.validation.state import State
from pipeline.validation.typing import Working, fold

ITEM_KINDS = {"line_item": "light_line", "bulb_item": "bulb", "fastener_item": "fastener"}
"""The kind of item that a column names."""
SHARE_TOLERANCE = 0.001
"""The shares of a run's bulbs sum to 1 within this: thirds are written as 0.333."""

_PUT_RIGHT = "put the job right, or correct the job's number here; then close again"


def suggestion(rows: pl.DataFrame, column: str, known: list[str]) -> pl.Expr:
    """`; did you mean 1042?` where one known name is close to a row's, else nothing."""
    written = rows[column].drop_nulls().unique().to_list()
    near = Near(known) if written else Near(())
    hints = {name: f"; did you mean {other}?" for name in written if (other := near.one(name))}
    return pl.col(column).replace_strict(hints, default="", return_dtype=pl.String) if hints else pl.lit("")


def _unknown(rows: pl.DataFrame, column: str, known: list[str], table: str) -> pl.Expr:
    return pl.concat_str(quoted(column), pl.lit(f" is in no row of {table}"), suggestion(rows, column, known))


def place_in_branches(state: State) -> None:
    """Give each child row the branch of its job, where one branch alone has a job of that number."""
    # A branch that could not be read is not a blank one.
    is_blank = pl.col("branch").is_null() & pl.col("raw:branch").is_null()
    jobs = state.all("jobs").with_columns(branch=pl.when(is_blank).then(pl.lit("main")).otherwise("branch"))
    state.replace("jobs", jobs)
    homes = jobs.filter(pl.col("job_no").is_not_null()).group_by("job_no").agg(
        home=pl.col("branch").first(), homes=pl.col("branch").n_unique()
    )  # fmt: skip
    for name, working in state.tables.items():
        if name == "jobs" or "job_no" not in working.table.fields or not working.frame["branch"].null_count():
            continue
        if homes["home"].n_unique() == 1 and homes["homes"].max() == 1:
            is_listed = is_blank & pl.col("job_no").is_in(homes["job_no"].implode())
            branch = pl.when(is_listed).then(pl.lit(homes["home"][0])).otherwise("branch")
            state.replace(name, working.frame.with_columns(branch=branch))
            continue
        frame = working.frame.join(homes, on="job_no", how="left", maintain_order="left")
        branch = pl.when(is_blank & (pl.col("homes") == 1)).then("home").otherwise("branch")
        state.replace(name, frame.with_columns(branch=branch).drop("home", "homes"))


def keep_branch(state: State, branch: str) -> dict[str, pl.DataFrame]:
    """Keep the rows of one branch and those of none; returns the origin of the others, by table."""
    known = state.all("jobs")["branch"].drop_nulls().unique().sort().to_list()
    spelled = next((name for name in known if fold(name) == fold(branch)), None)
    if spelled is None:
        raise UsageError(f"no job is of branch {branch}; the branches are {', '.join(known) or 'none'}.")
    others = {}
    for name, working in state.tables.items():
        if "branch" not in working.table.fields:
            continue
        is_other = (pl.col("branch") != spelled).fill_null(value=False)
        others[name] = working.frame.filter(is_other)
        state.tables[name] = Working.of(working.table, working.frame.filter(~is_other).drop("rid"))
    return others


def _surely_placed(accepted: pl.DataFrame) -> pl.Expr:
    """Whether a row's job is accepted, told without a join where all accepted jobs are of one branch."""
    branches = accepted["branch"].unique()
    if len(branches) != 1:
        return pl.lit(value=False)
    is_there = pl.col("job_no").is_in(accepted["job_no"].implode())
    return ((pl.col("branch") == branches[0]) & is_there).fill_null(value=False)


def find_jobs(state: State) -> None:
    """Hold the rows whose job is unknown, rejected or not certain."""
    jobs = state.all("jobs").filter(pl.col("job_no").is_not_null()).select("branch", "job_no").unique()
    accepted = state.accepted("jobs").select("branch", "job_no", accepted=pl.lit(value=True))
    numbers = jobs["job_no"].unique().to_list()
    listed = jobs.with_columns(listed=pl.lit(value=True))
    for name, working in state.tables.items():
        if name == "jobs" or "job_no" not in working.table.fields:
            continue
        naming = state.sound(name).filter(pl.col("job_no").is_not_null() & ~_surely_placed(accepted))
        on = ["branch", "job_no"]
        orphans = naming.join(accepted, on=on, how="anti").join(listed, on=on, how="left", maintain_order="left")
        if orphans.height:
            _hold_orphans(state, name, orphans.rechunk(), numbers)


def _hold_orphans(state: State, name: str, orphans: pl.DataFrame, numbers: list[str]) -> None:
    is_known = pl.col("job_no").is_in(numbers)
    job = pl.concat_str(pl.lit("job "), quoted("job_no"))
    rejected = orphans.filter("listed").rechunk()
    state.hold_with(
        name, rejected, "job_no", "the_job_was_accepted",
        pl.concat_str(job, pl.lit(" was rejected, so this row is held")), _PUT_RIGHT,
    )  # fmt: skip
    rest = orphans.filter(pl.col("listed").is_null())
    state.hold_with(
        name, rest.filter(is_known & pl.col("branch").is_null()).rechunk(), "job_no", "the_branch_of_a_job_is_certain",
        pl.concat_str(job, pl.lit(" is in several branches, so this row is held")), "name the branch in this row",
    )  # fmt: skip
    state.hold_with(
        name, rest.filter(is_known & pl.col("branch").is_not_null()).rechunk(), "job_no", "the_job_is_known",
        pl.format("{} is not in branch {}, so this row is held", job, "branch"), _PUT_RIGHT,
    )  # fmt: skip
    unknown = rest.filter(~is_known).rechunk()
    text = pl.concat_str(_unknown(unknown, "job_no", numbers, "jobs"), pl.lit("; this row is held"))
    state.hold_with(name, unknown, "job_no", "the_job_is_known", text, _PUT_RIGHT)


def find_items(state: State) -> None:
    """Reject rows whose item is in no row of items, or of another kind, where there are items at all."""
    naming = [
        (name, field.name)
        for name, working in state.tables.items()
        for field in working.table.fields.values()
        if field.ref == "items"
    ]
    if not state.has("items"):
        for name in dict(naming):
            state.note(
                name,
                "items_are_listed",
                "names items, but no sheet of items was found: they are accepted, and their cost is not known",
                "add a sheet of items with their packs and prices",
            )
        return
    listed = state.all("items")["item_no"].drop_nulls().unique().to_list()
    kinds = state.accepted("items").select("item_no", item_kind="kind")
    for name, column in naming:
        named = state.all(name).filter(pl.col(column).is_not_null())
        joined = named.join(kinds, left_on=column, right_on="item_no", how="left", maintain_order="left")
        absent = joined.filter(pl.col("item_kind").is_null())
        unknown = absent.filter(~pl.col(column).is_in(listed)).rechunk()
        how = "correct the item's number, or add the item to the sheet of items"
        state.error(name, unknown, column, f"{column}_is_known", _unknown(unknown, column, listed, "items"), how)
        rejected = absent.filter(pl.col(column).is_in(listed)).rechunk()
        text = pl.concat_str(pl.lit("item "), quoted(column), pl.lit(" was rejected in the sheet of items"))
        state.error(name, rejected, column, f"{column}_was_accepted", text, "put the item right; then close again")
        if kind := ITEM_KINDS.get(column):
            other = joined.filter(pl.col("item_kind") != kind).rechunk()
            text = pl.format("{} is an item of kind {}, not {}", quoted(column), "item_kind", pl.lit(kind))
            state.error(name, other, column, f"{column}_is_a_{kind}", text, "correct the item's number")


def find_workers(state: State) -> None:
    """Reject hours and pay of workers without a row, or worked before their first wage."""
    if not state.has("workers"):
        if state.has("hours"):
            state.note(
                "hours",
                "workers_are_listed",
                "no sheet of workers was found: the hours are accepted, and their cost is not known",
                "add a sheet of workers with their wages",
            )
        return
    workers = state.accepted("workers")
    listed = state.all("workers")["worker_no"].drop_nulls().unique().to_list()
    known = workers["worker_no"].unique().to_list()
    for name in ("hours", "pay"):
        if not state.has(name):
            continue
        rows = state.all(name)
        absent = rows.filter(pl.col("worker_no").is_not_null() & ~pl.col("worker_no").is_in(known))
        unknown = absent.filter(~pl.col("worker_no").is_in(listed)).rechunk()
        text = _unknown(unknown, "worker_no", listed, "workers")
        how = "correct the worker's number, or add the worker with a wage to the sheet of workers"
        state.error(name, unknown, "worker_no", "the_worker_is_known", text, how)
        rejected = absent.filter(pl.col("worker_no").is_in(listed)).rechunk()
        text = pl.concat_str(pl.lit("worker "), quoted("worker_no"), pl.lit(" was rejected in the sheet of workers"))
        state.error(name, rejected, "worker_no", "the_worker_was_accepted", text, "put the worker right; then close")
    if state.has("hours"):
        _find_wages(state, workers)


def _find_wages(state: State, workers: pl.DataFrame) -> None:
    """An employee's hours are on or after the first day of a wage; a blank first day means always."""
    waged = workers.filter(pl.col("engaged") == "employee")
    always = waged.filter(pl.col("from_date").is_null())["worker_no"].implode()
    first = waged.filter(~pl.col("worker_no").is_in(always)).group_by("worker_no").agg(since=pl.col("from_date").min())
    early = state.all("hours").join(first, on="worker_no").filter(pl.col("work_date") < pl.col("since"))
    state.error(
        "hours",
        early.rechunk(),
        "work_date",
        "the_worker_has_a_wage_that_day",
        pl.format("worker {} has no wage before {}", "worker_no", "since"),
        "give the worker's earlier wage, or leave its first day blank",
    )


def check_run_bulbs(state: State) -> None:
    """A bulb's share of a run that is not there is held; the shares of a run sum to 1."""
    run = ["branch", "job_no", "run_no"]
    if state.has("runs"):
        orphans = state.sound("run_bulbs").join(state.accepted("runs"), on=run, how="anti").rechunk()
        text = pl.format(
            "run {} of job {} is not among the accepted runs, so this row is held", quoted("run_no"), "job_no"
        )
        how = "correct the run's number, or put the run right"
        state.hold_with("run_bulbs", orphans, "run_no", "the_run_is_known", text, how)
    torn = state.all("run_bulbs").filter(state.is_rejected("run_bulbs")).select(run).unique()
    siblings = state.sound("run_bulbs").join(torn, on=run, how="semi").rechunk()
    text = pl.format("another share of run {} was rejected, so this row is held", quoted("run_no"))
    state.hold_with("run_bulbs", siblings, "share", "every_share_of_a_run_is_known", text, "put the other share right")
    shares = state.accepted("run_bulbs").with_columns(total=pl.col("share").sum().over(run).cast(pl.Float64))
    state.error(
        "run_bulbs",
        shares.filter((pl.col("total") - 1).abs() > SHARE_TOLERANCE + 1e-9).rechunk(),
        "share",
        "shares_of_a_run_sum_to_1",
        pl.format("shares of run {} of job {} sum to {}, not 1", "run_no", "job_no", pl.col("total").round(3)),
        "correct the shares of that run",
    )
