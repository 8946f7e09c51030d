"""Small seasons made by chance, with every kind of row that cost knows: for comparing two costings.

All chance comes from one `Random`, so that hypothesis can draw it and shrink it.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from random import Random
from typing import Any

from support.tables import Season

CREWS = ("Ash", "Birch", "Cedar")
BRANCHES = ("East", "West")
ITEMS = """
    | item_no | kind       | unit | pack_size | pack_price | life_seasons |
    | LL12    | light_line | ft   | 500       | 161.37     | 4            |
    | B9      | bulb       | each | 25        | 19.99      | 2.5          |
    | B9R     | bulb       | each | 30        | 22.10      | 3            |
    | CL      | fastener   | each | 70        | 9.95       | 0.5          |
    | PL      | plug       | each | 12        | 8.80       | 4            |
    | TM      | timer      | each | 1         | 15.49      | 6            |
    | CP1     | cap        | each | 50        | 5          | 4            |
    | CP2     | cap        | each | 40        | 5          | 4            |
    | ZIP     | zip_cord   | ft   | 250       | 41         | 4            |
    | TAPE    | sundry     | each | 3         | 10         | 4            |
"""
PACKS = {"LL12": 500, "B9": 25, "B9R": 100, "CL": 70, "PL": 12, "TM": 1, "ZIP": 250, "TAPE": 3}
TASKS = ("install",) * 6 + (
    "drive",
    "drive",
    "service",
    "prep",
    "takedown",
    "storage",
    "other_work",
    "shop",
    "training",
)
WORKERS = """
    | worker_no | role    | engaged     | hourly_wage | from_date | paid_before |
    | W1        | Climber | employee    | 19.50       |           | {some}      |
    | W1        | Climber | employee    | 21.35       | {raise}   | {more}      |
    | W2        | Helper  | employee    | 17.10       |           |             |
    | W3        |         | employee    | 18.33       |           | {more}      |
    | W4        |         | owner       |             |           |             |
    | W5        |         | subcontract |             |           |             |
"""
LAW = {"weekly_limit": ("15", "30"), "week_starts": ("monday", "wednesday"), "daily_limit": ("8",)}
"""What a worker's week goes by: the same in every season of a store, since a week may lie in two of them."""


@dataclass(frozen=True)
class Size:
    """How many rows of each kind are made, least and most."""

    jobs: tuple[int, int] = (3, 5)
    """A branch."""
    hours: tuple[int, int] = (25, 60)
    moves: tuple[int, int] = (8, 25)
    few: int = 6
    """The most of any other table."""


SMALL = Size(jobs=(1, 3), hours=(1, 14), moves=(0, 8), few=3)


def text(columns: str, rows: Iterable[Sequence[Any]]) -> str:
    """A text table."""
    lines = [columns.split(), *([("" if cell is None else str(cell)) for cell in row] for row in rows)]
    return "\n".join(f"| {' | '.join(line)} |" for line in lines)


class Maker:
    """Makes one season's tables; `start` is the first day of its work, `earlier` the jobs of the season before."""

    def __init__(self, chance: Random, season: int, start: date, size: Size, earlier: list[tuple[str, str]]) -> None:
        self.chance, self.season, self.start, self.size, self.earlier = chance, season, start, size, earlier
        self.jobs = [(branch, str(no)) for branch in BRANCHES for no in range(1, chance.randint(*size.jobs) + 1)]
        self.by_miles = self.likely(70)

    def likely(self, percent: int) -> bool:
        return self.chance.randrange(100) < percent

    def some(self, least: int, most: int | None = None) -> range:
        return range(self.chance.randint(least, self.size.few if most is None else most))

    def cents(self, least: int, most: int) -> str:
        return f"{self.chance.randint(least * 100, most * 100) / 100:.2f}"

    def day(self, span: int = 20) -> str:
        return (self.start + timedelta(days=self.chance.randrange(span))).isoformat()

    def job(self, none: int = 0) -> tuple[str | None, str | None]:
        """Branch and number of a job; in so many of a hundred cases none, with or without a branch."""
        return (self.branch(), None) if self.likely(none) else self.chance.choice(self.jobs)

    def branch(self) -> str | None:
        return self.chance.choice((*BRANCHES, None))

    def place(self) -> str:
        return self.chance.choice(("held", "rejected"))

    def jobs_table(self) -> str:
        rows = []
        for branch, no in self.jobs:
            work = self.chance.choice(("new", "repeat"))
            built = self.season - self.chance.randint(1, 4) if work == "repeat" and self.likely(80) else None
            miles = self.chance.choice((None, 0, self.cents(1, 40))) if self.by_miles else None
            rows.append((
                branch, no, f"{branch}{no}" if self.likely(80) else f"{self.season}-{branch}{no}",
                self.chance.choice(CREWS), work, self.chance.choice(("leased", "sold")), built,
                self.chance.randint(40, 300), self.cents(300, 2000), miles, self.day(),
                f"{self.season + 1}-01-20" if self.likely(80) else None,
            ))  # fmt: skip
        columns = "branch job_no property_no crew work terms built_season feet invoiced drive_miles"
        return text(f"{columns} install_date takedown_date", rows)

    def hours(self, count: int, *, held: bool = False) -> list[tuple[Any, ...]]:
        rows = []
        for _ in range(count):
            branch, job = (self.branch(), "99") if held else self.job(none=15)
            hours = self.chance.choice(("8", "4", "6.5", "1/3", "7/3", "0.25", "10", "12"))
            who = f"W{self.chance.randint(1, 5)}"
            rows.append((branch, job, self.chance.choice(CREWS), who, self.day(), self.chance.choice(TASKS), hours))
        return rows

    def pay(self, hours: list[tuple[Any, ...]]) -> str:
        """Bonus, piece and day pay over hours that are there, an owner's too; and subcontract pay."""
        rows: list[tuple[Any, ...]] = []
        for _ in self.some(0, 4):
            branch, job, _, worker, day, *_ = self.chance.choice(hours)
            its_job = (branch, job) if job and self.likely(40) else (None, None)
            until = (date.fromisoformat(day) + timedelta(days=self.chance.randint(0, 9))).isoformat()
            kind = self.chance.choice(("bonus", "piece", "day"))
            rows.append((*its_job, worker, day, until, kind, self.cents(20, 300)))
        for _ in self.some(0, 2):
            rows.append((*self.job(none=40), "W5", self.day(), f"{self.season + 1}-01-30", "subcontract",
                         self.cents(50, 600)))  # fmt: skip
        return text("branch job_no worker_no from_date to_date kind amount", rows)

    def built(self) -> dict[str, str]:
        runs, bulbs, connections = [], [], []
        for branch, no in self.jobs:
            for run in self.some(1, 3) if self.likely(80) else ():
                fastener = self.chance.choice((None, "CL"))
                pieces = self.chance.choice((None, self.chance.randint(5, 60)))
                feet, spacing = self.cents(10, 120), self.chance.choice((6, 12, 15))
                runs.append((branch, no, run, feet, spacing, "LL12", "B9", fastener, pieces))
                if self.likely(40):
                    bulbs += [(branch, no, run, "B9", "1/3"), (branch, no, run, "B9R", "2/3")]
            for kind in self.chance.sample(("plug", "timer", "capped_socket", "taped_socket", "splice"), 2):
                named = self.chance.choice(("CP1", None)) if kind == "capped_socket" else None
                connections.append((branch, no, kind, self.chance.randint(0, 7), named))
        return {
            "runs": text("branch job_no run_no feet spacing_in line_item bulb_item fastener_item fasteners", runs),
            "run_bulbs": text("branch job_no run_no bulb_item share", bulbs),
            "connections": text("branch job_no kind count item_no", connections),
        }

    def moves(self) -> str:
        rows = []
        for _ in self.some(*self.size.moves):
            unit = self.chance.choice((None, None, None, "pack", "dozen"))
            way = self.chance.choice(("issued", "issued", "issued", "returned", "scrapped"))
            item, much, day = (
                self.chance.choice(tuple(PACKS)),
                self.cents(1, 90),
                self.chance.choice((None, self.day())),
            )
            rows.append((*self.job(none=10), item, way, much, unit, day))
        return text("branch job_no item_no moved quantity unit move_date", rows)

    def bought_and_counted(self) -> dict[str, str]:
        """Purchases; stock before the first installation and after the last, in one branch, both or for all at once."""
        bought, counts = [], []
        for _ in self.some(0):
            item = self.chance.choice(tuple(PACKS))
            freight = self.chance.choice((None, self.cents(0, 30)))
            bought.append((self.branch(), item, self.chance.randint(1, 4), PACKS[item], self.cents(0, 400), freight))
        for _ in self.some(0):
            item = self.chance.choice(tuple(PACKS))
            places = self.chance.choice(((None,), BRANCHES, ("East",)))
            days = [(self.start - timedelta(days=self.chance.choice((1, 5)))).isoformat() for _ in self.some(0, 2)]
            days += [f"{self.season + 1}-03-0{1 + n}" for n in self.some(0, 2)]
            for place in places:
                state = self.chance.choice(("usable", "usable", "doubtful"))
                counts += [(place, item, self.cents(0, 500), state, day) for day in days]
        return {
            "purchases": text("branch item_no packs pack_size paid freight", bought),
            "stock": text("branch item_no on_hand condition counted_on", counts),
        }

    def charges(self) -> dict[str, str]:
        bases = ("feet", "hours", "revenue", "jobs")
        overheads = [(self.branch(), self.chance.choice(bases), self.cents(50, 3000)) for _ in self.some(1)]
        equipment = [(*self.job(none=40), self.cents(20, 400)) for _ in self.some(0)]
        trips = [
            (self.branch(), self.chance.choice(CREWS), self.day(), self.cents(0, 90))
            for _ in self.some(0, self.size.hours[0])
        ]
        return {
            "overheads": text("branch basis amount", overheads),
            "equipment": text("branch job_no amount", equipment),
            "trips": text("branch crew trip_date miles", trips),
        }

    def refused(self) -> dict[str, str]:
        """Held hours, charges that were refused, and held returns from jobs of the season before that are not there."""
        gone = [job for job in self.earlier if job not in self.jobs]
        back = [
            (*self.chance.choice(gone), self.chance.choice(tuple(PACKS)), "returned", self.cents(1, 60), "held", "made")
            for _ in (self.some(0) if gone else ())
        ]
        return {
            "hours": text("branch job_no crew worker_no work_date task hours place why",
                          [(*row, self.place(), "made") for row in self.hours(len(self.some(0)), held=True)]),
            "equipment": text("branch amount place why", [(self.branch(), self.cents(20, 400), self.place(), "made")]),
            "overheads": text("branch basis amount place why",
                              [(self.branch(), "feet", self.cents(20, 400), self.place(), "made")]),
            "materials": text("branch job_no item_no moved quantity place why", back),
        }  # fmt: skip

    def settings(self) -> dict[str, str]:
        given = {
            "owner_wage": "31.75", "state_unemployment": "0.027", "compensation": "0.083",
            "compensation:climber": "0.1291", "other_burden": "0.011", "mile_cost": "0.6133", "futa_base": "700",
            f"social_security_base:{self.season}": "1100", f"social_security_base:{self.season + 1}": "900",
        }  # fmt: skip
        chosen = {key: value for key, value in given.items() if self.likely(60)}
        bases = {"state_base": "800"} | ({f"state_base:{self.season + 1}": "333.33"} if self.likely(50) else {})
        return chosen | (bases if "state_unemployment" in chosen else {})

    def make(self, law: dict[str, str]) -> Season:
        hours = self.hours(self.chance.randint(*self.size.hours))
        workers = WORKERS.replace("{raise}", self.day())
        for word in ("{some}", "{more}"):
            workers = workers.replace(word, self.chance.choice(("", "150", "400", "1000")))
        tables = {"jobs": self.jobs_table(), "workers": workers, "pay": self.pay(hours), "items": ITEMS}
        tables |= {"hours": text("branch job_no crew worker_no work_date task hours", hours)}
        tables |= self.built() | {"materials": self.moves()} | self.bought_and_counted() | self.charges()
        for name in ("materials", "purchases", "stock"):
            if self.likely(15):
                del tables[name]
        return Season(season=self.season, settings=self.settings() | law, refused=self.refused(), **tables)


def made_seasons(chance: Random, count: int, size: Size = SMALL) -> tuple[Season, ...]:
    """Seasons of one firm, one a year, with workers and properties in common; the last one is 2025.

    The work of each goes over the new year, when the mile rate changes and the bases start again; sometimes the work of
    the last two falls in the same weeks.
    """
    law = {key: chance.choice(values) for key, values in LAW.items() if chance.randrange(100) < 60}
    made: list[Season] = []
    earlier: list[tuple[str, str]] = []
    overlap = chance.randrange(100) < 20
    for season in range(2026 - count, 2026):
        start = date(season, 12, 20)
        if overlap and count > 1 and season >= 2024:
            start = date(2025, 8, 1) if season == 2024 else date(2025, 8, 4)
        maker = Maker(chance, season, start, size, earlier)
        made.append(maker.make(law))
        earlier = maker.jobs
    return tuple(made)
