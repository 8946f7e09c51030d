"""The manager's tables of connections: failures, their comparison, the price of a connection, causes, calls."""

from __future__ import annotations

from typing import Any

from pipeline.documents.build import rows_by, table, without_empty
from pipeline.documents.columns import column, estimate, ratio, words
from pipeline.documents.model import Column, Row, Table
from pipeline.documents.parts import share_of, total
from pipeline.documents.results import Results

Record = dict[str, Any]

KIND_WORDS = {
    "plug": "plug",
    "inline_tap": "inline tap",
    "splice": "splice",
    "taped_socket": "taped socket",
    "capped_socket": "capped socket",
    "timer": "timer",
    "cord_joint": "cord joint",
    "all": "all kinds",
}
"""Kinds of connection as they are spoken of."""
CAUSE_WORDS = {"gfci_trip": "GFCI trip"}

_RATE = "failed points / connection-nights x 1,000, with exact Poisson limits widened where failures come in clusters"
_DUE = "failed points / those that the same kinds had in the same weeks over all jobs"


def kind_word(kind: str | None) -> str:
    """A kind of connection as it is spoken of."""
    return "kind not known" if kind is None else KIND_WORDS.get(kind, kind)


def failures(results: Results) -> list[Record]:
    """Failures by kind over all branches, the worst first; without the sum of all kinds."""
    rows = results.rows("measures.connection_failures", branch="all")
    kinds = [r for r in rows if r["kind"] != "all" and r["connections"]]
    return sorted(kinds, key=lambda r: (-(r["per_1000_connection_nights"] or 0), str(r["kind"])))


def all_failures(results: Results) -> Record | None:
    """Failures over all kinds and branches."""
    return results.row("measures.connection_failures", branch="all", kind="all")


def failure_table(results: Results) -> Table:
    """Failures by kind with their limits, raw beside pooled, and over all kinds."""
    columns: tuple[Column, ...] = (
        words("word", "Kind"),
        column("connections"),
        column("connection_nights"),
        column("failed_points"),
        estimate("per_1000_connection_nights", "low", "high", definition=_RATE),
        Column("pooled", "Pooled", "per 1,000 connection-nights", "rate", "the same, drawn toward the rate of all "
               "kinds by how few failures there are", "pooled_low", "pooled_high"),
        Column("most_per_1000", "At most", "per 1,000 connection-nights", "rate", "the rate if every failed point of "
               "no known kind were of this kind; the least is the rate itself"),
    )  # fmt: skip
    records = failures(results)
    whole = all_failures(results)
    shown = [r | {"word": kind_word(r["kind"])} for r in (*records, *((whole,) if whole else ()))]
    if whole is None or not whole["unknown_kind_points"]:
        shown = [r | {"most_per_1000": None} for r in shown]
    columns = without_empty(columns, shown)
    rows = rows_by(shown, columns, "measures.connection_failures", ("season", "branch", "kind"))
    rows = tuple(Row(r.key.removeprefix("all."), r.cells, r.source, r.key == "all.all") for r in rows)
    return table("failures", "Failures by kind of connection", columns, rows)


def ratio_table(results: Results) -> Table | None:
    """The pairs of kinds that can be told apart."""
    apart = [r for r in results.rows("decisions.connection_ratios") if r["told_apart"]]
    if not apart:
        return None
    columns = (
        words("word", "Kind"),
        words("against", "Held against"),
        Column("ratio", "Rate over rate", "ratio", "ratio", "failures per connection-night of the kind / of the other, "
               "by the exact conditional test, limits of this pair alone", "low", "high"),
        Column("chance_all_pairs", "Chance if equal", "over all pairs", "chance", "two-sided chance of as great a "
               "difference were the rates equal, adjusted for the number of pairs (Holm 1979)"),
    )  # fmt: skip
    shown = [r | {"word": kind_word(r["kind"]), "against": kind_word(r["other"])} for r in apart]
    shown.sort(key=lambda r: (r["chance_all_pairs"], r["kind"], r["other"]))
    rows = rows_by(shown, columns, "decisions.connection_ratios", ("season", "kind", "other"))
    return table("connection_ratios", "Kinds that can be told apart", columns, rows)


def _group_columns(heading: str) -> tuple[Column, ...]:
    return (
        words("word", heading),
        column("jobs", definition="jobs with connections"),
        column("failed_points"),
        Column("expected_points", "Due", "points", "expected", "failed points that the same kinds had in the same "
               "weeks over all jobs"),
        estimate("per_1000_connection_nights", "low", "high", definition=_RATE),
        ratio("ratio", "Failed / due", _DUE, "ratio_low", "ratio_high"),
        ratio("pooled_ratio", "Pooled", "the same, drawn toward that of all by how few failures there are",
              "pooled_low", "pooled_high"),
    )  # fmt: skip


def group_table(results: Results, view: str, heading: str, title: str) -> Table | None:
    """Failures of crews or surfaces, the most for what was due first; None without rows."""
    records = [r for r in results.rows("measures.failure_groups", view=view) if r["connection_nights"]]
    if not records:
        return None
    several = len({r["branch"] for r in records}) > 1
    shown = [r | {"word": f"{r['name']} ({r['branch']})" if several else str(r["name"])} for r in records]
    shown.sort(key=lambda r: (-(r["ratio"] or 0), r["branch"], r["name"]))
    columns = without_empty(_group_columns(heading), shown)
    rows = rows_by(shown, columns, "measures.failure_groups", ("season", "view", "branch", "name"))
    return table(f"failures_by_{view}", title, columns, rows)


def term_table(results: Results) -> Table | None:
    """What multiplies failures, the rest equal."""
    records = results.rows("decisions.failure_terms")
    if not records:
        return None
    columns = (
        words("what", "What"),
        words("than", "Held against"),
        ratio("multiplier", "Times the failures", "failures per connection-night / those of what it is held against, "
              "kind, surface and age equal otherwise", "low", "high"),
    )  # fmt: skip
    shown = [r | {"what": _spoken(r["level"]), "than": _spoken(r["against"])} for r in records]
    rows = rows_by(shown, columns, "decisions.failure_terms", ("season", "term", "level"))
    return table("failure_terms", "What goes with more failures, the rest equal", columns, rows)


def _spoken(level: str) -> str:
    return KIND_WORDS.get(level, level)


def connection_table(results: Results) -> Table | None:
    """What one more connection of a kind costs, the dearest failures first."""
    records = sorted(
        results.rows("decisions.connection_price"),
        key=lambda r: (r["place_in_order"] is None, r["place_in_order"] or 0),
    )
    if not records:
        return None
    columns = (
        words("word", "Kind"),
        Column("parts_usd", "Parts of it", "usd each", "usd_cents", "the pieces that it is made with, as far as "
               "known, and the setting joint_parts"),
        column("make_usd", definition="minutes at the loaded pay of an installing hour, and parts"),
        estimate("failure_usd", "low", "high", heading="A season's failures"),
        Column("price_usd", "Together", "usd each", "usd_cents", "making it, and a season's failures", "price_low",
               "price_high"),
        column("per_connection", heading="Failures"),
    )  # fmt: skip
    shown = [r | {"word": kind_word(r["kind"]), "per_connection": r["rate_per_connection"]} for r in records]
    kept = without_empty(columns, shown)
    rows = rows_by(shown, kept, "decisions.connection_price", ("season", "kind"))
    return table("connection_price", "What one more connection costs", kept, rows)


def causes(results: Results) -> list[Record]:
    """Causes of the service calls, the commonest first, with the running share."""
    rows = sorted(results.rows("measures.failure_causes", branch="all"), key=lambda r: (-r["calls"], str(r["cause"])))
    whole, running, out = total(r["calls"] for r in rows), 0, []
    for record in rows:
        running += record["calls"]
        cause = record["cause"] or "not known"
        out.append(
            record
            | {"word": CAUSE_WORDS.get(cause, cause.replace("_", " ")), "share": share_of(record["calls"], whole)}
            | {"cumulative_share": share_of(running, whole)}
        )
    return out


def cause_table(records: list[Record]) -> Table:
    """Causes with their shares."""
    columns = (words("word", "Cause"), *map(column, ("calls", "points", "share", "cumulative_share")))
    rows = rows_by(records, columns, "measures.failure_causes", ("season", "branch", "cause"))
    rows = tuple(Row(r.key.removeprefix("all."), r.cells, r.source) for r in rows)
    return table("causes", "What the calls were about", columns, rows)


def call_table(results: Results) -> Table | None:
    """Days from a call to its mending, and what a call and a point cost."""
    records = []
    costs = {r["branch"]: r for r in results.rows("measures.service_cost")}
    for record in results.rows("measures.call_times"):
        branch = "all branches" if record["branch"] == "all" else record["branch"]
        records.append(costs.get(record["branch"], {}) | record | {"word": branch})
    if len({r["branch"] for r in records}) == 2:
        records = [r for r in records if r["branch"] == "all"]
    if not records:
        return None
    records.sort(key=lambda r: (r["branch"] == "all", r["branch"]))
    columns = (
        words("word", "Branch"),
        column("calls"),
        Column("open_calls", "Still open", "calls", "count", "calls that were not mended by the end of the records"),
        Column("median_days", "Half mended within", "days", "days", "days within which half of the calls were mended, "
               "open ones counted as still waiting (Kaplan and Meier 1958)", "median_low", "median_high"),
        Column("p90_days", "Nine of ten within", "days", "days", "days within which nine calls of ten were mended, "
               "open ones counted as still waiting (Kaplan and Meier 1958)", "p90_low", "p90_high"),
        Column("usd_per_call", "A call cost", "usd", "usd_cents", "realized service cost / calls"),
        Column("usd_per_point", "A point cost", "usd", "usd_cents", "realized service cost / failed points"),
    )  # fmt: skip
    kept = without_empty(columns, records)
    rows = rows_by(records, kept, "measures.call_times", ("season", "branch"))
    rows = tuple(Row(r.key, r.cells, r.source, r.key == "all" and len(rows) > 1) for r in rows)
    return table("calls", "Service calls", kept, rows)
