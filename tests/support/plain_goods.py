"""Goods in plain Python with fractions: list prices, leased lives, what was built. The goods room of plain_costing."""

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


def season_share(job: Row, item: Row) -> Fraction:
    """This season's share of a leased item's life."""
    life: Fraction = item["life_seasons"]
    age = 0 if job["work"] == "new" or job["built_season"] is None else max(0, job["season"] - job["built_season"])
    return max(ZERO, min(1 / life, 1 - age / life))


def goods_of(jobs: dict[Job, Row], tables: dict[str, list[Row]], service_days: set[tuple[Job, date]]) -> Goods:
    """What goods cost each job and the shop at list price."""
    goods = Goods()
    items = {item["item_no"]: item for item in tables["items"]}
    price = {number: item["pack_price"] / item["pack_size"] for number, item in items.items()}
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
            goods.direct[job, "materials"] += stands * price[item_no] * season_share(jobs[job], items[item_no])
        if jobs[job]["terms"] == "leased" and jobs[job]["work"] == "new":
            used = max(ZERO, used - stands)
        goods.direct[job, "materials"] += used * price[item_no]
    return goods
