"""The buyer's report: what the advised orders would have come to in seasons that are over."""

from __future__ import annotations

from collections.abc import Sequence
from decimal import Decimal
from typing import Any

from pipeline.documents.build import counted, missing, note, rows_by, slug, table
from pipeline.documents.columns import words
from pipeline.documents.model import Block, Column, Figure, Section, Source, Text, join, say
from pipeline.documents.parts import exact
from pipeline.documents.results import Results, label_of

Record = dict[str, Any]

TABLE = "decisions.order_backtest"
RULES = {
    "advised": "the advised order",
    "last_year_plus_10": "last season's use and 10 %",
    "last_year": "last season's use",
}
"""Rules of ordering in the order in which they are shown, and how they are said."""
COST = "bought before, later and in a hurry, less the worth of what was left, over all items"
METHOD = (
    "Each order was worked out from the seasons before it alone and set against what the season used, at the prices on "
    "record. Last season's use buys the cheapest packs that reach it less what is on hand. What running short costs "
    "is what goods bought in a hurry cost and the feet that they stop, as the settings say."
)
COLUMNS = (
    words("season_label", "Season"),
    words("what", "Order"),
    Column("cost_usd", "Cost in the end", "usd", "usd", COST),
    Column("lost_usd", "More than the best", "usd", "usd", "cost beyond that of the best order for what was used"),
    Column("items", "Items", "items", "count", "items that were ordered"),
    Column("ran_short", "Ran short", "items", "count", "items of which less was there than was used"),
    Column(
        "promised_short",
        "Promised",
        "items",
        "number",
        "items that were to run short: the sum of the chances given for it",
    ),
)
SCORE_COLUMNS = (
    words("what", "Forecast"),
    *(
        Column(f"score_p{level}", name, "of the use", "share",
               f"pinball loss of the {level}th percentile over the use, mean over items and seasons; less is better")
        for level, name in ((10, "Low need"), (50, "Middle need"), (90, "High need"))
    ),
)  # fmt: skip


def backtest_section(results: Results) -> Section:
    """The section; with fewer than two seasons in a row it says what it would take."""
    records = results.rows(TABLE)
    title = "What these orders would have come to in seasons that are over"
    if not records:
        why = " ".join(results.said("backtest")) or "The order cannot be tried on a season that is over."
        return Section("backtest", title, (missing(why),))
    seasons = sorted({record["of_season"] for record in records})
    sums = [_sums([r for r in records if r["of_season"] == season], label_of(season), season) for season in seasons]
    if len(seasons) > 1:
        sums.append(_sums(records, "All", None))
    shown = [row for rows in sums for row in rows]
    blocks: tuple[Block, ...] = (
        note(_sentence(results, sums[-1], len(seasons))),
        table("backtest", "Orders beside each other", COLUMNS, rows_by(shown, COLUMNS, TABLE, ("of_season", "rule")),
              "Last season's use promises nothing."),
        table("forecast_scores", "How near the forecasts came", SCORE_COLUMNS,
              rows_by(_scores(records), SCORE_COLUMNS, TABLE, ("rule",))),
        note(METHOD, "method"),
    )  # fmt: skip
    return Section("backtest", title, blocks)


def _sums(records: Sequence[Record], label: str, season: int | None) -> list[Record]:
    out = []
    for rule, what in RULES.items():
        own = [record for record in records if record["rule"] == rule]
        promised = [record["chance_short"] for record in own if record["chance_short"] is not None]
        out.append(
            {"of_season": season, "season_label": label, "rule": rule, "what": what, "items": len(own),
             "cost_usd": sum((exact(r["cost_usd"]) for r in own), Decimal(0)),
             "lost_usd": sum((exact(r["lost_usd"]) for r in own), Decimal(0)),
             "ran_short": sum(r["short"] > 0 for r in own),
             "promised_short": sum((exact(one) for one in promised), Decimal(0)) if promised else None}
        )  # fmt: skip
    return out


def _scores(records: Sequence[Record]) -> list[Record]:
    """The mean pinball losses of each rule, each over its item's use; items that were not used are left out."""
    out = []
    for rule, what in RULES.items():
        own = [record for record in records if record["rule"] == rule and record["used"] > 0]
        row: Record = {"rule": rule, "what": what}
        for level in (10, 50, 90):
            losses = [exact(r[f"pinball_p{level}"]) / exact(r["used"]) for r in own]
            row[f"score_p{level}"] = sum(losses, Decimal(0)) / len(losses) if losses else None
        out.append(row)
    return out


def _sentence(results: Results, sums: Sequence[Record], seasons: int) -> Text:
    by_rule = {row["rule"]: row for row in sums}
    advised = by_rule["advised"]
    source = Source(TABLE, f"season={results.season + 1}, rule=advised")
    cost = Figure("backtest.cost_usd", "cost of the advised orders", advised["cost_usd"], "usd", "usd", COST, source)
    items = Figure("backtest.items", "items ordered", advised["items"], "count", "items", "items and seasons", source)
    short = Figure("backtest.ran_short", "items that would have run short", advised["ran_short"], "count", "items",
                   "items of which less was there than was used", source)  # fmt: skip
    foreseen = Figure("backtest.promised_short", "items that were to run short", advised["promised_short"], "number",
                      "items", "the sum of the chances of running out", source)  # fmt: skip
    over = "In the one season that can be tried" if seasons == 1 else "Over the seasons that can be tried"
    against = [
        _difference(results, by_rule[rule]["cost_usd"] - advised["cost_usd"], rule)
        for rule in ("last_year_plus_10", "last_year")
    ]
    return join(
        say("{} the advised order would have cost {} in the end, {} and {}.", over, cost, *against),
        say(
            "Of {} {} would have run short; by the chances given, {} were to be expected.",
            counted(items, "item", "items"),
            short,
            foreseen,
        ),
    )


def _difference(results: Results, saved: Decimal, rule: str) -> Text:
    """`$4,120 less than last season's use`, in dollars that are more than 0; or that they cost the same."""
    shown = Figure(
        f"backtest.{slug(rule)}.difference_usd", f"the advised order against {RULES[rule]}", abs(saved), "usd", "usd",
        f"cost of {RULES[rule]} less that of the advised order, without its sign",
        Source(TABLE, f"season={results.season + 1}, rule={rule}"),
    )  # fmt: skip
    if abs(saved) < Decimal("0.5"):
        return say("as much as {}", RULES[rule])
    return say("{} {} than {}", shown, "less" if saved > 0 else "more", RULES[rule])
