"""The tables of feeds: those to split, how far a feed goes, circuits over their limit."""

from __future__ import annotations

from typing import Any

from pipeline.documents.build import rows_by, table, without_empty
from pipeline.documents.columns import words
from pipeline.documents.model import Column, Table
from pipeline.documents.results import Results

Record = dict[str, Any]

MOST_LISTED = 20
"""Rows of a list on paper; the store has all of them."""
_FEED = (words("job_no", "Job"), words("branch", "Branch"), words("feed", "Feed"))


def split_table(results: Results) -> Table | None:
    """The feeds to split, the most loaded first; None where none is over a limit."""
    records = sorted(
        results.rows("decisions.feeds_to_split"),
        key=lambda r: (-r["used_share"], str(r["branch"]), str(r["job_no"]), str(r["feed"]), r["place"]),
    )
    if not records:
        return None
    columns = (
        *_FEED,
        words("why", "Passed", "the limit that is passed furthest"),
        Column("used_share", "Load", "of the limit", "percent", "load over the limit that is passed furthest"),
        Column("feet", "Feet", "ft", "feet", "feet of light line on the feed"),
        Column("sockets", "Sockets", "each", "count", "sockets on the feed, those capped or taped later among them"),
        Column("watts", "Watts", "W", "quantity", "watts on the feed"),
        Column("at_ft", "Split at", "ft from the plug", "quantity", "feet along the runs in order of their numbers"),
        words("after", "Where", "the run after which the place lies, or within one"),
        Column(
            "extra_usd", "A feed more", "usd", "usd_cents",
            "a plug's making and a season's failures of it; the cord that reaches it is not counted",
        ),
    )  # fmt: skip
    shown = [
        r | {"after": f"after run {r['after_run']}" if r["after_run"] is not None else "within a run"}
        for r in records[:MOST_LISTED]
    ]
    kept = without_empty(columns, shown)
    rows = rows_by(shown, kept, "decisions.feeds_to_split", ("season", "branch", "job_no", "feed", "place"))
    rest = len(records) - len(shown)
    foot = f"{rest} more {'place is' if rest == 1 else 'places are'} in decisions.feeds_to_split." if rest else None
    return table("feeds_to_split", "Feeds to split", kept, rows, foot)


def reach_table(results: Results) -> Table | None:
    """How far one feed goes at each spacing of the season's runs."""
    records = [r for r in results.rows("decisions.feed_reach") if r["reach_ft"] is not None]
    if not records:
        return None
    kept = without_empty(reach_columns(), records)
    rows = rows_by(records, kept, "decisions.feed_reach", ("season", "spacing_in"))
    return table("feed_reach", "How far one feed goes", kept, rows)


def reach_columns() -> tuple[Column, ...]:
    """The columns of how far a feed goes, the answer first."""
    return (
        Column("spacing_in", "Spacing", "in", "inches", "socket to socket"),
        Column("reach_ft", "A feed ends at", "ft", "feet", "feet at which the first limit comes"),
        words("first_limit", "First limit", "the limit that comes first"),
        Column("feet_ft", "By feet", "ft", "feet", "feet by the limit of feet"),
        Column("sockets_ft", "By sockets", "ft", "feet", "feet by the limit of sockets"),
        Column("watts_ft", "By watts", "ft", "feet", "feet by the limit of watts"),
        Column("drop_share", "Voltage lost there", "of it", "share", "at the far end, lamps evenly spread"),
        Column("drop_ft", "3 % lost at", "ft", "feet", "feet at which the far end has lost 3 % of the voltage"),
    )


def circuit_table(results: Results) -> Table | None:
    """Circuits whose lights pass 80 % of the breaker; None where none does."""
    records = sorted(
        (r for r in results.rows("measures.circuit_loads") if r["is_over"]),
        key=lambda r: (-r["used_share"], str(r["branch"]), str(r["job_no"]), str(r["circuit"])),
    )[:MOST_LISTED]
    if not records:
        return None
    columns = (
        words("job_no", "Job"),
        words("branch", "Branch"),
        words("on", "Circuit"),
        Column("watts", "Watts", "W", "quantity", "watts of the lights on the circuit"),
        Column("watts_limit", "Allowed", "W", "quantity", "80 % of the breaker (NEC 210.20(A))"),
        Column("used_share", "Load", "of the limit", "percent", "watts / watts allowed"),
    )
    shown = [r | {"on": "not named: all its lights" if r["circuit"] is None else r["circuit"]} for r in records]
    rows = rows_by(shown, columns, "measures.circuit_loads", ("season", "branch", "job_no", "circuit"))
    return table("circuits_over", "Circuits over 80 % of their breaker", columns, rows)
