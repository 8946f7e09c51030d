"""Job cost in plain Python with fractions, one row at a time: a second opinion on the SQL.

Written from the definitions of cost alone. It is slow, holds everything in memory and rounds once, at the very end.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, timedelta
from decimal import Decimal
from fractions import Fraction
from typing import Any

from support.plain_goods import UnitCost, goods_of, unit_costs_of
from support.tables import Season

from pipeline.settings import mile_rates

DIRECT = {"prep", "drive", "install", "service", "takedown", "storage"}
VISITS = {"drive", "install", "service", "takedown"}
BURDEN = ("social_security", "medicare", "futa", "state_unemployment", "other_burden")
WEEKDAYS = ("monday", "tuesday", "wednesday", "thursday", "friday", "saturday", "sunday")
ZERO = Fraction(0)
Row = dict[str, Any]
Job = tuple[str, str]
"""Branch and number."""


def rows(season: Season, name: str, *, refused: bool = False) -> list[Row]:
    """The rows of a table, exact numbers as fractions; none where the table was not handed in."""
    frames = season.refused if refused else season.records
    frame = frames.get(name)
    if frame is None:
        return []
    return [{key: Fraction(v) if isinstance(v, Decimal) else v for key, v in row.items()} for row in frame.to_dicts()]


def setting(season: Season, key: str) -> Fraction | None:
    """A setting's number, exact; None where it was not given and has no default."""
    value = season.settings.number(key)
    return None if value is None else Fraction(value)


@dataclass(eq=False)
class Entry:
    """An hours row with what it cost."""

    row: Row
    held: bool
    wage: Fraction | None
    engaged: str
    compensation: Fraction
    extra: Fraction = ZERO
    premium: Fraction = ZERO

    @property
    def straight(self) -> Fraction:
        return self.row["hours"] * (self.wage or ZERO)

    def loaded(self, season: Season) -> Fraction:
        """Straight and extra pay, premium and burden."""
        pay = self.straight + self.extra
        if self.engaged != "employee":
            return pay
        rate = sum((setting(season, key) or ZERO for key in BURDEN), ZERO)
        return pay + self.premium + (pay + self.premium) * rate + pay * self.compensation


def entry_of(season: Season, row: Row, held: bool) -> Entry:
    """An hours row with the wage in force that day."""
    wages = [w for w in rows(season, "workers") if w["worker_no"] == row["worker_no"]]
    in_force = [w for w in wages if w["from_date"] is None or w["from_date"] <= row["work_date"]]
    if not in_force:
        return Entry(row, held, None, "employee", setting(season, "compensation") or ZERO)
    last = max(in_force, key=lambda w: w["from_date"] or date.min)
    wage = {"owner": setting(season, "owner_wage"), "subcontract": ZERO}.get(last["engaged"], last["hourly_wage"])
    role = last["role"]
    compensation = setting(season, f"compensation:{role.lower()}" if role else "compensation") or ZERO
    return Entry(row, held, wage, last["engaged"], compensation)


def entries_of(season: Season) -> list[Entry]:
    """Accepted and held hours, with the season's bonus, piece and day pay on them by hours."""
    entries = [entry_of(season, row, held=False) for row in rows(season, "hours")]
    entries += [entry_of(season, r, held=True) for r in rows(season, "hours", refused=True) if r["place"] == "held"]
    for pay in rows(season, "pay"):
        if pay["kind"] == "subcontract":
            continue
        borne = [e for e in entries if bears(e.row, pay)]
        for entry in borne:
            entry.extra += pay["amount"] * entry.row["hours"] / sum(e.row["hours"] for e in borne)
    return entries


def bears(row: Row, pay: Row) -> bool:
    """Whether hours are among those that a bonus, piece or day pay goes over."""
    its_job = pay["job_no"] is None or (pay["job_no"], pay["branch"]) == (row["job_no"], row["branch"])
    its_days = pay["from_date"] <= row["work_date"] <= pay["to_date"]
    return bool(row["worker_no"] == pay["worker_no"] and its_days and its_job)


def add_premiums(seasons: list[tuple[Season, list[Entry]]]) -> None:
    """Overtime premium by employee and workweek, over all branches and seasons."""
    weeks: dict[tuple[str, date], list[tuple[Season, Entry]]] = defaultdict(list)
    for season, entries in seasons:
        start = WEEKDAYS.index(season.settings.text("week_starts") or "sunday")
        for entry in entries:
            day: date = entry.row["work_date"]
            if entry.engaged == "employee":
                first = day - timedelta(days=(day.weekday() - start) % 7)
                weeks[entry.row["worker_no"], first].append((season, entry))
    for week in weeks.values():
        hours = sum(entry.row["hours"] for _, entry in week)
        pay = sum((entry.straight + entry.extra for _, entry in week), ZERO)
        premium = pay / hours / 2 * overtime_hours(week)
        for _, entry in week:
            entry.premium = premium * entry.row["hours"] / hours


def overtime_hours(week: list[tuple[Season, Entry]]) -> Fraction:
    """The week's hours over its limit, or the days' hours over theirs where that is more."""
    season = week[0][0]
    limit, daily = setting(season, "weekly_limit"), setting(season, "daily_limit")
    days: dict[date, Fraction] = defaultdict(Fraction)
    for _, entry in week:
        days[entry.row["work_date"]] += entry.row["hours"]
    over_days = ZERO if daily is None else sum((max(ZERO, h - daily) for h in days.values()), ZERO)
    return max(ZERO, sum(days.values(), ZERO) - (limit or ZERO), over_days)


class Books:
    """A season's cost: what each job bears itself, and the amounts that are spread."""

    def __init__(self, season: Season, entries: list[Entry], unit_costs: dict[int, dict[str, UnitCost]]) -> None:
        self.season, self.entries, self.unit_costs = season, entries, unit_costs
        self.jobs: dict[Job, Row] = {(j["branch"], j["job_no"]): j for j in rows(season, "jobs")}
        self.direct: dict[tuple[Job, str], Fraction] = defaultdict(Fraction)
        self.pools: list[tuple[str | None, str, str, Fraction]] = []
        self.accepted = [e.row for e in entries if not e.held]
        self.service_days = self._service_days()
        self.place_hours()
        self.place_travel()
        self.place_goods()
        self.place_charges()

    def _service_days(self) -> set[tuple[Job, date]]:
        tasks: dict[tuple[Job, date], set[str]] = defaultdict(set)
        for row in self.accepted:
            tasks[(row["branch"], row["job_no"]), row["work_date"]].add(row["task"])
        return {key for key, did in tasks.items() if "service" in did and did <= {"service", "drive"}}

    def home(self, crew: str) -> str | None:
        """The branch where a crew led most jobs; the first name where two have as many."""
        led = [branch for (branch, _), job in self.jobs.items() if job["crew"] == crew]
        return min(led, key=lambda branch: (-led.count(branch), branch)) if led else None

    def place_hours(self) -> None:
        for entry in self.entries:
            row, cost = entry.row, entry.loaded(self.season)
            job = (row["branch"], row["job_no"])
            if entry.held or row["task"] == "other_work":
                continue
            if row["job_no"] is None or row["task"] not in DIRECT:
                self.pools.append((row["branch"] or self.home(row["crew"]), "labor", "hours", cost))
            elif row["task"] == "service" or (row["task"] == "drive" and (job, row["work_date"]) in self.service_days):
                self.direct[job, "service"] += cost
            else:
                self.direct[job, "labor"] += cost

    def mile_rate(self, day: date) -> Fraction:
        given = setting(self.season, "mile_cost")
        return (
            given if given is not None else Fraction([r for r in mile_rates() if r.from_date <= day][-1].usd_per_mile)
        )

    def visits(self) -> dict[tuple[str, date], list[Job]]:
        """The jobs that a crew had on a day."""
        found: dict[tuple[str, date], list[Job]] = defaultdict(list)
        for row in self.accepted:
            had = found[row["crew"], row["work_date"]] if row["job_no"] and row["task"] in VISITS else []
            if (row["branch"], row["job_no"]) not in had:
                had.append((row["branch"], row["job_no"]))
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
                    self.pools.append((trip["branch"] or self.home(crew), "travel", "hours", usd))

    def miles_of_day(self, jobs: list[Job], trips: list[Row] | None) -> list[Fraction]:
        """Each job's miles of a crew's day."""
        driven = [self.jobs[job]["drive_miles"] or ZERO for job in jobs]
        if trips is None:
            return [miles / len(jobs) for miles in driven]
        total = sum(trip["miles"] for trip in trips)
        return [total * d / sum(driven) if sum(driven) else total / Fraction(len(jobs)) for d in driven]

    def place_goods(self) -> None:
        names = ("items", "materials", "runs", "run_bulbs", "connections")
        tables = {name: rows(self.season, name) for name in names}
        tables["bought_in_all"] = [] if "materials" in self.season.records else rows(self.season, "purchases")
        goods = goods_of(self.jobs, tables, self.service_days, self.unit_costs)
        for (job, part), usd in goods.direct.items():
            self.direct[job, part] += usd
        self.pools += [(branch, "materials", "hours", usd) for branch, usd in goods.shop]
        self.pools += [(branch, "materials", "feet", usd) for branch, usd in goods.bought]

    def place_charges(self) -> None:
        for pay in rows(self.season, "pay"):
            if pay["kind"] == "subcontract":
                self._charge(pay, "labor")
        for charge in rows(self.season, "equipment"):
            self._charge(charge, "equipment")
        for overhead in rows(self.season, "overheads"):
            self.pools.append((overhead["branch"], "overhead", overhead["basis"], overhead["amount"]))

    def _charge(self, row: Row, part: str) -> None:
        if row["job_no"] is None:
            self.pools.append((row["branch"], part, "hours", row["amount"]))
        else:
            self.direct[(row["branch"], row["job_no"]), part] += row["amount"]

    def weight(self, job: Job, basis: str) -> Fraction:
        """What a job bears an amount by."""
        runs = [run["feet"] for run in rows(self.season, "runs") if (run["branch"], run["job_no"]) == job]
        hours = [r["hours"] for r in self.accepted if (r["branch"], r["job_no"]) == job and r["task"] in DIRECT]
        return {
            "hours": sum(hours, ZERO),
            "feet": sum(runs, ZERO) if runs else self.jobs[job]["feet"] or ZERO,
            "revenue": self.jobs[job]["invoiced"],
            "jobs": Fraction(1),
        }[basis]

    def spread(self) -> Iterator[tuple[Job, str, Fraction]]:
        """Each job's share of each amount that no job bears alone."""
        known = {
            (job, basis): self.weight(job, basis) for job in self.jobs for basis in ("hours", "feet", "revenue", "jobs")
        }
        for branch, part, basis, usd in self.pools:
            bearers = [job for job in self.jobs if branch is None or job[0] == branch]
            used = next(b for b in (basis, "feet", "jobs") if sum(known[job, b] for job in bearers) > 0)
            whole = sum(known[job, used] for job in bearers)
            for job in bearers:
                yield job, part, usd * known[job, used] / whole

    def parts(self) -> dict[tuple[Job, str], Decimal]:
        """Each part of each job in cents; a part of which no job has anything is not there."""
        exact: dict[tuple[Job, str], Fraction] = defaultdict(Fraction, self.direct)
        for job, part, usd in self.spread():
            exact[job, part] += usd
        rounded: dict[tuple[Job, str], Decimal] = {}
        for part in {part for _, part in exact}:
            column = {job: usd for (job, its), usd in sorted(exact.items()) if its == part}
            rounded |= {(job, part): usd for job, usd in largest_remainder(column).items()}
        return rounded


def half_away(cents: Fraction) -> int:
    """A number of cents rounded, half away from zero."""
    return int(abs(cents) + Fraction(1, 2)) * (1 if cents >= 0 else -1)


def largest_remainder(column: dict[Job, Fraction]) -> dict[Job, Decimal]:
    """Dollars in cents that add up to their rounded sum: the largest remainders get the cents that are over.

    Remainders that agree to a billionth of a dollar tie: hours are kept to 12 decimals, so that two shares that are
    equal in thirds of an hour are not quite equal in the records.
    """
    clean = {job: Fraction(round(usd * 10**9), 10**9) for job, usd in column.items()}
    floors = {job: usd * 100 // 1 for job, usd in clean.items()}
    over = half_away(sum(column.values(), ZERO) * 100) - sum(floors.values())
    order = sorted(column, key=lambda job: (floors[job] - clean[job] * 100, job))
    return {job: Decimal(floors[job] + (place < over)) / 100 for place, job in enumerate(order)}


def cost_of(*seasons: Season) -> dict[int, Books]:
    """The books of seasons that are in a store together."""
    loaded = [(season, entries_of(season)) for season in seasons]
    add_premiums(loaded)
    priced = {
        s.season: unit_costs_of({n: rows(s, n) for n in ("jobs", "items", "purchases", "stock")}) for s in seasons
    }
    return {season.season: Books(season, entries, priced) for season, entries in loaded}
