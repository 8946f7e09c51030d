"""The manager's sections of connections: which fail, what one costs, how long a repair takes."""

from __future__ import annotations

from typing import Any

from pipeline.decisions.policy import CLUSTER_CHANCE
from pipeline.documents import manager_connections_charts as charts
from pipeline.documents import manager_connections_tables as tables
from pipeline.documents import wording
from pipeline.documents.build import counted, missing, note
from pipeline.documents.manager_connections_gaps import gap_section
from pipeline.documents.model import Block, Chart, Figure, Section, Source, Text, say
from pipeline.documents.parts import exact, share_of
from pipeline.documents.results import Results

Record = dict[str, Any]

METHODS = (
    wording.RATE_METHOD, wording.DUE_METHOD, wording.RATIO_METHOD, wording.WEEK_METHOD, wording.CONNECTION_METHOD,
)  # fmt: skip


def connection_pictures(results: Results) -> tuple[Chart, ...]:
    """The charts of connections that the records allow."""
    drawn = (
        charts.failures_chart(results), charts.weeks_chart(results), charts.connection_chart(results),
        charts.cause_chart(results),
    )  # fmt: skip
    return tuple(chart for chart in drawn if chart is not None)


def connection_sections(results: Results) -> tuple[Section, ...]:
    """Failure points, the ways of crossing a gap, service calls."""
    gaps = gap_section(results)
    return (
        Section("failures", "Failure points", _failures(results)),
        *((gaps,) if gaps else ()),
        Section("calls", "Service calls", _calls(results)),
    )


def connection_methods(results: Results) -> tuple[str, ...]:
    """How the figures of connections were computed."""
    return (*METHODS, wording.GAP_METHOD) if results.rows("decisions.gap_crossings") else METHODS


def rate_of_all(results: Results) -> Figure | None:
    """Failures of all kinds as a figure of the first screen."""
    whole = tables.all_failures(results)
    if not whole or whole["per_1000_connection_nights"] is None:
        return None
    rate = charts.rate_figure(whole, results.season)
    return Figure(**{**vars(rate), "label": "failures per 1,000 connection-nights"})


def days_figure(results: Results) -> Figure | None:
    """Days within which half of the calls were mended."""
    times = results.row("measures.call_times", branch="all")
    if not times or times["median_days"] is None:
        return None
    return Figure(
        "median_days", "from a call to its mending, in the middle case", times["median_days"], "days", "days",
        "days within which half of the calls were mended, open ones counted as still waiting",
        Source("measures.call_times", f"season={results.season}, branch=all"),
        low=times.get("median_low"), high=times.get("median_high"),
    )  # fmt: skip


def failure_sentence(results: Results) -> Text:
    """What the season says of failures, for the head of the report."""
    whole = tables.all_failures(results)
    if not whole or not tables.failures(results):
        return Text(("Nothing can be said about failures: no connections with nights lit are in the records.",))
    if whole["failed_points"] is None:
        return Text(("Nothing can be said about failures: service calls were not handed in for every branch.",))
    if not whole["failed_points"]:
        return say("{}", _no_failure(results, whole))
    sentence = charts.failure_finding(results)
    causes = [r for r in tables.causes(results) if r["cause"] not in (None, "other")]
    if not causes:
        return say("{}.", sentence)
    return say("{}; {} is behind {} of the calls.", sentence, causes[0]["word"],
               charts.share_figure(causes[0], results.season))  # fmt: skip


def _no_failure(results: Results, whole: Record) -> Text:
    """No failed point is not a rate of nothing."""
    if whole["high"] is None:
        return Text(("No connection failed this season.",))
    most = Figure(
        "failures.all.high", "upper limit of the rate of all kinds", whole["high"], "rate",
        "per 1,000 connection-nights", "upper 95 % limit of no failure (Garwood 1936)",
        Source("measures.connection_failures", f"season={results.season}, branch=all, kind=all"),
    )  # fmt: skip
    return say("No connection failed this season; up to {} in 1,000 connection-nights would not contradict that.", most)


def _failures(results: Results) -> tuple[Block, ...]:
    if not tables.failures(results):
        text = "No connections with nights lit are in the records, so failure rates cannot be given (level 3 would)."
        return (missing(text), note(wording.CODE_CAUTION, "caution"))
    whole = tables.all_failures(results)
    blocks: list[Block] = []
    if whole and whole["failed_points"] == 0:
        blocks.append(note(_no_failure(results, whole)))
    if whole and whole["failed_points"] is None:
        blocks.append(
            missing("Service calls were not handed in for every branch: rates over all branches are unknown.")
        )
    blocks += [tables.failure_table(results), *_unknown_kinds(results), *_clusters(results), *_told_apart(results)]
    for view, heading, title in (
        ("crew", "Crew that led", "Failures on the jobs that a crew built"),
        ("surface", "Surface", "Failures by the surface that most of the job is on"),
    ):
        found = tables.group_table(results, view, heading, title)
        blocks += [found] if found and whole and whole["failed_points"] else []
    terms = tables.term_table(results)
    blocks += [terms] if terms else []
    blocks += [note(sentence) for sentence in results.said("failures")]
    blocks += _repeats(results)
    prices = tables.connection_table(results)
    blocks += [prices, *_fault(results)] if prices else [missing("The price of one more connection cannot be given.")]
    blocks += [note(sentence) for sentence in results.said("connections")]
    cautions = (wording.RATES_CAUTION, wording.LISTING_CAUTION, wording.CODE_CAUTION)
    return (*blocks, *(note(text, "caution") for text in cautions))


def _unknown_kinds(results: Results) -> list[Block]:
    """The share of failed points of no known kind, and the least and the most that they allow."""
    whole = tables.all_failures(results)
    if not whole or not whole.get("unknown_kind_points") or whole["per_1000_connection_nights"] is None:
        return []
    source = Source("measures.connection_failures", f"season={results.season}, branch=all, kind=all")
    count = Figure("unknown_kind_points", "failed points of no known kind", whole["unknown_kind_points"], "count",
                   "points", "failed points on calls that name no kind of connection", source)  # fmt: skip
    # The points of no known kind are not among the failed points of the kinds.
    unknown = exact(whole["unknown_kind_points"])
    part = share_of(unknown, unknown + whole["failed_points"])
    share = Figure("unknown_kind_share", "their share", part, "share", "of failed points",
                   "points of no known kind / (points of no known kind + points of the kinds)", source)  # fmt: skip
    ends = [
        Figure(f"unknown_kind_{name}", f"{name} rate of all kinds", whole[key], "rate", "per 1,000 connection-nights",
               f"failed points of the kinds{more} / connection-nights x 1,000", source)
        for name, key, more in (("least", "per_1000_connection_nights", ""),
                                ("most", "most_per_1000", " and of no known kind"))
    ]  # fmt: skip
    said = counted(count, "failed point has", "failed points have")
    none, each = ("it was not", "it was") if count.value == 1 else ("none of them was", "all of them were")
    return [
        missing(
            say("{} no known kind, {} of all: the rate of all kinds is {} if " + none + " at a connection and {} if "
                + each + ".", said, share, *ends)
        )
    ]  # fmt: skip


def _clusters(results: Results) -> list[Block]:
    """Whether failures come in clusters, by Pearson's chi-square, and by how much limits are widened."""
    found = results.row("measures.failure_dispersion", view="kind")
    if not found or not found["freedom"]:
        return []
    source = Source("measures.failure_dispersion", f"season={results.season}, view=kind")
    figures = {
        key: Figure(f"failure_dispersion.{key}", label, found[key], form, unit, definition, source)
        for key, label, form, unit, definition in (
            ("factor", "spread over jobs", "number", "times", "squares of the deviations of jobs' counts / those of "
             "Poisson counts, by kind"),
            ("pearson", "Pearson's chi-square", "count", "chi-square", "(count - expected)^2 / expected over jobs and "
             "kinds"),
            ("freedom", "degrees of freedom", "count", "cells less kinds", "jobs' counts by kind less the kinds"),
            ("chance", "chance of as much", "chance", "chance", "share of draws of Poisson counts of the same totals "
             "whose chi-square is as large"),
        )
    }  # fmt: skip
    freedom = counted(figures["freedom"], "degree of freedom", "degrees of freedom")
    by_chance = say("chi-square {} on {}, chance {}", figures["pearson"], freedom, figures["chance"])
    if found["chance"] < CLUSTER_CHANCE:
        text = say("Failures of a kind come in clusters on jobs ({}): they spread {} times as much as chance alone "
                   "would spread them, and limits are widened for it.", by_chance, figures["factor"])  # fmt: skip
    elif found["factor"] > 1:
        text = say("Failures of a kind spread over jobs {} times as much as chance alone would spread them, which "
                   "could be chance itself ({}); limits are widened by it all the same.", figures["factor"],
                   by_chance)  # fmt: skip
    else:
        text = say(
            "Failures of a kind are spread over jobs no more than chance alone would spread them ({}).", by_chance
        )
    return [note(text)]


def _told_apart(results: Results) -> list[Block]:
    pairs = results.rows("decisions.connection_ratios")
    if not pairs or not any(r["failed_points"] for r in pairs):
        return []
    known = tables.ratio_table(results)
    alike = sum(not r["told_apart"] for r in pairs)
    count = Figure("pairs_alike", "pairs of kinds that cannot be told apart", alike, "count", "pairs", "pairs whose "
                   "chance over all pairs is not under the level of error",
                   Source("decisions.connection_ratios", f"season={results.season}"))  # fmt: skip
    if known is None:
        return [note("No two kinds of connection can be told apart by their failures: what differs could be chance.")]
    if not alike:
        return [known]
    return [known, note(say("{} of kinds cannot be told apart.", counted(count, "other pair", "other pairs")))]


def _repeats(results: Results) -> list[Block]:
    """Recurrent failures, as far as records that name no point can tell."""
    row = results.row("measures.failure_repeats", branch="all", kind="all")
    if not row or not row["failed_points"]:
        return []
    source = Source("measures.failure_repeats", f"season={results.season}, branch=all, kind=all")
    failed, later, sure = (
        Figure(f"failure_repeats.{key}", label, row[key], "count", "points", definition, source)
        for key, label, definition in (
            ("failed_points", "failed points", "points that failed"),
            ("later_points", "on later calls", "points that failed on a job's later calls for the same kind"),
            ("sure_repeats", "surely again", "points that failed beyond the number that the job has"),
        )
    )
    if not row["later_points"] and not row["sure_repeats"]:
        return [note("No connections of a job failed again after a first call for their kind.")]
    least = say("at least {}", sure) if row["sure_repeats"] else Text(("perhaps none",))
    return [
        note(
            say("Of {}, {} on a job's later call for the same kind: at most so many failed again, {}, since the "
                "records name the kind and not the point. Each failure counts: a mended point is at risk again.",
                counted(failed, "failed point", "failed points"), counted(later, "was", "were"), least)
        )
    ]  # fmt: skip


def _fault(results: Results) -> list[Block]:
    row = results.rows("decisions.connection_price")[0]
    service = results.row("measures.service_cost", branch="all")
    if not service:
        return []
    source = Source("measures.service_cost", f"season={results.season}, branch=all")
    fault = Figure("fault_usd", "cost of a fault", row["fault_usd"], "usd_cents", "usd", "realized service cost / "
                   "failed points", source)  # fmt: skip
    points = Figure("fault_points", "failed points", service["failed_points"], "count", "points", "points that failed "
                    "on service calls, at connections or not", source)  # fmt: skip
    return [
        note(
            say("A fault is counted at {}: the season's cost of service over {}, at connections or not.", fault,
                counted(points, "failed point", "failed points"))
        )
    ]  # fmt: skip


def _calls(results: Results) -> tuple[Block, ...]:
    records = tables.causes(results)
    calls = tables.call_table(results)
    if not records and calls is None:
        return (
            missing("No service calls are in the records (level 4 has them): nothing is known of causes and days."),
        )
    blocks: list[Block] = [tables.cause_table(records)] if records else []
    return (*blocks, calls) if calls else tuple(blocks)
