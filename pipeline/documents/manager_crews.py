"""The manager's sections on crews: side by side, pair by pair; what slows a foot; learning."""

from __future__ import annotations

from typing import Any

from pipeline.documents import manager_crews_tables as crew_tables
from pipeline.documents import wording
from pipeline.documents.build import counted, listed, missing, note, slug, with_capital
from pipeline.documents.manager_charts import crews_compared
from pipeline.documents.manager_tables import crews
from pipeline.documents.model import Axis, Block, Chart, Figure, Point, Section, Series, Source, Text, join, say
from pipeline.documents.results import Results

Record = dict[str, Any]

TIMES = "prep and install hours with it / without it, all else equal, for the same crew"
CAUTIONS = (wording.HOURS_CAUTION, wording.LADDER_CAUTION, wording.FALL_CAUTION)


def crew_pictures(results: Results) -> tuple[Chart, ...]:
    """The crews against the average, and what slows a foot."""
    drawn = (crews_compared(results, crews(results)), slow_chart(results))
    return tuple(chart for chart in drawn if chart is not None)


def crew_sections(results: Results) -> tuple[Section, ...]:
    """Crews side by side, what slows a foot, and what practice gains."""
    return (
        Section("crews", "Crews", _crews(results)),
        Section("slow", "What makes a foot slow", _slow(results)),
        Section("learning", "What practice gains", _learning(results)),
    )


def _crews(results: Results) -> tuple[Block, ...]:
    records = crews(results)
    cautions = [note(text, "caution") for text in CAUTIONS]
    said = [note(sentence) for sentence in results.said("crews")]
    if not records:
        return (*(said or [missing("No hours with a crew were accepted, so crews cannot be compared.")]), *cautions)
    compared = [r for r in records if r.get("ratio") is not None]
    if len(compared) < 2:
        said.insert(0, missing("Crews are shown as they worked; their houses may differ, so they are not ranked."))
    elif not any(r.get("told_apart") for r in compared):
        said.insert(0, note("These crews cannot be told apart: no crew's interval lies clear of the average."))
    blocks: list[Block] = [*said, crew_tables.crew_table(records)]
    blocks += [note(_pair_sentence(results))] if results.rows("decisions.crew_contrasts") else []
    blocks += [t for t in (crew_tables.pair_table(results), crew_tables.season_table(results)) if t is not None]
    return (*blocks, *cautions)


def _count(results: Results, name: str, label: str, value: int, definition: str) -> Figure:
    source = Source("decisions.crew_contrasts", f"season={results.season}")
    return Figure(name, label, value, "count", "pairs", definition, source)


def _pair_sentence(results: Results) -> Text:
    """How many pairs can be told apart, and which crews' houses were too unlike."""
    pairs = results.rows("decisions.crew_contrasts")
    apart = sum(bool(r["told_apart"]) for r in pairs)
    whole = _count(results, "crew_pairs", "pairs of crews", len(pairs), "pairs of crews of a branch that are compared")
    told = _count(results, "crew_pairs_told", "pairs told apart", apart, "pairs whose adjusted chance is below 3 %")
    if apart == 0:
        first = say("Of {} none can be told apart.", counted(whole, "pair of crews", "pairs of crews"))
    else:
        first = say("Of {}, {} can be told apart; the order of the others is not known.",
                    counted(whole, "pair of crews", "pairs of crews"), told)  # fmt: skip
    unlike = [f"{r['crew']} and {r['other_crew']}" for r in pairs if r["note"].endswith("than on the houses")]
    if not unlike:
        return first
    return join(first, f"The houses of {listed(unlike)} were so unlike that their comparison rests on the model.")


def _slow(results: Results) -> tuple[Block, ...]:
    found = crew_tables.multiplier_table(results)
    if found is None:
        return (missing("What makes a foot slow cannot be told: it takes two crews of a branch with eight jobs each."),)
    return (note(slow_sentence(results)), found)


def _multiplier(record: Record, season: int) -> Figure:
    return Figure(
        f"hours_multipliers.{slug(record['term'])}.said", record["what"], record["multiplier"], "ratio", "times",
        TIMES, Source("decisions.hours_multipliers", f"season={season}, term={record['term']}"), low=record["low"],
        high=record["high"],
    )  # fmt: skip


def _clear(results: Results) -> list[Record]:
    """Terms whose interval lies clear of 1, that which costs most hours first; feet are the job's size and no cause."""
    rows = [r for r in results.rows("decisions.hours_multipliers") if r["term"] != "feet"]
    return sorted((r for r in rows if r["low"] > 1), key=lambda r: -r["multiplier"])


def slow_sentence(results: Results) -> Text:
    """What costs most hours, with its interval; or that nothing can be told."""
    slow = _clear(results)
    if not slow:
        return Text(("Nothing that the records hold of a house makes its hours more than chance would.",))
    figure = _multiplier(slow[0], results.season)
    return say(
        "{} takes {} times the hours ({}), all else equal.",
        with_capital(slow[0]["what"]), figure, figure.shown_interval or "",
    )  # fmt: skip


def slow_chart(results: Results) -> Chart | None:
    """Multipliers of hours with their intervals."""
    rows = crew_tables.ordered_multipliers(results)
    if not rows:
        return None
    points = tuple(
        Point(slug(r["term"]), with_capital(r["what"]), r["multiplier"], r["low"], r["high"],
              role="bad" if r["low"] > 1 else "good" if r["high"] < 1 else "quiet")
        for r in rows
    )  # fmt: skip
    one = Figure("no_more_hours", "as many hours", 1, "ratio", "times", "hours neither more nor fewer",
                 Source("decisions.hours_multipliers"))  # fmt: skip
    return Chart(
        "hours_multipliers", "dots", slow_sentence(results), Axis("times the hours", "times", "ratio"), "what it is of",
        (Series("multiplier", "times the hours", points),), TIMES,
        Source("decisions.hours_multipliers", f"season={results.season}"), references=(one,),
    )  # fmt: skip


def _learning(results: Results) -> tuple[Block, ...]:
    said = [missing(sentence) for sentence in results.said("learning")]
    found = crew_tables.learning_table(results)
    if found is None:
        return tuple(said) or (missing("What crews gain with practice cannot be told from these records."),)
    rows = results.rows("decisions.crew_learning")
    learns = [r["crew"] for r in rows if r["told"] == "learns"]
    if learns:
        text = f"With practice {listed(learns)} took fewer hours a foot on equal houses."
    else:
        text = "No crew that began in the records can be said to have gained with practice."
    return (note(text), found, *said, note(wording.LEARNING_METHOD, "method"))
