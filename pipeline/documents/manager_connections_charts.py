"""The manager's charts of connections: failures by kind and week, the price of a connection, causes."""

from __future__ import annotations

from datetime import date
from typing import Any

from pipeline.documents.build import counted, slug, with_capital
from pipeline.documents.formats import show
from pipeline.documents.manager_connections_tables import causes, failures, kind_word
from pipeline.documents.model import Axis, Chart, Figure, Point, Series, Source, Text, say
from pipeline.documents.results import Results

Record = dict[str, Any]


def failures_chart(results: Results) -> Chart | None:
    """Failures by kind with their limits."""
    records = [r for r in failures(results) if r["per_1000_connection_nights"] is not None]
    if not records or not any(r["failed_points"] for r in records):
        return None
    points = tuple(
        Point(slug(r["kind"]), kind_word(r["kind"]), r["per_1000_connection_nights"], r["low"], r["high"])
        for r in records
    )
    rate = rate_figure(records[0], results.season)
    return Chart(
        "failures", "dots", failure_finding(results),
        Axis("failures per 1,000 connection-nights", "per 1,000 connection-nights", "rate"), "kind of connection",
        (Series("rate", "failures", points),), rate.definition,
        Source("measures.connection_failures", f"season={results.season}, branch=all"),
    )  # fmt: skip


def failure_finding(results: Results) -> Text:
    """Which kind failed most often, and from which ones chance cannot tell it."""
    records = failures(results)
    worst = records[0]["kind"]
    rate = rate_figure(records[0], results.season)
    if len(records) == 1:
        return say("Only one kind of connection is in the records, {}: {} per 1,000 connection-nights",
                   article(worst).lower(), rate)  # fmt: skip
    pairs = {frozenset((r["kind"], r["other"])): r["told_apart"] for r in results.rows("decisions.connection_ratios")}
    alike = [article(r["kind"]).lower() for r in records[1:] if pairs.get(frozenset((worst, r["kind"]))) is False]
    if pairs and not alike:
        return say("{} fails most often: {} per 1,000 connection-nights", article(worst), rate)
    if not pairs or len(alike) == len(records) - 1:
        others = "any other kind"
    else:
        others = alike[0] if len(alike) == 1 else f"{', '.join(alike[:-1])} or {alike[-1]}"
    return say(
        "{} failed most often this season, {} per 1,000 connection-nights, but cannot be told from {}",
        article(worst), rate, others,
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
        "failed points / connection-nights x 1,000, with exact Poisson limits (Garwood 1936) widened where failures "
        "come in clusters",
        Source("measures.connection_failures", f"season={season}, branch=all, kind={record['kind']}"),
        low=record["low"],
        high=record["high"],
    )


def _day(day: date) -> str:
    return show(day, "date").rsplit("\N{NO-BREAK SPACE}", 1)[0]


def _week_finding(beyond: list[Record], season: int) -> Text:
    if not beyond:
        return Text(("No week had more failures, or fewer, than chance gives",))
    parts = []
    for record in beyond:
        day = Figure(
            f"failure_weeks.{record['week_start'].isoformat()}.week_start", "week beyond its limits",
            record["week_start"], "date", "first day of the week", f"week {record['beyond']} its 3-sigma limits",
            Source("measures.failure_weeks", f"season={season}, week_start={record['week_start']}"),
        )  # fmt: skip
        parts.append(say("that of {} ({})", day, "more" if record["beyond"] == "above" else "fewer"))
    said = parts[0]
    for place, part in enumerate(parts[1:], start=2):
        said = say("{}{}{}", said, " and " if place == len(parts) else ", ", part)
    if len(parts) == 1:
        return say("One week lies beyond what chance gives: {}", said)
    count = Figure("weeks_beyond", "weeks beyond their limits", len(parts), "count", "weeks", "weeks whose rate lies "
                   "beyond its 3-sigma limits", Source("measures.failure_weeks", f"season={season}"))  # fmt: skip
    return say("{} lie beyond what chance gives: {}", counted(count, "week", "weeks"), said)


def weeks_chart(results: Results) -> Chart | None:
    """The u chart of failures per connection-night by week; None with fewer than two weeks or no failure."""
    records = results.rows("measures.failure_weeks")
    if len(records) < 2 or not any(r["failed_points"] for r in records):
        return None
    points = tuple(
        Point(
            r["week_start"].isoformat(), _day(r["week_start"]), r["per_1000_connection_nights"], r["lower_limit"],
            r["upper_limit"], role="plain" if r["beyond"] == "inside" else "bad",
        )
        for r in records
    )  # fmt: skip
    source = Source("measures.failure_weeks", f"season={results.season}")
    centre = Figure("failure_weeks.centre", "all weeks", records[0]["centre"], "rate", "per 1,000 connection-nights",
                    "failed points of all weeks / their connection-nights x 1,000", source)  # fmt: skip
    return Chart(
        "failure_weeks", "control", _week_finding([r for r in records if r["beyond"] != "inside"], results.season),
        Axis("failures per 1,000 connection-nights", "per 1,000 connection-nights", "rate"), "week beginning",
        (Series("rate", "failures, with the week's limits", points),),
        "failed points of the week / its connection-nights x 1,000; limits are 3 standard deviations for the week's "
        "own connection-nights, and a week on its limit is inside", source, references=(centre,),
    )  # fmt: skip


def connection_chart(results: Results) -> Chart | None:
    """What the failures of one more connection of each kind cost."""
    records = [r for r in results.rows("decisions.connection_price") if r["failure_usd"] is not None]
    if not records:
        return None
    records.sort(key=lambda r: (-r["failure_usd"], r["kind"]))
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


def share_figure(record: Record, season: int) -> Figure:
    """A cause's share of the calls as a figure."""
    return Figure(
        f"causes.{slug(record['cause'])}.share", "share of calls", record["share"], "share", "of all",
        "calls of this cause / all calls",
        Source("measures.failure_causes", f"season={season}, branch=all, cause={record['cause']}"),
    )  # fmt: skip


def cause_chart(results: Results) -> Chart | None:
    """Causes of the calls, the commonest first, with the running share beside each."""
    records = causes(results)
    if not any(r["calls"] for r in records):
        return None
    points = tuple(
        Point(slug(r["cause"]), with_capital(r["word"]), r["calls"], note=f"{r['cumulative_share'] * 100:.0f} %")
        for r in records
    )
    return Chart(
        "causes", "bars",
        say("{} is behind {} of the calls", with_capital(records[0]["word"]), share_figure(records[0], results.season)),
        Axis("calls", "calls", "count"), "cause", (Series("calls", "Calls", points),), "service calls of this cause",
        Source("measures.failure_causes", f"season={results.season}, branch=all"),
        note=Text(("The percentages beside the bars are the running share of all calls.",)),
    )  # fmt: skip
