"""The sheet to hang up in the shop: what a season taught, on one page, with nobody's name on it."""

from __future__ import annotations

from typing import Any

from pipeline.documents.build import counted, listed, missing, note, rows_by, slug, table, with_capital, without_empty
from pipeline.documents.columns import column, ratio, words
from pipeline.documents.manager_connections_charts import article
from pipeline.documents.manager_connections_tables import all_failures, causes, failures, kind_word
from pipeline.documents.manager_feeds_tables import reach_columns
from pipeline.documents.model import Block, Document, Figure, Section, Source, Table, Text, join, say
from pipeline.documents.results import Results
from pipeline.documents.wording import FEED_FIRST, HOURS_CAUTION

Record = dict[str, Any]

NAME = "crew-sheet"
MOST_TERMS = 6
"""Things that slow a foot, on a page that must stay one."""
OF_A_JOB = "feet"
"""The term that says what more feet do to a job's hours: of a foot it says nothing."""
MOST_CAUSES = 3
MOST_SPACINGS = 4
DOS = (
    "Stand the ladder's foot a quarter of its working length out from the wall (29 CFR 1926.1053(b)(5)(i)), its side "
    "rails 3 ft above the landing (29 CFR 1926.1053(b)(1)).",
    "Face the ladder, one hand on it, and carry nothing that could throw you off (29 CFR 1926.1053(b)(20) to (22)*).",
    "Near live parts use a ladder whose side rails do not conduct (29 CFR 1926.1053(b)(12)*).",
    "At 6 ft or more above a lower level be held: rail, net or harness (29 CFR 1926.501(b)(1)).",
    "Ice, wind, lightning: come down. No foot is worth a fall.",
    "Plug outdoors into a receptacle with GFCI protection (NEC 210.8(A)*). One that trips has found a fault: look for "
    "water in a joint, never go round the GFCI.",
    "Unplug a line before you cut, join, cap or seal it.",
)
"""What to do this season. A star: the paragraph is given from memory."""
STAR = "* The paragraph is given from memory; look it up. Local code and the maker's label may ask for more."


def crew_sheet_document(results: Results) -> Document:
    """The sheet of a season, for every crew alike."""
    return Document(
        NAME,
        "For every crew: what the season taught",
        results.season,
        results.firm,
        Text((f"{HOURS_CAUTION.split('. ')[0]}. Plan the time that a house needs.",)),
        (),
        (
            Section("dos", "On the ladder, the roof and the line", (*map(note, DOS), note(STAR, "method"))),
            Section("slow", "What slows a foot", _slow(results)),
            Section("joints", "Joints that failed, and why", _joints(results)),
            Section("feeds", "How far one feed goes", _feeds(results)),
        ),
        layout="sheet",
    )


def _slow(results: Results) -> tuple[Block, ...]:
    told = [
        r for r in results.rows("decisions.hours_multipliers")
        if r["term"] != OF_A_JOB and r["low"] is not None and r["high"] is not None and (r["low"] > 1 or r["high"] < 1)
    ]  # fmt: skip
    if not told:
        return (missing("The season's records do not tell what makes a foot slow."),)
    told.sort(key=lambda r: (-r["multiplier"], str(r["term"])))
    columns = (
        words("what", "What"),
        ratio(
            "multiplier",
            "Times the hours",
            "prep and install hours with it / without it, all else equal",
            "low",
            "high",
        ),
    )
    shown = [r | {"what": with_capital(str(r["what"]))} for r in _strongest(told)]
    rows = rows_by(shown, columns, "decisions.hours_multipliers", ("season", "term"))
    return (table("slow_foot", "Hours on such a house, all else alike", columns, rows),)


def _strongest(told: list[Record]) -> list[Record]:
    """The terms furthest from 1, in their order."""
    kept = sorted(told, key=lambda r: -max(r["multiplier"], 1 / r["multiplier"]))[:MOST_TERMS]
    return [r for r in told if r in kept]


def _joints(results: Results) -> tuple[Block, ...]:
    whole = all_failures(results)
    if not whole or not whole["connections"] or whole["failed_points"] is None:
        return (missing("Connections or service calls were not written down, so nothing is known of joints."),)
    source = Source("measures.connection_failures", f"season={results.season}, branch=all, kind=all")
    built = Figure(
        "connections", "connections built", whole["connections"], "count", "each", "connections built", source
    )
    failed = Figure("failed_points", "points that failed", whole["failed_points"], "count", "points",
                    "failed points of a known kind", source)  # fmt: skip
    said = say("{} at {}.", counted(failed, "point of a known kind failed", "points of known kinds failed"),
               counted(built, "connection", "connections"))  # fmt: skip
    kinds = _kinds(results)
    return (note(join(said, _causes(results))), *((kinds,) if kinds else ()), note(_avoid(results)))


def _causes(results: Results) -> Text | str:
    """The commonest causes of calls, those with a name."""
    known = [r for r in causes(results) if r["cause"] not in (None, "other")][:MOST_CAUSES]
    if not known:
        return ""
    parts = []
    for record in known:
        share = Figure(
            f"causes.{slug(record['cause'])}.share", "share of calls", record["share"], "percent", "of all",
            "calls of this cause / all calls",
            Source("measures.failure_causes", f"season={results.season}, branch=all, cause={record['cause']}"),
        )  # fmt: skip
        parts.append(say("{} ({})", record["word"], share))
    said = parts[0]
    for place, part in enumerate(parts[1:], start=2):
        said = say("{}{}{}", said, " and " if place == len(parts) else ", ", part)
    return say("The commonest reasons for a call: {}.", said)


def _kinds(results: Results) -> Table | None:
    records = failures(results)
    if not records:
        return None
    columns = (
        words("word", "Kind"), column("connections", heading="Built"), column("failed_points"),
        column("per_1000_connection_nights", heading="Failures", unit="per 1,000 nights lit", low="low", high="high"),
    )  # fmt: skip
    shown = [r | {"word": kind_word(r["kind"])} for r in records]
    rows = rows_by(shown, columns, "measures.connection_failures", ("season", "kind"))
    return table("kinds", "By kind, the most failures first", columns, rows)


def _avoid(results: Results) -> Text:
    """Which kinds failed more than another beyond chance; the label and the code decide what may take their place."""
    better: dict[str, set[str]] = {}
    for pair in results.rows("decisions.connection_ratios"):
        if pair["told_apart"]:
            better.setdefault(pair["kind"], set()).add(pair["other"])
    worse = [r["kind"] for r in failures(results) if r["kind"] in better]
    if not worse:
        return Text(("No kind of joint can be told from the others by its failures: none is to be avoided for them.",))
    best = failures(results)[-1]["kind"]
    beaten = [kind for kind in worse if best in better[kind]]
    if not beaten:
        beaten, best = worse[:1], sorted(better[worse[0]])[-1]
    lead = (
        "Avoid where the label and the local code leave a choice: {}, which failed more often than {}, beyond chance."
    )
    return Text((lead.format(listed([kind_word(kind) for kind in beaten]), article(best).lower()),))


def _feeds(results: Results) -> tuple[Block, ...]:
    first = note(FEED_FIRST.replace("limit and list", "figure"), "caution")
    records = [r for r in results.rows("decisions.feed_reach") if r["reach_ft"] is not None]
    if not records:
        return (first,)
    common = sorted(records, key=lambda r: -r["feet_hung"])[:MOST_SPACINGS]
    shown = [r for r in records if r in common]
    columns = without_empty(reach_columns()[:3], shown)
    rows = rows_by(shown, columns, "decisions.feed_reach", ("season", "spacing_in"))
    return (first, table("feed_reach", "End a feed at the first limit", columns, rows))
