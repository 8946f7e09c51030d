"""The buyer's season against the one before it: what goods cost and why, how line was cut, and who came back."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

from pipeline.documents.build import missing, note, row, slug, table, with_capital
from pipeline.documents.columns import words
from pipeline.documents.compare import SOURCE, TITLE, apart_note, base_of, yes_no
from pipeline.documents.model import Block, Column, Estimate, Figure, Section, Source, Table, Text, say
from pipeline.documents.parts import exact, per_foot, share_of, total
from pipeline.documents.results import Results, label_of
from pipeline.documents.wording import CHANGE_GOODS_METHOD, CHANGE_ONE_SEASON, more_or_less

Record = dict[str, Any]

REASONS = (
    ("work", "More or less work", "what the season before's use would take for what was built this season, less what "
     "it took, at the price before"),
    ("use", "Use for the same work", "what was used beyond that, at the price before"),
    ("price", "Price of a unit", "this season's use x (cost of a unit now - before)"),
)  # fmt: skip
"""Why goods of a kind cost more or less than in the season before; the three add up."""
ORDER_TABLE = "decisions.order_lines"


def buyer_changes(results: Results) -> Section:
    """Goods, offcut, returning properties and the order against the season before, for the buyer."""
    base = base_of(results)
    if base is None:
        return Section("changed", TITLE, (missing(CHANGE_ONE_SEASON),))
    goods = [
        r
        for r in results.rows("measures.goods_changes", base_season=base)
        if None not in (r["before_usd"], r["now_usd"])
    ]
    blocks: list[Block] = [*apart_note(results, base)]
    if goods:
        blocks = [note(_goods_words(goods, base)), *blocks, _goods_table(goods, base)]
    else:
        blocks.append(
            missing("No kind of goods was recorded in both seasons, so what changed in its use is not known.")
        )
    blocks += [found for found in (_rates_table(results, base), _order_table(results)) if found is not None]
    return Section("changed", TITLE, (*blocks, note(CHANGE_GOODS_METHOD, "method")))


def _sums(goods: list[Record]) -> Record:
    keys = ("before_usd", "now_usd", *(f"{key}_usd" for key, _, _ in REASONS))
    return {key: total(r[key] for r in goods) for key in keys}


def _goods_words(goods: list[Record], base: int) -> Text:
    """What goods cost against the season before, and the reason that moved it most."""
    sums, source = _sums(goods), Source("measures.goods_changes", f"season={goods[0]['season']}")
    cost = Figure("goods_changes.now_usd", "goods that left stock", sums["now_usd"], "usd", "usd",
                  "net use of goods at their cost, kinds of both seasons", source)  # fmt: skip
    change = sums["now_usd"] - sums["before_usd"]
    moved = Figure("goods_changes.change_usd", "change of their cost", abs(change), "usd", "usd",
                   "their cost less that of the season before, without its sign", source)  # fmt: skip
    key, name, definition = max(REASONS, key=lambda reason: abs(sums[f"{reason[0]}_usd"] or 0))
    most = sums[f"{key}_usd"] or 0
    mattered = Figure(f"goods_changes.most.{key}_usd", name, abs(most), "usd", "usd",
                      f"{definition}; over all kinds, without its sign", source)  # fmt: skip
    first = say("Goods that left stock cost {}, {}.", cost, more_or_less(moved, change, f"in {label_of(base)}"))
    if not change:
        return first
    return say("{} {} moved it most: {} {}.", first, name, mattered, "more" if most > 0 else "less")


def _goods_table(goods: list[Record], base: int) -> Table:
    columns = (
        words("kind", "Kind of goods"),
        words("unit", "Unit"),
        Column(
            "used_before", f"Used in {label_of(base)}", "units", "quantity", "issued less returned, the season before"
        ),
        Column("used", "Used now", "units", "quantity", "issued less returned, this season"),
        Column("before_usd", f"Cost in {label_of(base)}", "usd", "usd", "net use at its cost, the season before"),
        *(Column(f"{key}_usd", name, "usd", "usd", definition) for key, name, definition in REASONS),
        Column("now_usd", "Cost now", "usd", "usd", "net use at its cost, this season"),
    )
    ordered = sorted(goods, key=lambda r: (-r["now_usd"], r["kind"]))
    rows = [
        row(
            r | {"kind": with_capital(r["kind"].replace("_", " "))}, columns, slug(r["kind"]),
            Source("measures.goods_changes", f"season={r['season']}, kind={r['kind']}"),
        )
        for r in ordered
    ]  # fmt: skip
    source = Source("measures.goods_changes", f"season={goods[0]['season']}")
    rows.append(row({"kind": "All"} | _sums(goods), columns, "all", source, strong=True))
    return table("goods_changes", "Goods used, and why they cost more or less", columns, rows,
                 "Before + work + use + price = now.")  # fmt: skip


def _rates_table(results: Results, base: int) -> Table | None:
    """Rates that the next order rests on, each as its kind is printed."""
    columns = (
        words("what", "What"),
        Column("before", label_of(base), "", "share", "the rate, the season before"),
        Column("now", label_of(results.season), "", "share", "the rate, this season"),
        Column("change", "Difference", "", "share", "this season's less the season before's; 95 % limits where "
               "they are known"),
        words("sure", "More than chance", "whether limits that hold for all comparisons at once leave out equality; a "
              "rate over all of a season's feet is not tested, for one season does not show how much it varies"),
    )  # fmt: skip
    rows = []
    for key, name, form, (before, now), source in (_goods_a_foot(results, base), _offcut(results, base)):
        if before is not None and now is not None:
            values = {"before": before, "now": now, "change": now - before}
            cells = {column: Estimate(value, format=form) for column, value in values.items()}
            rows.append(row({"what": name, **cells, "sure": "not tested"}, columns, key, source))
    back = results.row(SOURCE, measure="returning")
    if back is not None:
        cells = {
            "before": back["before"], "now": back["now"],
            "change": Estimate(back["change"], back["low"], back["high"]),
        }  # fmt: skip
        more = {"what": f"Properties of {label_of(base)} that came back", "sure": yes_no(back["more_than_chance"])}
        source = Source(SOURCE, f"season={results.season}, measure=returning")
        rows.append(row(cells | more, columns, "returning", source))
    if not rows:
        return None
    said = f"Of properties the column {label_of(base)} has those of the season before that, and who of them came back."
    return table("rates_changes", "Rates that the order rests on", columns, rows, said if back is not None else None)


Rate = tuple[str, str, str, tuple[Decimal | None, Decimal | None], Source]


def _goods_a_foot(results: Results, base: int) -> Rate:
    def rate(season: int) -> Decimal | None:
        found = results.row("all:measures.season_cost", season=season, branch="all") or {}
        return per_foot(found.get("materials_usd"), found.get("feet"))

    source = Source("measures.season_cost", f"season={results.season}, branch=all")
    return "goods_a_foot", "Goods borne by a foot", "usd_cents", (rate(base), rate(results.season)), source


def _offcut(results: Results, base: int) -> Rate:
    def rate(season: int) -> Decimal | None:
        lines = [r for r in results.rows("all:decisions.offcut", season=season) if r["offcut_ft"] is not None]
        return share_of(total(r["offcut_ft"] for r in lines), total(r["feet"] for r in lines))

    source = Source("decisions.offcut", f"season={results.season}")
    return "offcut", "Offcut of new light line", "share", (rate(base), rate(results.season)), source


def _order_table(results: Results) -> Table | None:
    """This order against the one that was advised a season ago, by kind of goods; None where none was."""
    seasons = (results.season, results.season + 1)
    sums: dict[str, dict[int, Decimal]] = {}
    for season in seasons:
        for line in results.rows(f"all:{ORDER_TABLE}", season=season):
            own = sums.setdefault(line["kind"] or "other", dict.fromkeys(seasons, Decimal(0)))
            own[season] += exact(line["amount_usd"] or 0)
    if any(not sum(own[season] for own in sums.values()) for season in seasons):
        return None
    columns = (
        words("kind", "Kind of goods"),
        Column("before", f"For {label_of(seasons[0])}", "usd", "usd", "order advised at the end of the season before"),
        Column("now", f"For {label_of(seasons[1])}", "usd", "usd", "order advised now"),
        Column("change", "More or less", "usd", "usd", "this order less the one before; below 0 is less"),
    )

    def cells(kind: str, before: Decimal, now: Decimal) -> Record:
        return {"kind": kind, "before": before, "now": now, "change": now - before}

    source = Source(ORDER_TABLE, f"season={seasons[1]}")
    ordered = sorted(sums.items(), key=lambda item: (-item[1][seasons[1]], item[0]))
    rows = [
        row(cells(with_capital(kind.replace("_", " ")), own[seasons[0]], own[seasons[1]]), columns, slug(kind),
            Source(ORDER_TABLE, f"season={seasons[1]}, kind={kind}"))
        for kind, own in ordered
    ]  # fmt: skip
    whole = [sum((own[season] for own in sums.values()), Decimal(0)) for season in seasons]
    rows.append(row(cells("All", *whole), columns, "all", source, strong=True))
    return table("order_changes", "The order against the one advised a season ago", columns, rows)
