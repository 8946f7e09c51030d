"""`perfoot trace`: from what a person asks for to the lines of one figure in the store."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from difflib import get_close_matches
from pathlib import Path
from typing import Any

import polars as pl

from pipeline.documents.parts import PARTS
from pipeline.documents.trace import Traced, job_traced, price_traced, rounded
from pipeline.documents.trace_order import order_notes
from pipeline.errors import UsageError
from pipeline.flows.trace_figure import TraceRecords, find_figure, is_figure_name, printed_figures, trace_figure
from pipeline.flows.writing import write_whole
from pipeline.units import read_date
from pipeline.warehouse import Store, open_store
from pipeline.warehouse.tracing import prepare, trace_lines

USAGE = (
    "trace one of: job NUMBER; cost SEGMENT (such as gutter, new or a crew's name); worker NUMBER DAY; crew NAME; "
    "item NUMBER; price, or price 90 for a chance of 90 %; or the name of a printed figure, such as "
    "owner.cost_usd_per_ft. A season may stand before the number, or be named with --season."
)
ORDER_TABLES = ("decisions.order_lines", "decisions.order_drivers")
SURFACE_CENTS = Decimal("0.06")
"""The cents of six parts, placed over the surfaces."""


@dataclass(frozen=True)
class Question:
    """What is asked for: the words behind the kind, and the options."""

    words: tuple[str, ...]
    season: int | None
    branch: str | None


def _lines(store: Store, name: str, **asked: int | str | date) -> list[dict[str, Any]]:
    return trace_lines(store, name, **asked).to_dicts()


def _seasons(store: Store) -> list[int]:
    return store.query("select distinct season from measures.season_cost order by season")["season"].to_list()


def _with_season(store: Store, asked: Question) -> tuple[int, list[str]]:
    """The season that is meant, and the words behind it: the last one in the store where none is named."""
    seasons = _seasons(store)
    words = list(asked.words)
    named = asked.season
    if named is None and len(words) > 1 and words[0].isdigit() and int(words[0]) in seasons:
        named = int(words.pop(0))
    if not seasons:
        raise UsageError("the store holds no season; close one first.")
    if named is not None and named not in seasons:
        raise UsageError(f"the store holds no season {named}; it has {', '.join(map(str, seasons))}.")
    return named or seasons[-1], words


def _one(frame: pl.DataFrame, column: str, wanted: str, what: str) -> str:
    """The value of a column that is wanted, whatever its case. Raises UsageError with the near ones."""
    known = frame[column].drop_nulls().unique().sort().to_list()
    for value in known:
        if value.casefold() == wanted.casefold():
            return str(value)
    near = get_close_matches(wanted, known, n=3)
    hint = f" Did you mean {' or '.join(near)}?" if near else ""
    raise UsageError(f'there is no {what} "{wanted}" in this season.{hint}')


def _job(store: Store, asked: Question) -> Traced:
    season, words = _with_season(store, asked)
    jobs = store.read("measures.job_cost", season)
    job_no = _one(jobs, "job_no", " ".join(words), "job")
    found = jobs.filter(pl.col("job_no") == job_no)
    if asked.branch is not None:
        branch = _one(found, "branch", asked.branch, f"job {job_no} in branch")
        found = found.filter(pl.col("branch") == branch)
    if found.height > 1:
        raise UsageError(f"job {job_no} is in the branches {', '.join(found['branch'])}; name one with --branch.")
    job = found.row(0, named=True)
    if job["total_usd"] is None:
        raise UsageError(f"nothing is recorded of what job {job_no} cost.")
    names = ("job_hours", "job_pay", "job_goods", "job_travel", "job_equipment", "job_shares")
    lines = [line for name in names for line in _lines(store, name, season=season, branch=job["branch"], job_no=job_no)]
    return job_traced(job, lines)


def _cost(store: Store, asked: Question) -> Traced:
    season, words = _with_season(store, asked)
    segments = store.read("measures.segment_cost", season)
    view, _, name = " ".join(words).rpartition(":")
    segment = _one(segments, "segment", name.strip(), "kind of work, place, crew or surface")
    found = segments.filter(pl.col("segment") == segment)
    if view:
        found = found.filter(pl.col("view") == _one(found, "view", view.strip(), "view"))
    if found.height > 1:
        choices = ", ".join(f"{view}:{segment}" for view in found["view"])
        raise UsageError(f'"{segment}" is a segment of several views; name one of {choices}.')
    row = found.row(0, named=True)
    traced = Traced(
        name=f"cost {season} {row['view']}:{segment}",
        title=f"Cost of {segment} ({row['view'].replace('_', ' ')}), season {season}: {row['total_usd']:,.2f} usd",
        value=Decimal(row["total_usd"] or 0),
        unit="usd",
        lines=tuple(_lines(store, "segment_cost", season=season, view=row["view"], segment=segment)),
    )
    return rounded(traced, SURFACE_CENTS, "the cents of a surface are placed so that surfaces add up to their jobs")


def _worker(store: Store, asked: Question) -> Traced:
    if len(asked.words) < 2:
        raise UsageError("name the worker and a day of the week, such as: trace worker W07 2025-11-22.")
    day = read_date(asked.words[-1].casefold())
    if day is None:
        raise UsageError(f'"{asked.words[-1]}" is not a day; write it as 2025-11-22.')
    hours = store.query("select distinct worker_no from facts.loaded_hours")
    worker = _one(hours, "worker_no", " ".join(asked.words[:-1]), "worker")
    lines = _lines(store, "worker_week", worker_no=worker, work_date=day)
    if not lines:
        raise UsageError(f"worker {worker} has no hours in the week of {day}.")
    return Traced(
        name=f"worker {worker} {day}",
        title=f"Worker {worker}, week of {day}",
        value=sum((line["amount_usd"] for line in lines), Decimal(0)),
        unit="usd",
        lines=tuple(lines),
        notes=_week_notes(lines),
    )


def _week_notes(lines: Sequence[dict[str, Any]]) -> tuple[str, ...]:
    """How the week's overtime is worked out (29 CFR 778.110)."""
    hours = sum(line["quantity"] for line in lines)
    pay = sum((line["straight_usd"] or Decimal(0)) + line["extra_pay_usd"] for line in lines)
    overtime = sum(line["overtime_hours"] for line in lines)
    premium = sum(line["premium_usd"] for line in lines)
    said = [f"{hours:.2f} h, pay {pay:,.2f} usd: regular rate {pay / hours:.4f} usd/h."]
    if overtime:
        said.append(
            f"{overtime:.2f} h of overtime: premium 1/2 x {pay / hours:.4f} x {overtime:.2f} = {premium:,.2f} usd "
            "(29 CFR 778.110), shared over the week's hours."
        )
    said.append("The law and a payroll professional come first: this is for pricing, not for paying.")
    return tuple(said)


def _crew(store: Store, asked: Question) -> Traced:
    season, words = _with_season(store, asked)
    crews = store.read("measures.crew_hours", season)
    crew = _one(crews, "crew", " ".join(words), "crew")
    found = crews.filter(pl.col("crew") == crew)
    if asked.branch is not None:
        found = found.filter(pl.col("branch") == _one(found, "branch", asked.branch, f"crew {crew} in branch"))
    if found.height > 1:
        raise UsageError(f"crew {crew} is in the branches {', '.join(found['branch'])}; name one with --branch.")
    row = found.row(0, named=True)
    hours = row["prep_hours"] + row["install_hours"]
    return Traced(
        name=f"crew {season} {crew}",
        title=f"Crew {crew}, season {season}: {hours:,.2f} h of prep and install",
        value=hours,
        unit="h",
        lines=tuple(_lines(store, "crew_hours", season=season, branch=row["branch"], crew=crew)),
        measure="quantity",
        notes=_expected(store, season, row["branch"], crew),
    )


def _expected(store: Store, season: int, branch: str, crew: str) -> tuple[str, ...]:
    """What the crew's ratio is made of: the hours of the jobs that it led, over those expected of them."""
    found = store.read("decisions.crew_comparison", season).filter(
        (pl.col("branch") == branch) & (pl.col("crew") == crew) & pl.col("ratio").is_not_null()
    )
    if found.is_empty():
        return ()
    row = found.row(0, named=True)
    return (
        f"Compared: {row['observed_hours']:,.2f} h on the {row['jobs']} jobs that it led, over "
        f"{row['expected_hours']:,.2f} h that the average crew takes for them: {row['ratio']:.3f}, "
        f"{row['low']:.3f} to {row['high']:.3f} by itself. "
        "Hours of other crews on those jobs are in it, and its own on jobs that another led are not.",
    )


def _item(store: Store, asked: Question) -> Traced:
    season, words = _with_season(store, asked)
    uses = store.read("measures.item_use", season)
    item = _one(uses, "item_no", " ".join(words), "item")
    net = sum(uses.filter(pl.col("item_no") == item)["net_used"].drop_nulls(), Decimal(0))
    return Traced(
        name=f"item {season} {item}",
        title=f"Item {item}, season {season}: net use {net:,.2f}",
        value=net,
        unit=str(uses.filter(pl.col("item_no") == item)["unit"][0]),
        lines=tuple(_lines(store, "item_moves", season=season, item_no=item)),
        measure="quantity",
        notes=order_notes(season + 1, *(_of_item(store, name, season + 1, item) for name in ORDER_TABLES)),
    )


def _of_item(store: Store, name: str, season: int, item: str) -> list[dict[str, Any]]:
    return store.read(name, season).filter(pl.col("item_no") == item).to_dicts()


def _price(store: Store, asked: Question) -> Traced:
    """The price of the season after the one that is meant, for a chance of 80 % where none is named."""
    season, words = _with_season(store, Question((*asked.words, ""), asked.season, asked.branch))
    table = store.read("decisions.price_table", season + 1).filter(pl.col("segment") == "all")
    named = " ".join(words).strip().removesuffix("%").strip() or "80"
    found = table.filter((pl.col("chance") * 100).round(6).cast(pl.String).str.strip_suffix(".0") == named)
    if table.is_empty():
        raise UsageError(f"no price follows from season {season}: its owner's report says why.")
    if found.is_empty():
        known = ", ".join(f"{chance * 100:.0f}" for chance in table["chance"].sort())
        raise UsageError(f'there is no price for a chance of "{named}" %; there are {known}.')
    settings = store.read("reference.settings", season)
    margin = settings.filter(pl.col("setting") == "target_margin")["value"]
    forecast = store.read("decisions.cost_forecast", season + 1).filter(pl.col("segment") == "all")
    order = [part for part, _ in PARTS]
    lines = sorted(
        (line for line in forecast.to_dicts() if line["part"] in order), key=lambda x: order.index(x["part"])
    )
    return price_traced(found.row(0, named=True), lines, Decimal(margin[0] or 0))


KINDS: dict[str, Callable[[Store, Question], Traced]] = {
    "job": _job, "cost": _cost, "worker": _worker, "crew": _crew, "item": _item, "price": _price,
}  # fmt: skip
"""What can be traced, by the first word."""


def trace(path: Path, words: Sequence[str], season: int | None = None, branch: str | None = None) -> Traced:
    """The lines of what is asked for. Raises UsageError where it is not there, StoreUnavailable without a store."""
    if is_figure_name(words):
        return _figure(path, words[0], season)
    if not words or words[0] not in KINDS or (len(words) < 2 and words[0] != "price"):
        raise UsageError(USAGE)
    with open_store(path, read_only=True) as store:
        prepare(store)
        return KINDS[words[0]](store, Question(tuple(words[1:]), season, branch))


def records_in(store: Store) -> TraceRecords:
    """The trace of a job, crew, item, kind of cost or price in an open store."""

    def records(words: Sequence[str], branch: str | None) -> Traced:
        season, *rest = words[1:]
        return KINDS[words[0]](store, Question(tuple(rest), int(season), branch))

    return records


def _figure(path: Path, name: str, season: int | None) -> Traced:
    figure = find_figure(printed_figures(path, season), name)
    with open_store(path, read_only=True) as store:
        prepare(store)
        return trace_figure(store.read, figure, records_in(store))


def write_sheet(traced: Traced, path: Path) -> None:
    """Write the lines into a new workbook. Raises UsageError where it is there already or cannot be written."""
    from pipeline.render.trace_sheet import write_trace

    if path.suffix.casefold() != ".xlsx":
        raise UsageError(f"{path} must end in .xlsx.")
    if path.exists():
        raise UsageError(f"{path} is there already; name another file.")
    try:
        write_whole(path, lambda part: write_trace(traced, part))
    except OSError as error:
        raise UsageError(f"{path} cannot be written: {error.strerror}; name another file.") from None
