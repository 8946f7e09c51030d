"""The manager's report: which crews and connections ask for attention, and how sure that is."""

from __future__ import annotations

from typing import Any

from pipeline.documents import manager_charts as charts
from pipeline.documents import manager_connections as connections
from pipeline.documents import manager_crews as crew_parts
from pipeline.documents import manager_feeds as feeds
from pipeline.documents import manager_tables as tables
from pipeline.documents import wording
from pipeline.documents.build import missing, slug
from pipeline.documents.closing import closing_section
from pipeline.documents.compare import manager_changes
from pipeline.documents.manager_crews_checks import crew_check_section
from pipeline.documents.manager_crews_tables import mix_table
from pipeline.documents.model import Document, Figure, Section, Source, Text, join, say
from pipeline.documents.parts import more_than, share_of, total
from pipeline.documents.results import Results

Record = dict[str, Any]


def manager_document(results: Results) -> Document:
    """The manager's report of a season."""
    crews = tables.crews(results)
    hours = tables.hours_table(results)
    pictures = (
        *crew_parts.crew_pictures(results),
        *connections.connection_pictures(results),
        charts.hours_chart(hours, results.season) if hours else None,
        *feeds.feed_pictures(results),
    )
    shown = [found for found in (hours, mix_table(results)) if found is not None]
    drawn = tuple(chart for chart in pictures if chart is not None)
    sections = [Section("pictures", "The season in pictures", drawn)] if drawn else []
    return Document(
        "manager",
        "Crews and connections: where the hours and the faults are",
        results.season,
        results.firm,
        _lead(results, crews),
        _figures(results, crews),
        (
            *sections,
            *crew_parts.crew_sections(results),
            Section("hours", "Hours", tuple(shown) or (missing("No hours were accepted."),)),
            *connections.connection_sections(results),
            *feeds.feed_sections(results),
            manager_changes(results),
            *crew_check_section(results),
            _closing(results),
        ),
    )


def _hours_figure(results: Results, crews: list[Record]) -> Figure | None:
    worked = [r for r in crews if r["feet"]]
    hours = total(h for r in worked for h in (r["prep_hours"], r["install_hours"]))
    per_foot = share_of(hours, total(r["feet"] for r in worked))
    if not per_foot:
        return None
    return Figure(
        "hours_per_100_ft", "to prepare and install 100 ft", per_foot * 100, "hours_per_100_ft", "h/100 ft",
        "prep and install hours of all crews / their feet x 100",
        Source("measures.crew_hours", f"season={results.season}"),
    )  # fmt: skip


def _slowest(results: Results, crews: list[Record]) -> Figure | None:
    """The crew that took most hours beyond what its houses ask for, if it can be told apart."""
    compared = [r for r in crews if r.get("ratio") is not None]
    slow = compared[0] if len(compared) > 1 else None
    if slow is None or not slow.get("told_apart") or slow["ratio"] <= 1:
        return None
    name = tables.crew_label(slow, tables.several_branches(compared))
    return Figure(
        f"slowest_crew.{slug(slow['branch'], slow['crew'])}.more_hours",
        f"more hours than the average crew on equal houses: {name}",
        more_than(slow["ratio"], 1), "percent", "of expected hours",
        "observed / expected prep and install hours, less 1, of the crew with the highest ratio",
        Source("decisions.crew_comparison", f"season={results.season}, branch={slow['branch']}, crew={slow['crew']}"),
        low=more_than(slow.get("all_low"), 1), high=more_than(slow.get("all_high"), 1),
    )  # fmt: skip


def _told_apart(results: Results, crews: list[Record]) -> Figure | None:
    """How many crews lie clear of the average."""
    compared = [r for r in crews if r.get("ratio") is not None]
    if len(compared) < 2:
        return None
    return Figure(
        "crews_told_apart", "crews can be told apart from the average",
        sum(bool(r["told_apart"]) for r in compared), "count", "crews",
        "crews whose interval of observed / expected hours lies clear of the average",
        Source("decisions.crew_comparison", f"season={results.season}"),
    )  # fmt: skip


def _figures(results: Results, crews: list[Record]) -> tuple[Figure, ...]:
    crew = _slowest(results, crews) or _told_apart(results, crews)
    last = feeds.loaded_figure(results) or connections.days_figure(results)
    known = (_hours_figure(results, crews), crew, connections.rate_of_all(results), last)
    return tuple(figure for figure in known if figure is not None)


def _lead(results: Results, crews: list[Record]) -> Text:
    return join(
        _crew_sentence(results, crews), connections.failure_sentence(results), feeds.feed_sentence(results) or ""
    )


def _crew_sentence(results: Results, crews: list[Record]) -> Text:
    compared = [r for r in crews if r.get("ratio") is not None]
    if len(compared) < 2:
        why = " ".join(results.said("crews"))
        return Text((why or "The crews cannot be compared on equal houses from these records.",))
    slow = _slowest(results, crews)
    if slow is None:
        return Text((f"{charts.crew_finding(compared, tables.several_branches(compared))}.",))
    name = tables.crew_label(compared[0], tables.several_branches(compared))
    return say("{} took {} more hours than the average crew would have on the same houses: see first what holds "
               "it up.", name, slow)  # fmt: skip


def _closing(results: Results) -> Section:
    methods = (
        wording.CREW_METHOD,
        wording.CREW_LIMITS_METHOD,
        wording.POOLED_METHOD,
        *connections.connection_methods(results),
        *feeds.feed_methods(results),
    )
    return closing_section(results, "manager", methods, ())
