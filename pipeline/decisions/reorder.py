"""Next season's order: need by simulation, less stock, in whole packs at the least expected cost."""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np
import polars as pl
from numpy.typing import NDArray

from pipeline.decisions.demand import DRIVERS, Demand, Records
from pipeline.decisions.order_cutting import Cutting, choose_cut
from pipeline.decisions.order_items import Wanted, offers_of, on_hand, wanted
from pipeline.decisions.order_limits import Choice, Limits, choose
from pipeline.decisions.order_offers import Offer, ladder
from pipeline.decisions.order_plan import Plan, TopUp, plan_of
from pipeline.decisions.order_terms import Terms, terms_of
from pipeline.decisions.policy import MOST_FILL, SHADOW_USD, TOP_UP_LEAD_DAYS
from pipeline.decisions.spools_line import spacing_of
from pipeline.decisions.spools_lists import drawn_lists
from pipeline.settings import Settings

Floats = NDArray[np.float64]

SCHEMA = {
    "season": pl.Int32, "item_no": pl.String, "kind": pl.String, "unit": pl.String, "colour": pl.String,
    "supplier": pl.String, "offer": pl.String, "packs": pl.Int32, "pack_size": pl.Float64, "pack_price": pl.Float64,
    "amount_usd": pl.Float64, "need_p10": pl.Float64, "need_p50": pl.Float64, "need_p90": pl.Float64,
    "on_hand": pl.Float64, "ordered": pl.Float64, "top_up_p50": pl.Float64, "top_up_p90": pl.Float64,
    "chance_short": pl.Float64, "cost_usd": pl.Float64, "fewer_usd": pl.Float64, "order_by": pl.Date, "why": pl.String,
}  # fmt: skip
DRIVER_SCHEMA = {
    "season": pl.Int32, "item_no": pl.String, "driver": pl.String, "what": pl.String, "mean_need": pl.Float64,
    "low": pl.Float64, "high": pl.Float64, "variance_share": pl.Float64,
}  # fmt: skip


@dataclass(frozen=True)
class Order:
    """An order: rows of decisions.order_lines and of decisions.order_drivers, what is to be said, and how it was made.

    `wanted`, `plans` and `choice` are of the same items in the same order. Of light lines, by their place in it,
    `cuttings` has the drawn cut lists and `uncut_usd` the least cost of an order of which every foot could be used.
    """

    lines: pl.DataFrame
    drivers: pl.DataFrame
    notes: list[str]
    wanted: list[Wanted] = field(default_factory=list)
    plans: list[Plan] = field(default_factory=list)
    choice: Choice | None = None
    cuttings: dict[int, Cutting] = field(default_factory=dict)
    uncut_usd: dict[int, float] = field(default_factory=dict)


def plan_item(want: Wanted, demand: Demand, offers: pl.DataFrame, terms: Terms, least_usd: float = 0.0) -> Plan:
    """All orders that an item may have, over its offers; with a top-up where an early offer and the lead days allow.

    Where its supplier takes no order under `least_usd`, orders of up to MOST_FILL times the largest need that fill it
    are among them.
    """
    item, listed = want.item, offers_of(want.item, offers)
    short = np.maximum(want.sum_of(demand.net), 0) - want.on_hand
    list_price = listed[0].pack_price / listed[0].pack_size
    # Runs that do not go on the spools may take one more than the feet do.
    room = float(short.max()) + (listed[0].pack_size if item["kind"] == "light_line" else 0.0)
    filled = min(least_usd / list_price + listed[0].pack_size, MOST_FILL * float(short.max())) if least_usd else 0.0
    steps = ladder(listed, max(room, filled, *(one.min_packs * one.pack_size for one in listed)))
    within = (steps.quantities > 0) & np.isfinite(steps.usd)
    reach = within & (steps.quantities <= max(float(np.quantile(short, 0.9)), float(item["pack_size"])))
    base = float((steps.usd[reach] / steps.quantities[reach]).min())
    top_up = top_up_of(item, listed, terms)
    if top_up is not None and top_up.pack_size not in steps.sizes:
        top_up = None
    return plan_of(
        short, None, steps, terms.outcome(item["item_no"], list_price, base), terms.floor,
        want.sum_of(demand.foreseen) - want.on_hand, top_up,
    )  # fmt: skip


def top_up_of(item: dict, listed: tuple[Offer, ...], terms: Terms) -> TopUp | None:
    """Packs at the price that holds at any time, as a top-up; None without an early offer, or where goods come too late
    or their lead days are not known."""
    early = any(offer.order_by is not None for offer in listed)
    if not early or item["lead_days"] is None or item["lead_days"] > TOP_UP_LEAD_DAYS:
        return None
    return TopUp(listed[0].pack_size, listed[0].pack_price * (1 + terms.rise))


def limits_of(settings: Settings, suppliers: set[str]) -> Limits:
    """The limits that the settings give: order_budget, order_packs and order_minimum by supplier."""

    def number(key: str) -> float | None:
        value = settings.number(key)
        return None if value is None else float(value)

    least = {name: number(f"order_minimum:{name.casefold()}") for name in sorted(suppliers)}
    return Limits(
        number("order_budget"), number("order_packs"), {name: usd for name, usd in least.items() if usd is not None}
    )


def place_order(
    demand: Demand,
    records: Records,
    offers: pl.DataFrame,
    closing_stock: pl.DataFrame,
    settings: Settings,
    *,
    contribution_usd_per_ft: float,
    season: int,
    runs: pl.DataFrame | None = None,
) -> Order:
    """The order for the season after `season`, by item, in whole packs over all its offers.

    `demand` has the draws of the need, `records` what they were drawn from; offers and stock are of the closed season.
    Each item's packs cost least on the draws (`plan_of`); a limit that items share is kept at the least cost in all
    (`choose`). With `runs` (records.runs of every season) light line is cut: its spools are those from which the drawn
    runs cost least (`choose_cut`).
    """
    if records.items.is_empty() or records.job_items.filter(pl.col("season") == season).is_empty():
        said = ["An order needs items, runs and goods movements (records of level 3)."]
        return Order(pl.DataFrame(schema=SCHEMA), pl.DataFrame(schema=DRIVER_SCHEMA), said)
    terms = terms_of(settings, records.job_items, season, contribution_usd_per_ft)
    wants, notes = wanted(demand, records.items, on_hand(closing_stock, settings))
    suppliers = [want.item["supplier"] or "" for want in wants]
    limits = limits_of(settings, set(suppliers))
    plans = [
        plan_item(want, demand, offers, terms, limits.least.get(supplier, 0.0))
        for want, supplier in zip(wants, suppliers, strict=True)
    ]
    cuttings = {} if runs is None or runs.is_empty() else _cuttings(demand, runs, wants)
    uncut = {place: float(plans[place].cost[plans[place].best()]) for place in cuttings}
    plans, choice = choose_cut(plans, cuttings, lambda priced: choose(priced, suppliers, limits))
    notes = [
        *demand.notes,
        *notes,
        *_missing(closing_stock, offers, plans),
        *_limited(plans, suppliers, limits, choice),
    ]
    lines = [
        line
        for want, plan, place in zip(wants, plans, choice.places, strict=True)
        for line in _lines(want, demand, plan, place)
    ]
    drivers = [row for want in wants for row in driver_rows(want, demand)]
    return Order(
        _framed(lines, SCHEMA, season), _framed(drivers, DRIVER_SCHEMA, season), notes, wants, plans, choice, cuttings,
        uncut,
    )  # fmt: skip


def _cuttings(demand: Demand, runs: pl.DataFrame, wants: list[Wanted]) -> dict[int, Cutting]:
    """The drawn cut lists of the light lines, by their place among the items."""
    out = {}
    for place, want in enumerate(wants):
        names = [demand.items[column] for column in want.columns]
        if want.item["kind"] == "light_line" and runs["line_item"].is_in(names).any():
            lists = drawn_lists(demand, runs, want)
            foreseen = want.sum_of(demand.foreseen)[: len(lists)] - want.on_hand
            out[place] = Cutting(lists, spacing_of(want.item["spacing_in"]), foreseen)
    return out


def _framed(rows: list[dict], schema: dict, season: int) -> pl.DataFrame:
    table = pl.DataFrame(rows, schema={k: v for k, v in schema.items() if k != "season"})
    table = table.with_columns(season=pl.lit(season + 1, dtype=pl.Int32))
    return table.select(pl.col(name).cast(kind) for name, kind in schema.items())


def _missing(closing_stock: pl.DataFrame, offers: pl.DataFrame, plans: list[Plan]) -> list[str]:
    notes = []
    if closing_stock.is_empty():
        notes.append("No stock was counted at the end of the season, so the order takes nothing as on hand.")
    if offers.is_empty():
        notes.append("No offers are on record, so every item is ordered at its list price.")
    later = sum(plan.top_up is not None for plan in plans)
    if later:
        items = "1 item has" if later == 1 else f"{later} items have"
        notes.append(
            f"{items} an early offer and come within {TOP_UP_LEAD_DAYS} days: the early order is what it pays "
            "to buy before the season is known, and a top-up at list price follows once it is known how many new jobs "
            "there are and who returns. Where that is too late, order the top-up now."
        )
    return notes


def _limited(plans: list[Plan], suppliers: list[str], limits: Limits, choice: Choice) -> list[str]:
    """What the limits cost, in words; nothing where none is given."""
    notes = []
    free = choose(plans, suppliers, Limits())
    lost = choice.cost - free.cost
    if limits.budget is not None:
        wider = choose(plans, suppliers, Limits(limits.budget + SHADOW_USD, limits.packs, limits.least))
        gain = choice.cost - wider.cost
        if lost < 0.005:
            notes.append(f"The budget of ${limits.budget:,.0f} is enough for the order that costs least.")
        else:
            notes.append(
                f"The budget of ${limits.budget:,.0f} makes the season's goods ${lost:,.0f} dearer than the best order "
                f"would; ${SHADOW_USD:,.0f} more would save ${max(gain, 0):,.0f}."
            )
    elif lost >= 0.005:
        notes.append(f"The limits on the order make the season's goods ${lost:,.0f} dearer than the best order would.")
    if choice.gap > 0.005:
        notes.append(f"The solver left open whether ${choice.gap:,.0f} more could be saved within the limits.")
    if not choice.keeps_floor:
        notes.append("Within the limits service_floor cannot be kept for every item.")
    return notes


def driver_rows(want: Wanted, demand: Demand) -> list[dict]:
    """What moves an item's need: each driver's mean part, its range, and its share of the need's variance.

    A share is the covariance of the part with the whole over the variance of the whole: shares add up to 1, and one is
    under 0 where it damps the others. Null where the need does not vary.
    """
    parts = {name: want.sum_of(draws) for name, draws in demand.drivers.items()}
    whole = np.sum(list(parts.values()), axis=0)
    spread = float(whole.var())
    rows = []
    for name, part in parts.items():
        low, high = np.quantile(part, [0.1, 0.9])
        together = float(((part - part.mean()) * (whole - whole.mean())).mean())
        share = together / spread if spread > 1e-12 else None
        rows.append({"item_no": want.item["item_no"], "driver": name, "what": DRIVERS[name], "variance_share": share,
                     "mean_need": float(part.mean()), "low": float(low), "high": float(high)})  # fmt: skip
    return rows


def _why(want: Wanted, demand: Demand, packs: int, enough: float, later: float) -> str:
    unit = " ft" if want.item["unit"] == "ft" else ""
    parts = {name: float(want.sum_of(getattr(demand, name)).mean()) for name in ("new", "replaced", "shop", "back")}
    made = [f"new work takes about {parts['new']:,.0f}{unit}"]
    if round(parts["replaced"]):
        made.append(f"returning properties {parts['replaced']:,.0f}")
    if round(parts["shop"]):
        made.append(f"the shop {parts['shop']:,.0f}")
    if round(parts["back"]):
        made.append(f"{parts['back']:,.0f} come back from leased jobs that end")
    there = [f"{want.on_hand:,.0f} on hand"]
    if packs:
        there.append(f"{packs} pack{'s' if packs > 1 else ''}")
    if round(later):
        there.append(f"a top-up of {later:,.0f}{unit} in the middle case")
    cover = f"{', '.join(there[:-1])} and {there[-1]}" if len(there) > 1 else there[0]
    return f"{', '.join(made)}; {cover} are enough in {enough * 100:.0f} % of draws"


def _fewer_usd(plan: Plan, place: int, high: float) -> float | None:
    """Where more is ordered than the high need is short of, by more than a pack: what the best order up to it would
    cost more in the end. None where no more is ordered, or no such order keeps the floor."""
    pack = max((offer.pack_size for offer, _ in plan.ladder.bought(int(plan.place[place]))), default=0.0)
    enough = plan.quantities[plan.quantities >= max(high, 0.0) - 1e-9]
    up_to = float(enough.min()) if len(enough) else float(plan.quantities[-1])
    open_to = (plan.quantities <= up_to) & plan.is_enough
    if plan.quantities[place] <= max(up_to, high + pack) or not open_to.any():
        return None
    return float(plan.cost[open_to].min() - plan.cost[place])


def _lines(want: Wanted, demand: Demand, plan: Plan, place: int) -> list[dict]:
    """The order of one item: a line an offer of which packs are taken, or one of none."""
    item = want.item
    p10, p50, p90 = np.quantile(np.maximum(want.sum_of(demand.net), 0), [0.1, 0.5, 0.9])
    bought = plan.ladder.bought(int(plan.place[place])) or [(plan.ladder.offers[0], 0)]
    later = plan.top_ups[place] * (plan.top_up.pack_size if plan.top_up else 0.0)
    middle, high = np.quantile(later, [0.5, 0.9], method="inverted_cdf") if len(later) else (0.0, 0.0)
    chance, packs = float(plan.chance_short[place]), int(plan.packs[place])
    shared = {
        "item_no": item["item_no"], "kind": item["kind"], "unit": item["unit"], "colour": item["colour"],
        "supplier": item["supplier"], "need_p10": float(p10), "need_p50": float(p50), "need_p90": float(p90),
        "on_hand": want.on_hand, "ordered": float(plan.quantities[place]), "top_up_p50": float(middle),
        "top_up_p90": float(high), "chance_short": chance, "cost_usd": float(plan.cost[place]),
        "fewer_usd": _fewer_usd(plan, place, float(p90) - want.on_hand),
        "why": _why(want, demand, packs, 1 - chance, float(middle)),
    }  # fmt: skip
    return [
        shared | {
            "offer": offer.name, "packs": number, "pack_size": offer.pack_size, "pack_price": offer.pack_price,
            "amount_usd": number * offer.pack_price, "order_by": offer.order_by if number else None,
        }
        for offer, number in bought
    ]  # fmt: skip
