"""Goods: what goes to the houses, what comes back, what is bought and what stands in the shop."""

from __future__ import annotations

import math
from collections import defaultdict
from dataclasses import dataclass
from datetime import date, timedelta

import numpy as np

from data_demo.make.houses import Job
from data_demo.make.truth import Truth, draws

ITEM_OF_POINT = {"plug": ("PLUG", 2), "inline_tap": ("TAP1", 1), "timer": ("TMR1", 1), "capped_socket": ("CAP9", 1)}


@dataclass(frozen=True)
class Move:
    """Goods moved; a job of None is the shop."""

    job: Job | None
    branch: str
    item: str
    moved: str
    quantity: int
    day: date


def built_of(job: Job) -> dict[str, float]:
    """What stands in the finished job, by item."""
    house = job.house
    built: dict[str, float] = defaultdict(float)
    for run in house.runs:
        built[run.line] += run.feet
        built[run.fastener] += run.sockets
        for bulb, share in run.bulbs:
            built[bulb] += run.sockets * share
    dark = house.points["taped_socket"] + house.points["capped_socket"]
    bulbs = {item: count for item, count in built.items() if item.startswith("B")}
    for item, count in bulbs.items():
        built[item] -= dark * count / sum(bulbs.values())
    for kind, (item, each) in ITEM_OF_POINT.items():
        built[item] += house.points[kind] * each
    return {item: count for item, count in sorted(built.items()) if count > 0}


def _new_moves(truth: Truth, job: Job, rng: np.random.Generator) -> list[Move]:
    says = truth["goods"]
    assert job.install_date is not None
    day = job.install_date - timedelta(days=int(rng.integers(0, 3)))
    moves = []
    for item, count in built_of(job).items():
        extra = says["offcut_least"] + float(rng.gamma(says["offcut_shape"], 1)) * (
            (says["offcut_mean"] - says["offcut_least"]) / says["offcut_shape"]
        )
        net = math.ceil(count * (1 + extra)) if item not in ("TMR1",) else round(count)
        back = math.ceil(count * 0.1) if rng.random() < says["returned_share"] and count > 20 else 0
        moves.append(Move(job, job.house.branch, item, "issued", net + back, day))
        if back:
            moves.append(Move(job, job.house.branch, item, "returned", back, job.install_date + timedelta(days=1)))
        scrap = int(net - count)
        if item.startswith("LL") and scrap > 2 and rng.random() < says["scrapped_share"]:
            moves.append(Move(job, job.house.branch, item, "scrapped", scrap - 1, job.install_date + timedelta(days=1)))
    moves.append(Move(job, job.house.branch, "ZIP1", "issued", 10 + int(rng.integers(0, 40)), day))
    return moves


def _repeat_moves(truth: Truth, job: Job, rng: np.random.Generator) -> list[Move]:
    says = truth["goods"]
    kinds = {name: item["kind"] for name, item in truth["items"].items()}
    moves = []
    for item, count in built_of(job).items():
        rate = says["replace_per_season"].get(kinds[item], 0.01) * (1 + says["replace_ageing"] * job.age)
        needed = int(rng.poisson(count * rate))
        if needed:
            assert job.install_date is not None
            moves.append(Move(job, job.house.branch, item, "issued", needed, job.install_date))
    return moves


def move_goods(truth: Truth, season: int, jobs: list[Job]) -> list[Move]:
    """All movements of a season, jobs first, then small goods used in the shops."""
    moves: list[Move] = []
    for job in jobs:
        rng = draws(truth, "goods", season, job.house.property_no)
        moves += _new_moves(truth, job, rng) if job.work == "new" else _repeat_moves(truth, job, rng)
    rng = draws(truth, "shop goods", season)
    for week in range(14):
        for branch in truth["branches"]:
            day = date(season, 9, 20) + timedelta(days=7 * week)
            moves.append(Move(None, branch["name"], "SUND", "issued", 2 + int(rng.integers(0, 5)), day))
    return moves


def net_of(moves: list[Move]) -> dict[str, int]:
    """Issued less returned, by item."""
    net: dict[str, int] = defaultdict(int)
    for move in moves:
        net[move.item] += {"issued": 1, "returned": -1, "scrapped": 0}[move.moved] * move.quantity
    return net


def take_back(truth: Truth, gone: list[Job], stock: dict[str, int]) -> None:
    """Put what is usable of the goods of leased jobs that do not return into stock, before the opening count."""
    stood: dict[str, float] = defaultdict(float)
    for job in gone:
        if job.house.terms == "leased":
            for item, count in built_of(job).items():
                stood[item] += count
    for item, count in stood.items():
        stock[item] = stock.get(item, 0) + int(count * truth["goods"]["leased_back_usable"])


def list_price(truth: Truth, item: str, season: int) -> float:
    """A pack's list price in a season, in cents."""
    price = truth["items"][item]["price"]
    for year, rise in truth["goods"]["price_rise"].items():
        if int(year) <= season:
            price *= 1 + rise
    return round(price, 2)


def purchases(truth: Truth, season: int, net: dict[str, int], stock: dict[str, int]) -> list[dict]:
    """What is bought: packs to cover the season's use with a little over, in one or two lots."""
    rng = draws(truth, "purchases", season)
    rows = []
    for item, says in truth["items"].items():
        short = net.get(item, 0) * (1.06 + 0.12 * rng.random()) - stock.get(item, 0)
        packs = max(0, math.ceil(short / says["pack"]))
        lots = [packs] if packs < 4 else [packs - packs // 3, packs // 3]
        for number, count in enumerate(lots):
            if not count:
                continue
            paid = round(count * list_price(truth, item, season) * (0.95 if number == 0 else 1.02), 2)
            day = date(season, 8, 14) if number == 0 else date(season, 11, 4)
            rows.append(
                {
                    "item_no": item,
                    "bought_date": day + timedelta(days=int(rng.integers(0, 9))),
                    "packs": count,
                    "pack_size": says["pack"],
                    "paid": paid,
                    "freight": round(0.03 * paid, 2) if number == 0 else None,
                }
            )
            stock[item] = stock.get(item, 0) + count * says["pack"]
    return rows


def offers(truth: Truth, season: int) -> list[dict]:
    """Prices offered for the season after."""
    rows = []
    for item, says in truth["items"].items():
        for size, share, least, month, day in truth["offers"].get(says["kind"], truth["offers"]["other"]):
            pack = size or says["pack"]
            price = round(list_price(truth, item, season) / says["pack"] * pack * share * 1.02, 2)
            until = date(season + 1, month, day) if month else None
            rows.append(
                {"item_no": item, "pack_size": pack, "pack_price": price, "min_packs": least, "order_by": until}
            )
    return rows
