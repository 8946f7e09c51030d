"""Goods in plain Python with fractions: unit costs, leased lives, what was built. The goods room of plain_costing."""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass, field
from datetime import date
from fractions import Fraction
from typing import Any

Row = dict[str, Any]
Job = tuple[str, str]
ZERO = Fraction(0)
MADE_OF = {"plug": ("plug", 2), "inline_tap": ("inline_tap", 1), "timer": ("timer", 1), "capped_socket": ("cap", 1)}
"""The kind of item that a connection is made of, and how many."""


@dataclass
class Goods:
    """Goods on jobs by part, goods of the shop, and what was bought in all."""

    direct: dict[tuple[Job, str], Fraction] = field(default_factory=lambda: defaultdict(Fraction))
    shop: list[tuple[str | None, Fraction]] = field(default_factory=list)
    bought: list[tuple[str | None, Fraction]] = field(default_factory=list)


def job_of(row: Row) -> Job:
    """The job that a row belongs to."""
    return row["branch"], row["job_no"]


def net_quantity(move: Row, item: Row) -> Fraction:
    """What a movement adds to the net use, in the item's unit."""
    sign = {"issued": 1, "returned": -1, "scrapped": 0}[move["moved"]]
    size = {"pack": item["pack_size"], "spool": item["pack_size"], "case": item["pack_size"], "dozen": 12}
    return move["quantity"] * size.get(move["unit"], 1) * sign


def built_of(tables: dict[str, list[Row]]) -> dict[tuple[Job, str], Fraction]:
    """What stands in the finished jobs, by job and item."""
    built: dict[tuple[Job, str], Fraction] = defaultdict(Fraction)
    bulbs: dict[Job, dict[str, Fraction]] = defaultdict(lambda: defaultdict(Fraction))
    for run in tables["runs"]:
        job = job_of(run)
        built[job, run["line_item"]] += run["feet"]
        if run["fastener_item"]:
            built[job, run["fastener_item"]] += run["sockets"] if run["fasteners"] is None else run["fasteners"]
        mixed = [b for b in tables["run_bulbs"] if job_of(b) == job and b["run_no"] == run["run_no"]]
        for bulb, share in [(b["bulb_item"], b["share"]) for b in mixed] or [(run["bulb_item"], Fraction(1))]:
            bulbs[job][bulb] += run["sockets"] * share
    for job, hung in bulbs.items():
        sealed = sum(
            c["count"]
            for c in tables["connections"]
            if job_of(c) == job and c["kind"] in ("taped_socket", "capped_socket")
        )
        total = sum(hung.values(), ZERO)
        for bulb, count in hung.items():
            built[job, bulb] += count - min(Fraction(sealed), total) * count / total if total else ZERO
    for connection in tables["connections"]:
        kind, each = MADE_OF.get(connection["kind"], ("", 1))
        alone = [item["item_no"] for item in tables["items"] if item["kind"] == kind]
        item_no = connection["item_no"] or (alone[0] if len(alone) == 1 else None)
        if item_no:
            built[job_of(connection), item_no] += each * connection["count"]
    return built


@dataclass(frozen=True)
class UnitCost:
    """What a unit of an item costs in a season, and how long it lasts there."""

    usd: Fraction
    life: Fraction


def unit_costs_of(tables: dict[str, list[Row]]) -> dict[str, UnitCost]:
    """Purchases with freight and the usable opening stock at list price, over their units; else the list price."""
    first = min(job["install_date"] for job in tables["jobs"])
    costs = {}
    for item in tables["items"]:
        price = item["pack_price"] / item["pack_size"]
        bought = [row for row in tables["purchases"] if row["item_no"] == item["item_no"]]
        units = sum((row["packs"] * row["pack_size"] for row in bought), ZERO)
        paid = sum((row["paid"] + (row["freight"] or ZERO) for row in bought), ZERO)
        opening = opening_stock(item["item_no"], tables["stock"], first)
        usd = (paid + opening * price) / (units + opening) if bought else price
        costs[item["item_no"]] = UnitCost(usd, item["life_seasons"])
    return costs


def opening_stock(item_no: str, stock: list[Row], first_installation: date) -> Fraction:
    """Usable goods of the newest count of each branch before the first installation."""
    counts = [
        row
        for row in stock
        if row["item_no"] == item_no and row["condition"] == "usable" and row["counted_on"] is not None
        if row["counted_on"] < first_installation
    ]
    newest: dict[str | None, date] = {}
    for row in counts:
        newest[row["branch"]] = max(row["counted_on"], newest.get(row["branch"], date.min))
    return sum((row["on_hand"] for row in counts if row["counted_on"] == newest[row["branch"]]), ZERO)


def season_share(job: Row, cost: UnitCost) -> Fraction:
    """This season's share of a leased item's life."""
    age = 0 if job["work"] == "new" or job["built_season"] is None else max(0, job["season"] - job["built_season"])
    return max(ZERO, min(1 / cost.life, 1 - age / cost.life))


def cost_when_built(job: Row, item_no: str, costs: dict[int, dict[str, UnitCost]]) -> UnitCost:
    """The cost in the season that built what stands, where that is in the store, else in the job's own."""
    built = None if job["work"] == "new" else job["built_season"]
    season = job["season"] if built is None else min(built, job["season"])
    return costs.get(season, {}).get(item_no) or costs[job["season"]][item_no]


def goods_of(
    jobs: dict[Job, Row],
    tables: dict[str, list[Row]],
    service_days: set[tuple[Job, date]],
    costs: dict[int, dict[str, UnitCost]],
) -> Goods:
    """What goods cost each job and the shop; `costs` are those of every season in the store."""
    goods = Goods()
    items = {item["item_no"]: item for item in tables["items"]}
    own = {season: costs[season] for season in {job["season"] for job in jobs.values()}}
    price = {number: cost.usd for by_item in own.values() for number, cost in by_item.items()}
    net: dict[tuple[Job, str], Fraction] = defaultdict(Fraction)
    for move in tables["materials"]:
        if move["item_no"] not in items:
            continue
        quantity = net_quantity(move, items[move["item_no"]])
        if move["job_no"] is None:
            goods.shop.append((move["branch"], quantity * price[move["item_no"]]))
        elif (job_of(move), move["move_date"]) in service_days:
            goods.direct[job_of(move), "service"] += quantity * price[move["item_no"]]
        else:
            net[job_of(move), move["item_no"]] += quantity
    goods.bought = [(row["branch"], row["paid"] + (row["freight"] or ZERO)) for row in tables["bought_in_all"]]
    built = {} if goods.bought else built_of(tables)
    for job, item_no in sorted(net.keys() | built.keys()):
        if item_no not in items:
            continue
        is_built = items[item_no]["kind"] not in ("zip_cord", "sundry")
        stands = built.get((job, item_no), ZERO) if is_built else ZERO
        used = net.get((job, item_no), ZERO)
        if jobs[job]["terms"] == "leased":
            cost = cost_when_built(jobs[job], item_no, costs)
            goods.direct[job, "materials"] += stands * cost.usd * season_share(jobs[job], cost)
        if jobs[job]["terms"] == "leased" and jobs[job]["work"] == "new":
            used = max(ZERO, used - stands)
        goods.direct[job, "materials"] += used * price[item_no]
    return goods
