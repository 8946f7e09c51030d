"""Job cost in plain Python with fractions, one row at a time: a second opinion on the SQL.

Written from the definitions of cost alone. It is slow, holds everything in memory and rounds once, at the very end.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator
from datetime import date
from decimal import Decimal
from fractions import Fraction

from support.plain_goods import Costs, Goods, absent_kits, goods_of, net_quantity, unit_costs_of
from support.plain_labor import Entry, add_premiums, add_taxes, entries_of, entry_of
from support.plain_records import ZERO, Job, Row, clean, job_of, largest_remainder, rows, setting
from support.plain_stock import shrinkage_of
from support.tables import Season

from pipeline.settings import mile_rates

DIRECT = {"prep", "drive", "install", "service", "takedown", "storage"}
VISITS = {"drive", "install", "service", "takedown"}
REFUSED_AMOUNTS = (("pay", "labor"), ("equipment", "equipment"), ("overheads", "overhead"))

Place = tuple[str | None, str]
"""Branch, None for no one branch, and part of cost."""


class Books:
    """A season's cost: what each job bears itself, the amounts that are spread, what stays outside or was refused."""

    def __init__(self, season: Season, entries: list[Entry], costs: Costs) -> None:
        self.season, self.entries = season, entries
        self.jobs: dict[Job, Row] = {(j["branch"], j["job_no"]): j for j in rows(season, "jobs")}
        self.direct: dict[tuple[Job, str], Fraction] = defaultdict(Fraction)
        self.owner: dict[Job, Fraction] = defaultdict(Fraction)
        self.pools: list[tuple[str | None, str, str, Fraction, Fraction]] = []
        """Branch, part, basis, amount, and the owner's hours in it."""
        self.unpriced: set[Job] = set()
        self.unpriced_pools: set[str | None] = set()
        self.outside: dict[Place, Fraction] = defaultdict(Fraction)
        self.refused: dict[Place, Fraction] = defaultdict(Fraction)
        self._shares: dict[tuple[str | None, str], dict[Job, Fraction]] = {}
        self.accepted = [e.row for e in entries if not e.held]
        self.service_days = self._service_days()
        self.place_hours()
        self.place_travel()
        self.goods: Goods = goods_of(season, self.jobs, self.service_days, costs)
        self.place_goods(costs)
        self.place_charges()

    def _service_days(self) -> set[tuple[Job, date]]:
        """A job's days on which nothing but service, and the drive to it, was done."""
        tasks: dict[tuple[Job, date], set[str]] = defaultdict(set)
        for row in self.accepted:
            tasks[job_of(row), row["work_date"]].add(row["task"])
        return {key for key, did in tasks.items() if "service" in did and did <= {"service", "drive"}}

    def home(self, crew: str) -> str | None:
        """The branch where a crew led most jobs; the first name where two have as many."""
        led = [branch for (branch, _), job in self.jobs.items() if job["crew"] == crew]
        return min(led, key=lambda branch: (-led.count(branch), branch)) if led else None

    def place_hours(self) -> None:
        for entry in self.entries:
            row, cost, job = entry.row, entry.loaded, job_of(entry.row)
            branch = row["branch"] or self.home(row["crew"])
            is_service = row["task"] == "service" or (
                row["task"] == "drive" and (job, row["work_date"]) in self.service_days
            )
            part = "service" if is_service else "labor"
            owner = cost if entry.engaged == "owner" else ZERO
            is_unpriced = entry.engaged == "owner" and entry.wage is None
            if entry.held:
                self.refused[row["branch"], "labor"] += cost
            elif row["task"] == "other_work":
                self.outside[row["branch"], "labor"] += cost
            elif row["job_no"] is None or row["task"] not in DIRECT:
                self.pools.append((branch, "labor", "hours", cost, owner))
                self.unpriced_pools |= {branch} if is_unpriced else set()
            else:
                self.direct[job, part] += cost
                self.owner[job] += owner
                self.unpriced |= {job} if is_unpriced else set()

        for row in rows(self.season, "hours", refused=True):
            if row["place"] == "rejected":
                self.refused[row["branch"], "labor"] += entry_of(self.season, row).straight

    def mile_rate(self, day: date) -> Fraction:
        given = setting(self.season, "mile_cost")
        if given is not None:
            return given
        return Fraction([rate for rate in mile_rates() if rate.from_date <= day][-1].usd_per_mile)

    def visits(self) -> dict[tuple[str, date], list[Job]]:
        """The jobs that a crew had on a day."""
        found: dict[tuple[str, date], list[Job]] = defaultdict(list)
        for row in self.accepted:
            had = found[row["crew"], row["work_date"]] if row["job_no"] and row["task"] in VISITS else []
            if job_of(row) not in had:
                had.append(job_of(row))
        return found

    def place_travel(self) -> None:
        trips: dict[tuple[str, date], list[Row]] = defaultdict(list)
        for trip in rows(self.season, "trips"):
            trips[trip["crew"], trip["trip_date"]].append(trip)
        visits = self.visits()
        for (crew, day), jobs in visits.items():
            shares = self.miles_of_day(jobs, trips.get((crew, day)))
            for job, miles in zip(jobs, shares, strict=True):
                part = "service" if (job, day) in self.service_days else "travel"
                self.direct[job, part] += miles * self.mile_rate(day)
        for (crew, day), written in trips.items():
            if not visits.get((crew, day)):
                for trip in written:
                    usd = trip["miles"] * self.mile_rate(day)
                    self.pools.append((trip["branch"] or self.home(crew), "travel", "hours", usd, ZERO))

    def miles_of_day(self, jobs: list[Job], trips: list[Row] | None) -> list[Fraction]:
        """Each job's miles of a crew's day."""
        driven = [self.jobs[job]["drive_miles"] or ZERO for job in jobs]
        if trips is None:
            return [miles / len(jobs) for miles in driven]
        total = sum(trip["miles"] for trip in trips)
        return [total * d / sum(driven) if sum(driven) else total / Fraction(len(jobs)) for d in driven]

    def place_goods(self, costs: Costs) -> None:
        own = costs[self.season.season]
        for key, usd in self.goods.direct.items():
            self.direct[key] += usd
        self.pools += [(branch, "materials", "hours", usd, ZERO) for branch, usd in self.goods.shop]
        self.pools += [(branch, "materials", "feet", usd, ZERO) for branch, usd in self.goods.bought]
        for branch, usd in self.goods.outside.items():
            self.outside[branch, "materials"] += usd
        refused = rows(self.season, "materials", refused=True)
        held = [row for row in refused if row["place"] == "held"]
        for item in rows(self.season, "items"):
            unit_usd = own[item["item_no"]].usd
            for move in refused:
                if move["item_no"] == item["item_no"]:
                    self.refused[move["branch"], "materials"] += net_quantity(move, item) * unit_usd
            its = [m for m in rows(self.season, "materials") + held if m["item_no"] == item["item_no"]]
            moved = [(move["branch"], net_quantity(move, item)) for move in its if move["moved"] != "scrapped"]
            for branch, gone in shrinkage_of(self.season, item["item_no"], moved):
                self.outside[branch, "materials"] += gone * unit_usd

    def place_charges(self) -> None:
        for pay in rows(self.season, "pay"):
            if pay["kind"] == "subcontract":
                self._charge(pay, "labor")
        for charge in rows(self.season, "equipment"):
            self._charge(charge, "equipment")
        for overhead in rows(self.season, "overheads"):
            self.pools.append((overhead["branch"], "overhead", overhead["basis"], overhead["amount"], ZERO))
        for table, part in REFUSED_AMOUNTS:
            for row in rows(self.season, table, refused=True):
                self.refused[row["branch"], part] += row["amount"]

    def _charge(self, row: Row, part: str) -> None:
        if row["job_no"] is None:
            self.pools.append((row["branch"], part, "hours", row["amount"], ZERO))
        else:
            self.direct[job_of(row), part] += row["amount"]

    def weight(self, job: Job, basis: str) -> Fraction:
        """What a job bears an amount by."""
        runs = [run["feet"] for run in rows(self.season, "runs") if job_of(run) == job]
        hours = [row["hours"] for row in self.accepted if job_of(row) == job and row["task"] in DIRECT]
        return {
            "hours": sum(hours, ZERO),
            "feet": sum(runs, ZERO) if runs else self.jobs[job]["feet"] or ZERO,
            "revenue": self.jobs[job]["invoiced"],
            "jobs": Fraction(1),
        }[basis]

    def spread(self) -> Iterator[tuple[Job, str, Fraction, Fraction]]:
        """Each job's share of each amount that no job bears alone, and the owner's hours in it."""
        for branch, part, basis, usd, owner in self.pools:
            for job, share in self.shares(branch, basis).items():
                yield job, part, usd * share, owner * share

    def shares(self, branch: str | None, basis: str) -> dict[Job, Fraction]:
        """The shares of the jobs that bear a branch's amounts; by feet, else evenly, where the basis is 0 on all."""
        if (branch, basis) not in self._shares:
            bearers = [job for job in self.jobs if job[0] == branch] or list(self.jobs)
            by = ({job: self.weight(job, used) for job in bearers} for used in (basis, "feet", "jobs"))
            weights = next(weight for weight in by if sum(weight.values()) > 0)
            self._shares[branch, basis] = {job: weight / sum(weights.values()) for job, weight in weights.items()}
        return self._shares[branch, basis]

    def parts(self) -> dict[tuple[Job, str], Decimal]:
        """Each part of each job in cents; the parts of a job add up to its total."""
        exact = defaultdict(Fraction, self.direct)
        for job, part, usd, _ in self.spread():
            exact[job, part] += usd
        rounded: dict[tuple[Job, str], Decimal] = {}
        for part in {part for _, part in exact}:
            column = {job: exact[job, part] for job in sorted(self.jobs)}
            rounded |= {(job, part): usd for job, usd in largest_remainder(column).items()}
        return rounded

    def owners_known(self) -> dict[Job, Fraction]:
        """What is known of the owner's own hours in each job's cost, exact: pay beside the wage is, without a wage."""
        owner = defaultdict(Fraction, self.owner)
        for job, _, _, usd in self.spread():
            owner[job] += usd
        return owner

    def owners(self) -> dict[Job, Fraction | None]:
        """The owner's own hours in each job's cost, exact; None where their price is not known."""
        owner = self.owners_known()
        unknown = self.unpriced | {
            job for branch in self.unpriced_pools for job, share in self.shares(branch, "hours").items() if share
        }
        return {job: None if job in unknown else owner[job] for job in self.jobs}

    def control(self) -> dict[Place, tuple[Fraction, Fraction, Fraction, Fraction]]:
        """By branch (None: no one branch) and part, exact: on jobs directly, spread, outside, refused."""
        on_jobs: dict[Place, Fraction] = defaultdict(Fraction)
        spread: dict[Place, Fraction] = defaultdict(Fraction)
        for ((branch, _), part), usd in self.direct.items():
            on_jobs[branch, part] += usd
        for of, part, _, usd, _ in self.pools:
            spread[of, part] += usd
        ways = (on_jobs, spread, self.outside, self.refused)
        return {place: tuple(way.get(place, ZERO) for way in ways) for place in set().union(*ways)}  # type: ignore[misc]

    def control_in_cents(self) -> dict[tuple[str, str], tuple[Decimal, ...]]:
        """The same in cents: over the branches, `all` for no one, on jobs and spread add up to the part's total."""
        exact = {(branch or "all", part): usd for (branch, part), usd in self.control().items() if any(usd)}
        placed: dict[tuple[str, str], Decimal] = {}
        for part in {part for _, part in exact}:
            placed |= largest_remainder({key: usd[0] + usd[1] for key, usd in exact.items() if key[1] == part})
        return {key: row_in_cents(placed[key], *usd) for key, usd in exact.items()}


def row_in_cents(
    placed: Decimal, on_jobs: Fraction, spread: Fraction, outside: Fraction, refused: Fraction
) -> tuple[Decimal, ...]:
    """A row of the control in cents, of which on jobs and spread come to `placed`.

    The rest is the nearest cent with which the row is less than a cent from its exact sum; half a cent goes up.
    """
    exact = [clean(usd) * 100 for usd in (on_jobs + spread, outside + refused)]
    near = {exact[1] // 1, -(-exact[1] // 1)}
    fits = [cents for cents in near if abs(int(placed * 100) + cents - sum(exact)) < 1]
    rest = Decimal(min(fits, key=lambda cents: (abs(cents - exact[1]), -cents))) / 100
    first = largest_remainder({0: on_jobs, 1: spread}, placed)
    second = largest_remainder({0: outside, 1: refused}, rest)
    return first[0], first[1], second[0], second[1]


def cost_of(*seasons: Season) -> dict[int, Books]:
    """The books of seasons that are in a store together."""
    entries = {season.season: entries_of(season) for season in seasons}
    together = [entry for its in entries.values() for entry in its]
    add_premiums(together)
    add_taxes(together)
    costs = {season.season: unit_costs_of(season) for season in seasons}
    books = {season.season: Books(season, entries[season.season], costs) for season in seasons}
    for year, later in books.items():
        if year - 1 in books:
            for kit in absent_kits(books[year - 1].goods, later.season):
                later.outside[kit.job["branch"], "materials"] += kit.carried
    return books
