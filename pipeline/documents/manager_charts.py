"""The manager's charts: crews, hours, failures, the price of a connection, causes."""

from __future__ import annotations

from typing import Any

from pipeline.decisions.connections import not_told_from
from pipeline.documents.build import listed, slug, with_capital
from pipeline.documents.manager_tables import causes, crew_label, failures, kind_word, several_branches
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
            r["low"],
            r["high"],
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


def failures_chart(results: Results) -> Chart | None:
    """Failures by kind with exact limits."""
    records = [r for r in failures(results) if r["per_1000_connection_nights"] is not None]
    if not records or not any(r["failed_points"] for r in records):
        return None
    points = tuple(
        Point(slug(r["kind"]), kind_word(r["kind"]), r["per_1000_connection_nights"], r["low"], r["high"])
        for r in records
    )
    worst = records[0]
    rate = rate_figure(worst, results.season)
    return Chart(
        "failures", "dots", failure_finding(records, rate),
        Axis("failures per 1,000 connection-nights", "per 1,000 connection-nights", "rate"), "kind of connection",
        (Series("rate", "failures", points),), rate.definition,
        Source("measures.connection_failures", f"season={results.season}, branch=all"),
    )  # fmt: skip


def failure_finding(records: list[Record], rate: Figure) -> Text:
    """Which kind failed most often, and from which ones chance cannot tell it."""
    worst = records[0]
    counts = [(r["kind"], int(r["failed_points"]), float(r["connection_nights"] or 0)) for r in records]
    alike = [article(kind).lower() for kind in not_told_from(counts)]
    if not alike:
        return say("{} fails most often: {} per 1,000 connection-nights", article(worst["kind"]), rate)
    others = alike[0] if len(alike) == 1 else f"{', '.join(alike[:-1])} or {alike[-1]}"
    return say(
        "{} failed most often this season, {} per 1,000 connection-nights, but cannot be told from {}",
        article(worst["kind"]), rate, others,
    )  # fmt: skip


def article(kind: str) -> str:
    """`A plug`, `An inline tap`."""
    word = kind_word(kind)
    return f"{'An' if word[0] in 'aeiou' else 'A'} {word}"


def rate_figure(record: Record, season: int) -> Figure:
    """A kind's failures per 1,000 connection-nights as a figure."""
    return Figure(
        f"failures.{slug(record['kind'])}.per_1000_connection_nights",
        f"failures of {kind_word(record['kind'])}",
        record["per_1000_connection_nights"],
        "rate",
        "per 1,000 connection-nights",
        "failed points / connection-nights x 1,000, with exact Poisson limits (Garwood 1936)",
        Source("measures.connection_failures", f"season={season}, branch=all, kind={record['kind']}"),
        low=record["low"],
        high=record["high"],
    )


def connection_chart(results: Results) -> Chart | None:
    """What the failures of one more connection of each kind cost."""
    records = [r for r in results.rows("decisions.connection_price") if r["failure_usd"] is not None]
    if not records:
        return None
    records.sort(key=lambda r: -r["failure_usd"])
    points = tuple(Point(slug(r["kind"]), kind_word(r["kind"]), r["failure_usd"], r["low"], r["high"]) for r in records)
    dearest = records[0]
    source = Source("decisions.connection_price", f"season={results.season}, kind={dearest['kind']}")
    cost = Figure(
        f"connection_price.{slug(dearest['kind'])}.failure_usd", f"failures of one more {kind_word(dearest['kind'])}",
        dearest["failure_usd"], "usd_cents", "usd each", "failures per connection x realized cost of one fault", source,
        low=dearest["low"], high=dearest["high"],
    )  # fmt: skip
    return Chart(
        "connection_price", "dots",
        say("One more {} brings {} of repairs a season", kind_word(dearest["kind"]), cost),
        Axis("dollars of repairs per connection and season", "usd each", "usd_cents"), "kind of connection",
        (Series("failure_usd", "repairs", points),), cost.definition,
        Source("decisions.connection_price", f"season={results.season}"),
    )  # fmt: skip


def cause_chart(results: Results) -> Chart | None:
    """Causes of the calls, the commonest first, with the running share beside each."""
    records = causes(results)
    if not records:
        return None
    points = tuple(
        Point(slug(r["cause"]), with_capital(r["word"]), r["calls"], note=f"{r['cumulative_share'] * 100:.0f} %")
        for r in records
    )
    first = records[0]
    share = Figure(
        f"causes.{slug(first['cause'])}.share", "share of calls", first["share"], "share", "of all",
        "calls of this cause / all calls",
        Source("measures.failure_causes", f"season={results.season}, branch=all, cause={first['cause']}"),
    )  # fmt: skip
    return Chart(
        "causes", "bars", say("{} is behind {} of the calls", with_capital(first["word"]), share),
        Axis("calls", "calls", "count"), "cause", (Series("calls", "Calls", points),), "service calls of this cause",
        Source("measures.failure_causes", f"season={results.season}, branch=all"),
        note=Text(("The percentages beside the bars are the running share of all calls.",)),
    )  # fmt: skip
