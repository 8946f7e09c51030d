"""A season against the one before it: what changed, what made it, and which of it is more than chance would make."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from pipeline.documents.build import counted, listed, missing, note, row, table, with_capital
from pipeline.documents.columns import words
from pipeline.documents.manager_connections_tables import kind_word
from pipeline.documents.model import Block, Column, Estimate, Figure, Note, Row, Section, Source, Table, Text, join, say
from pipeline.documents.parts import exact, share_of, total
from pipeline.documents.results import Results, label_of
from pipeline.documents.wording import CHANGE_METHOD, CHANGE_ONE_SEASON, change_words

Record = dict[str, Any]

TITLE = "What changed since the season before"
SOURCE = "decisions.season_changes"
MIX_SHARES = (
    ("drive", "Driving"), ("weather", "Waiting for weather"), ("shop", "Shop"), ("training", "Training"),
    ("overtime", "Overtime"),
)  # fmt: skip
"""Shares of paid hours that are held against the season before, by their column in measures.crew_hours_mix."""


def base_of(results: Results) -> int | None:
    """The season before this one in the store, as far as costs are there."""
    before = [r["season"] for r in results.rows("all:measures.season_cost", branch="all")]
    return max((season for season in before if season < results.season), default=None)


def apart_note(results: Results, base: int) -> tuple[Note, ...]:
    """That seasons between the two are not in the store, where they are not."""
    if base == results.season - 1:
        return ()
    return (missing(f"The season before in the store is {label_of(base)}; the ones between are not there."),)


def manager_changes(results: Results) -> Section:
    """Pace, faults, the mix of hours and feeds against the season before, for the manager."""
    changes = {(r["measure"], r["what"]): r for r in results.rows(SOURCE)}
    if not changes:
        return Section("changed", TITLE, (missing(CHANGE_ONE_SEASON),))
    base = next(iter(changes.values()))["base_season"]
    said = (_pace_words(changes, base), _fault_words(changes, base), _sure_words(changes))
    notes = [note(text) for text in said if text is not None]
    tables = (_ratio_table(changes, results.season, base), _share_table(results, changes, base))
    shown = [found for found in tables if found is not None]
    blocks: tuple[Block, ...] = (*notes, *apart_note(results, base), *shown, note(CHANGE_METHOD, "method"))
    return Section("changed", TITLE, blocks)


def _source(record: Record) -> Source:
    return Source(SOURCE, f"season={record['season']}, measure={record['measure']}, what={record['what']}")


def _rate(record: Record, key: str, form: str, label: str, definition: str) -> Figure:
    name = f"season_changes.{record['measure']}.{record['what']}.{key}"
    return Figure(name, label, record[key], form, record["unit"], definition, _source(record))


def _change(record: Record) -> Figure:
    """By which share a rate is more than the season before's, without its sign, with its interval."""
    less = record["change"] < 1
    low, high = (None if end is None else exact(end) - 1 for end in (record["low"], record["high"]))
    ends = (None if high is None else -high, None if low is None else -low) if less else (low, high)
    return Figure(
        f"season_changes.{record['measure']}.{record['what']}.share", "change since the season before",
        abs(exact(record["change"]) - 1), "percent", "of the season before",
        "|this season / the season before - 1|, with its 95 % interval in the same direction", _source(record), *ends,
    )  # fmt: skip


def _pace_words(changes: dict[tuple[str, str], Record], base: int) -> Text | None:
    raw, fair = changes.get(("pace", "as_they_came")), changes.get(("pace", "equal_houses"))
    if raw is None or raw["now"] is None or raw["before"] is None:
        return None
    definition = "prep and install hours / feet x 100, houses as they came"
    now = _rate(raw, "now", "hours_per_100_ft", "this season", definition)
    before = _rate(raw, "before", "hours_per_100_ft", "the season before", definition)
    came = say("The crews took {}, after {} in {}.", now, before, label_of(base))
    if fair is None:
        return join(came, "On how equal houses compare nothing can be said: no crew of both seasons has jobs enough.")
    said = change_words("on equal houses the same crews took", "hours", _change(fair), more=fair["change"] >= 1,
                        sure=bool(fair["more_than_chance"]))  # fmt: skip
    rest = "What is left of the difference is other houses and other crews." if fair["more_than_chance"] else ""
    return join(came, said, rest)


def _fault_words(changes: dict[tuple[str, str], Record], base: int) -> Text | None:
    found, kinds = changes.get(("faults", "all")), changes.get(("faults", "kinds_alone"))
    if found is None or found["now"] is None:
        return None
    definition = "failed points / connection-nights x 1,000"
    now = _rate(found, "now", "rate", "this season", definition)
    if not found["before"]:
        return say("{} points failed per 1,000 connection-nights; in {} none did.", now, label_of(base))
    before = _rate(found, "before", "rate", "the season before", definition)
    said = say("{} points failed per 1,000 connection-nights, after {}.", now, before)
    sure = change_words("a connection failed", "often", _change(found), more=found["change"] >= 1,
                        sure=bool(found["more_than_chance"]), words=("more", "less"))  # fmt: skip
    if kinds is None:
        return join(said, sure)
    alone = _rate(kinds, "now", "rate", "the season before's rates on this season's kinds",
                  "sum over kinds of nights x the season before's rate / all nights x 1,000")  # fmt: skip
    return join(
        said, sure, say("The season before's rates on this season's kinds of connection would have made it {}.", alone)
    )


def _name(record: Record) -> str:
    if record["measure"] == "pace":
        return {"as_they_came": "Hours for 100 ft, as they came"}.get(record["what"], "Hours for 100 ft, equal houses")
    if record["measure"] == "faults":
        kind = record["what"]
        return "Faults of all connections" if kind == "all" else f"Faults: {kind_word(kind)}"
    return {"over_a_limit": "Feeds over a limit", "properties": "Properties that came back"}[record["what"]]


def _sure_words(changes: dict[tuple[str, str], Record]) -> Text:
    tested = [r for r in changes.values() if r["more_than_chance"] is not None and r["measure"] != "returning"]
    if not tested:
        return Text(("No change can be held against chance: too few days or failures.",))
    sure = [_name(r)[:1].lower() + _name(r)[1:] for r in tested if r["more_than_chance"]]
    count = Figure(
        "season_changes.comparisons", "comparisons", tested[0]["comparisons"], "count", "comparisons",
        "changes of the season that have limits", Source(SOURCE, f"season={tested[0]['season']}"),
    )  # fmt: skip
    if not sure:
        return say("None of {} is more than chance would make.", counted(count, "change", "changes"))
    return say("More than chance would make, of {}: {}.", counted(count, "change", "changes"), listed(sure))


def yes_no(value: bool | None) -> str | None:
    """Whether a change is more than chance, in a word; None where nothing was tested."""
    return None if value is None else "yes" if value else "no"


def _season_columns(season: int, base: int, definition: str) -> tuple[Column, Column]:
    return (
        Column("before", label_of(base), "", "number", f"{definition}, the season before"),
        Column("now", label_of(season), "", "number", f"{definition}, this season"),
    )


def _ratio_table(changes: dict[tuple[str, str], Record], season: int, base: int) -> Table | None:
    shown = [r for r in changes.values() if r["change_is"] == "ratio" and r["what"] != "kinds_alone"]
    if not shown:
        return None
    shown.sort(key=lambda r: (r["measure"] != "pace", r["what"] != "all", r["what"]))
    columns = (
        words("what", "What"),
        words("unit", "Unit"),
        *_season_columns(season, base, "hours for 100 ft, or failed points / connection-nights x 1,000; on equal "
                         "houses what the season before's pace would have taken for this season's houses"),
        Column("change", "Now / before", "ratio", "ratio", "this season over the season before, with its 95 % limits"),
        words("sure", "More than chance", "whether limits that hold for all comparisons at once leave out equality"),
    )  # fmt: skip
    rows = []
    for record in shown:
        # A kind's rate has the two figures that the limits of its few failures leave it elsewhere on the page.
        faults = "rate" if record["what"] == "all" else "rate_of_few"
        form = "hours_per_100_ft" if record["measure"] == "pace" else faults
        cells = {
            "what": _name(record), "unit": record["unit"], "sure": yes_no(record["more_than_chance"]),
            "before": Estimate(record["before"], format=form), "now": Estimate(record["now"], format=form),
            "change": Estimate(record["change"], record["low"], record["high"]),
        }  # fmt: skip
        rows.append(row(cells, columns, f"{record['measure']}.{record['what']}", _source(record)))
    return table("season_changes", "Pace and faults against the season before", columns, rows)


def _share_table(results: Results, changes: dict[tuple[str, str], Record], base: int) -> Table | None:
    columns = (
        words("what", "What"),
        words("unit", "Share of"),
        *(
            Column(c.key, c.heading, "", "share", c.definition)
            for c in _season_columns(results.season, base, "the share")
        ),
        Column("change", "Difference", "points", "share", "this season's share less the season before's"),
        words("sure", "More than chance", "whether limits that hold for all comparisons at once leave out equality"),
    )
    rows = []
    feeds = changes.get(("feeds", "over_a_limit"))
    if feeds is not None:
        cells = {
            "what": _name(feeds), "unit": "feeds", "before": feeds["before"], "now": feeds["now"],
            "change": Estimate(feeds["change"], feeds["low"], feeds["high"]), "sure": yes_no(feeds["more_than_chance"]),
        }  # fmt: skip
        rows.append(row(cells, columns, "feeds.over_a_limit", _source(feeds)))
    rows += _mix_rows(results, columns, base)
    title = "Feeds and hours against the season before"
    return table("share_changes", title, columns, rows, _MIX_NOTE) if rows else None


_MIX_NOTE = "Shares of hours are counted and not held against chance: a season's weather is one draw."


def _mix_rows(results: Results, columns: Sequence[Column], base: int) -> list[Row]:
    """Shares of all paid hours, a row each; none where either season has no hours."""
    sums = {}
    for season in (results.season, base):
        own = results.rows("all:measures.crew_hours_mix", season=season)
        sums[season] = {name: total(r[f"{name}_hours"] for r in own) for name in ("paid", *dict(MIX_SHARES))}
    now, before = sums[results.season], sums[base]
    if not now["paid"] or not before["paid"]:
        return []
    rows = []
    for key, name in MIX_SHARES:
        one, two = share_of(now[key], now["paid"]), share_of(before[key], before["paid"])
        if one is None or two is None or not (one or two):
            continue
        cells = {"what": with_capital(name), "unit": "paid hours", "before": two, "now": one, "change": one - two}
        rows.append(row(cells, columns, f"hours.{key}", Source("measures.crew_hours_mix", f"season={results.season}")))
    return rows


def intake_changes(results: Results) -> tuple[Section, ...]:
    """Rows of each table against the season before; nothing where the records were only checked."""
    base = base_of(results)
    if base is None:
        return ()
    columns = (
        words("record_table", "Table"),
        Column("accepted_before", f"Accepted in {label_of(base)}", "rows", "count", "rows accepted, the season before"),
        Column("accepted", "Accepted now", "rows", "count", "rows accepted, this season"),
        Column(
            "refused_before",
            f"Refused in {label_of(base)}",
            "rows",
            "count",
            "rows rejected or held, the season before",
        ),
        Column("refused", "Refused now", "rows", "count", "rows rejected or held, this season"),
    )
    sums: dict[str, Record] = {}
    for season, end in ((results.season, ""), (base, "_before")):
        for sheet in results.rows("all:audit.intake", season=season):
            if sheet["record_table"] is None:
                continue
            own = sums.setdefault(sheet["record_table"], {column.key: 0 for column in columns[1:]})
            own[f"accepted{end}"] += sheet["accepted"]
            own[f"refused{end}"] += sheet["rejected"] + sheet["held"]
    if not sums:
        return ()
    source = Source("audit.intake", f"season={results.season}")
    rows = [row({"record_table": name, **sums[name]}, columns, name, source) for name in sorted(sums)]
    blocks: tuple[Block, ...] = (table("intake_changes", "Rows of each table", columns, rows),)
    gone = [name for name in sorted(sums) if sums[name]["accepted_before"] and not sums[name]["accepted"]]
    if gone:
        blocks = (missing(f"Kept in {label_of(base)} and not this season: {listed(gone)}."), *blocks)
    return (Section("changed", TITLE, (*apart_note(results, base), *blocks)),)
