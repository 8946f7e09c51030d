"""Goods in plain Python with fractions: what stands in the jobs, unit costs, leased lives, kits that did not return.

The goods room of plain_costing, written from the definitions of materials alone.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator
from dataclasses import dataclass, field, replace
from datetime import date
from fractions import Fraction

from support.plain_records import ZERO, Job, Row, handed_in, job_of, rows
from support.plain_stock import opening_of
from support.tables import Season

MADE_OF = {"plug": ("plug", 2), "inline_tap": ("inline_tap", 1), "timer": ("timer", 1), "capped_socket": ("cap", 1)}
"""The kind of item that a connection is made of, and how many."""
NEVER_BUILT = ("zip_cord", "sundry")


@dataclass(frozen=True)
class UnitCost:
    """What a unit of an item costs in a season, and how many seasons a leased one lasts."""

    usd: Fraction
    life: Fraction


Costs = dict[int, dict[str, UnitCost]]
"""Unit costs by season and item, of every season in the store."""


@dataclass(frozen=True)
class Kit:
    """Leased goods of one item that stand in a job; `age` counts the seasons since they were built."""

    job: Row
    item_no: str
    built: Fraction
    cost: UnitCost
    age: int | None
    back: Fraction

    @property
    def share(self) -> Fraction:
        """This season's share of the cost; without a season of building 1 / life, and never more than the whole."""
        life = self.cost.life
        return max(ZERO, min(1 / life, 1 - (self.age or 0) / life))

    @property
    def carried(self) -> Fraction:
        """What later seasons are still to bear."""
        return self.carried_into(1)

    def carried_into(self, later: int) -> Fraction:
        """What the seasons from so many on are to bear; nothing is known of a kit without a season of building."""
        left = ZERO if self.age is None else max(ZERO, 1 - (self.age + later) / self.cost.life)
        return self.built * self.cost.usd * left

    @property
    def to_stock(self) -> Fraction:
        """Of that, what stands in goods that are back."""
        return self.carried * self.back / self.built if self.built else ZERO


@dataclass
class Goods:
    """A season's goods: on jobs by part, of the shop, bought in all, and what goes outside the jobs by branch."""

    direct: dict[tuple[Job, str], Fraction] = field(default_factory=lambda: defaultdict(Fraction))
    shop: list[tuple[str | None, Fraction]] = field(default_factory=list)
    bought: list[tuple[str | None, Fraction]] = field(default_factory=list)
    outside: dict[str | None, Fraction] = field(default_factory=lambda: defaultdict(Fraction))
    kits: list[Kit] = field(default_factory=list)


def unit_costs_of(season: Season) -> dict[str, UnitCost]:
    """Purchases with freight and the usable opening stock at list price, over their units; else the list price."""
    costs = {}
    for item in rows(season, "items"):
        price = item["pack_price"] / item["pack_size"]
        bought = [row for row in rows(season, "purchases") if row["item_no"] == item["item_no"]]
        units = sum((row["packs"] * row["pack_size"] for row in bought), ZERO)
        paid = sum((row["paid"] + (row["freight"] or ZERO) for row in bought), ZERO)
        opening = opening_of(season, item["item_no"])
        usd = (paid + opening * price) / (units + opening) if bought else price
        costs[item["item_no"]] = UnitCost(usd, item["life_seasons"])
    return costs


def net_quantity(move: Row, item: Row) -> Fraction:
    """What a movement adds to the net use, in the item's unit."""
    sign = {"issued": 1, "returned": -1, "scrapped": 0}[move["moved"]]
    size = {"pack": item["pack_size"], "spool": item["pack_size"], "case": item["pack_size"], "dozen": 12}
    return move["quantity"] * size.get(move["unit"], 1) * sign


def built_of(season: Season) -> dict[tuple[Job, str], Fraction]:
    """What stands in the finished jobs, by job and item; of cord and sundries nothing does."""
    built: dict[tuple[Job, str], Fraction] = defaultdict(Fraction)
    for run in rows(season, "runs"):
        built[job_of(run), run["line_item"]] += run["feet"]
        if run["fastener_item"]:
            pieces = run["sockets"] if run["fasteners"] is None else run["fasteners"]
            built[job_of(run), run["fastener_item"]] += pieces
    for job, bulb, count in _bulbs_of(season):
        built[job, bulb] += count
    items = rows(season, "items")
    for connection in rows(season, "connections"):
        kind, each = MADE_OF.get(connection["kind"], ("", 1))
        alone = [item["item_no"] for item in items if item["kind"] == kind]
        item_no = connection["item_no"] or (alone[0] if len(alone) == 1 else None)
        if item_no:
            built[job_of(connection), item_no] += each * connection["count"]
    never = {item["item_no"] for item in items if item["kind"] in NEVER_BUILT}
    return {key: quantity for key, quantity in built.items() if key[1] not in never}


def _bulbs_of(season: Season) -> Iterator[tuple[Job, str, Fraction]]:
    """The bulbs that hang: those of the sockets, less the sealed sockets of the job, from each kind by its share."""
    hung: dict[Job, dict[str, Fraction]] = defaultdict(lambda: defaultdict(Fraction))
    sealed: dict[Job, Fraction] = defaultdict(Fraction)
    mixes: dict[tuple[Job, str], list[Row]] = defaultdict(list)
    for bulb in rows(season, "run_bulbs"):
        mixes[job_of(bulb), bulb["run_no"]].append(bulb)
    for run in rows(season, "runs"):
        whole = [{"bulb_item": run["bulb_item"], "share": Fraction(1)}]
        for bulb in mixes.get((job_of(run), run["run_no"]), whole):
            hung[job_of(run)][bulb["bulb_item"]] += run["sockets"] * bulb["share"]
    for connection in rows(season, "connections"):
        if connection["kind"] in ("taped_socket", "capped_socket"):
            sealed[job_of(connection)] += connection["count"]
    for job, bulbs in hung.items():
        total = sum(bulbs.values(), ZERO)
        for bulb_no, count in bulbs.items():
            yield job, bulb_no, count - min(sealed[job], total) * count / total if total else ZERO


def kit_of(job: Row, item_no: str, built: Fraction, back: Fraction, costs: Costs) -> Kit:
    """What stands costs what it cost in the season that built it, where the store has that season and item."""
    since = job["season"] if job["work"] == "new" else job["built_season"]
    cost = costs.get(since, {}).get(item_no) or costs[job["season"]][item_no]
    age = None if since is None else max(0, job["season"] - since)
    return Kit(job, item_no, built, cost, age, back)


def goods_of(season: Season, jobs: dict[Job, Row], service_days: set[tuple[Job, date]], costs: Costs) -> Goods:
    """What goods cost each job and the shop this season, and what is carried on."""
    goods, own = Goods(), costs[season.season]
    if not handed_in(season, "materials"):
        goods.bought = [(r["branch"], r["paid"] + (r["freight"] or ZERO)) for r in rows(season, "purchases")]
    items = {item["item_no"]: item for item in rows(season, "items")}
    net: dict[tuple[Job, str], Fraction] = defaultdict(Fraction)
    returned: dict[tuple[Job, str], Fraction] = defaultdict(Fraction)
    for move in rows(season, "materials"):
        quantity, unit_usd = net_quantity(move, items[move["item_no"]]), own[move["item_no"]].usd
        if move["job_no"] is None:
            goods.shop.append((move["branch"], quantity * unit_usd))
        elif (job_of(move), move["move_date"]) in service_days:
            goods.direct[job_of(move), "service"] += quantity * unit_usd
        else:
            net[job_of(move), move["item_no"]] += quantity
            returned[job_of(move), move["item_no"]] += max(ZERO, -quantity)
    built = {} if goods.bought else built_of(season)
    for job, item_no in sorted(net.keys() | built.keys()):
        stands, used = built.get((job, item_no), ZERO), net[job, item_no]
        if jobs[job]["terms"] == "leased":
            is_new = jobs[job]["work"] == "new"
            back = min(returned[job, item_no], max(ZERO, stands - used)) if is_new else ZERO
            kit = kit_of(jobs[job], item_no, stands, back, costs)
            goods.kits.append(kit)
            goods.direct[job, "materials"] += stands * kit.cost.usd * kit.share
            # What is built is carried whole, and borne, whatever was issued; more than that is used up.
            goods.outside[job[0]] += stands * own[item_no].usd if is_new else ZERO
            used = max(ZERO, used - stands) if is_new else used
        goods.direct[job, "materials"] += used * own[item_no].usd
    return goods


def absent_kits(before: Goods, season: Season) -> Iterator[Kit]:
    """The kits of the season before whose property has no leased repeat work this season, in branches that are closed.

    What their later seasons were to bear goes outside the jobs, once: into stock as far as `back` says, else written
    down. Their goods that this season's rows return are back too: those rows are held, since their job is not there.
    """
    here = {j["property_no"] for j in rows(season, "jobs") if (j["terms"], j["work"]) == ("leased", "repeat")}
    items = {item["item_no"]: item for item in rows(season, "items")}
    held = [row for row in rows(season, "materials", refused=True) if row["place"] == "held"]
    for kit in before.kits:
        job = kit.job["branch"], kit.job["job_no"]
        if kit.job["property_no"] not in here and job[0] in season.branches:
            its = [row for row in held if (job_of(row), row["item_no"]) == (job, kit.item_no)]
            came = sum((max(ZERO, -net_quantity(row, items[kit.item_no])) for row in its), ZERO)
            yield replace(kit, back=min(kit.built, kit.back + came))
