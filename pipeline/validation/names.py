"""Names that look like a slip for another one: a warning with a suggestion, never changed silently."""

from __future__ import annotations

import polars as pl

from pipeline.validation.findings import quoted
from pipeline.validation.nearness import Near
from pipeline.validation.state import State
from pipeline.validation.typing import fold

RARER_BY = 10
"""A name that so many times fewer jobs bear than its near neighbour may be a slip for it."""


def _near(written: list[str], known: dict[str, str]) -> dict[str, str]:
    """The known name that each written one may be meant for. Numbered names differ by their number on purpose."""
    near = Near(known)
    found = {name: near.one(fold(name)) for name in written if fold(name) not in known}
    return {
        name: known[other]
        for name, other in found.items()
        if other and _without_digits(fold(name)) != _without_digits(other)
    }


def _without_digits(name: str) -> str:
    return "".join(letter for letter in name if not letter.isdigit())


def _warn(state: State, rows: pl.DataFrame, column: str, rule: str, near: dict[str, str], what: str) -> None:
    meant = pl.col(column).replace_strict(near, default=None, return_dtype=pl.String)
    state.warn(
        rows.filter(pl.col(column).is_in(list(near))).rechunk(),
        column,
        rule,
        pl.format("{} {}; did you mean {}?", quoted(column), pl.lit(what), meant),
        "correct the name if it is a slip",
    )


def warn_of_near_names(state: State) -> None:
    """Crews and branches that few jobs bear beside one that many do; crews that lead no job beside one that does."""
    jobs = state.accepted("jobs")
    for column in ("crew", "branch"):
        counts = dict(jobs[column].drop_nulls().value_counts().iter_rows())
        near: dict[str, str] = {}
        for name, many in counts.items():
            often = {fold(other): other for other, count in counts.items() if count >= RARER_BY * many}
            near |= _near([name], often)
        if near:
            _warn(state, jobs, column, f"the_{column}_is_known", near, "is rare among the jobs")
    known = {fold(name): name for name in jobs["crew"].drop_nulls().unique()}
    for name in ("hours", "trips"):
        if state.has(name):
            rows = state.sound(name)
            near = _near(rows["crew"].drop_nulls().unique().to_list(), known)
            if near:
                _warn(state, rows, "crew", "the_crew_leads_jobs", near, "leads no job")
