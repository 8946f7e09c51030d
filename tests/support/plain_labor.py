"""Labor in plain Python with fractions: wages by date, overtime by week, burden by calendar year, entry by entry.

The labor room of plain_costing, written from the definitions of pay alone.
"""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass
from datetime import date, timedelta
from fractions import Fraction

from support.plain_records import ZERO, Row, rows, setting
from support.tables import Season

from pipeline.settings import social_security_bases

WEEKDAYS = ("monday", "tuesday", "wednesday", "thursday", "friday", "saturday", "sunday")
EARLIEST = date.min


@dataclass(eq=False)
class Entry:
    """An hours row with what it cost; `held` rows count for the week and the year, and their cost is shown as held."""

    season: Season
    row: Row
    held: bool
    wage: Fraction | None
    engaged: str
    compensation: Fraction
    extra: Fraction = ZERO
    premium: Fraction = ZERO
    taxes: Fraction = ZERO
    before: Fraction = ZERO
    """Pay of its calendar year that is in no record."""

    @property
    def straight(self) -> Fraction:
        return self.row["hours"] * (self.wage or ZERO)

    @property
    def pay(self) -> Fraction:
        """What burden is reckoned on."""
        return self.straight + self.extra + self.premium

    @property
    def loaded(self) -> Fraction:
        """Straight and extra pay, premium and burden; compensation leaves the premium out."""
        if self.engaged != "employee":
            return self.straight + self.extra
        return self.pay + self.taxes + (self.straight + self.extra) * self.compensation


def entry_of(season: Season, row: Row, *, held: bool = False) -> Entry:
    """An hours row with the wage in force that day."""
    wages = [w for w in rows(season, "workers") if w["worker_no"] == row["worker_no"]]
    in_force = [w for w in wages if w["from_date"] is None or w["from_date"] <= row["work_date"]]
    if not in_force:
        return Entry(season, row, held, None, "employee", setting(season, "compensation") or ZERO)
    last = max(in_force, key=lambda w: w["from_date"] or EARLIEST)
    wage = {"owner": setting(season, "owner_wage"), "subcontract": ZERO}.get(last["engaged"], last["hourly_wage"])
    role = last["role"]
    compensation = setting(season, f"compensation:{role.lower()}" if role else "compensation") or ZERO
    return Entry(season, row, held, wage, last["engaged"], compensation)


def entries_of(season: Season) -> list[Entry]:
    """Accepted and held hours, with the season's bonus, piece and day pay on them by hours."""
    entries = [entry_of(season, row) for row in rows(season, "hours")]
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


def add_premiums(entries: list[Entry]) -> None:
    """Overtime premium by employee and workweek, over all branches and seasons of the store."""
    weeks: dict[tuple[str, date], list[Entry]] = defaultdict(list)
    for entry in entries:
        day: date = entry.row["work_date"]
        if entry.engaged == "employee":
            start = WEEKDAYS.index(entry.season.settings.text("week_starts") or "sunday")
            weeks[entry.row["worker_no"], day - timedelta(days=(day.weekday() - start) % 7)].append(entry)
    for week in weeks.values():
        hours = sum(entry.row["hours"] for entry in week)
        premium = sum((entry.pay for entry in week), ZERO) / hours / 2 * overtime_hours(week)
        for entry in week:
            entry.premium = premium * entry.row["hours"] / hours


def overtime_hours(week: list[Entry]) -> Fraction:
    """The week's hours over its limit, or the days' hours over theirs where that is more."""
    season = week[0].season
    limit, daily = setting(season, "weekly_limit"), setting(season, "daily_limit")
    days: dict[date, Fraction] = defaultdict(Fraction)
    for entry in week:
        days[entry.row["work_date"]] += entry.row["hours"]
    over_days = ZERO if daily is None else sum((max(ZERO, h - daily) for h in days.values()), ZERO)
    return max(ZERO, sum(days.values(), ZERO) - (limit or ZERO), over_days)


def add_taxes(entries: list[Entry]) -> None:
    """What a worker's calendar year owes on the pay in the records, evenly over that pay."""
    years: dict[tuple[str, int], list[Entry]] = defaultdict(list)
    for entry in entries:
        if entry.engaged == "employee":
            years[entry.row["worker_no"], entry.row["work_date"].year].append(entry)
    seasons = {entry.season.season: entry.season for entry in entries}
    for (worker, year), its in years.items():
        pay = sum((entry.pay for entry in its), ZERO)
        before = pay_before(worker, year, its, seasons.get(year))
        for entry in its:
            due = due_on(entry.season, year, before + pay) - due_on(entry.season, year, before)
            entry.taxes, entry.before = due * entry.pay / pay if pay else ZERO, before


def pay_before(worker: str, year: int, entries: list[Entry], season: Season | None) -> Fraction:
    """The year's pay from the firm that the records do not hold: `paid_before`, less what an earlier season holds.

    It counts in the year in which its season starts; of a worker's rows the largest.
    """
    said = [w["paid_before"] or ZERO for w in (rows(season, "workers") if season else ()) if w["worker_no"] == worker]
    earlier = sum((entry.pay for entry in entries if entry.season.season < year), ZERO)
    return max(ZERO, max(said, default=ZERO) - earlier)


def due_on(season: Season, year: int, pay: Fraction) -> Fraction:
    """The taxes of a calendar year's pay, each up to its base."""
    federal = {base.year: Fraction(base.usd) for base in social_security_bases()}
    bases = {
        "social_security": setting(season, f"social_security_base:{year}") or federal.get(year),
        "futa": setting(season, "futa_base"),
        "state_unemployment": setting(season, f"state_base:{year}"),
    }
    due = pay * ((setting(season, "medicare") or ZERO) + (setting(season, "other_burden") or ZERO))
    for tax, base in bases.items():
        rate = setting(season, tax) or ZERO
        if rate and base is None:
            raise ValueError(f"{tax} has no base for {year}")
        due += rate * min(pay, base or ZERO)
    return due
