"""Small seasons made by chance from a seed, with every kind of row that cost knows: for comparing two costings."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
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
MOVED = ("LL12", "B9", "B9R", "CL", "PL", "TM", "ZIP", "TAPE")
TASKS = ("install",) * 6 + (
    "prep",
    "drive",
    "drive",
    "service",
    "takedown",
    "storage",
    "other_work",
    "shop",
    "training",
)
WORKERS = """
    | worker_no | role    | engaged     | hourly_wage | from_date |
    | W1        | Climber | employee    | 19.50       |           |
    | W1        | Climber | employee    | 21.35       | {raise}   |
    | W2        | Helper  | employee    | 17.10       |           |
    | W3        |         | employee    | 18.33       |           |
    | W4        |         | owner       |             |           |
    | W5        |         | subcontract |             |           |
"""


def text(columns: str, rows: Iterable[Sequence[Any]]) -> str:
    """A text table."""
    lines = [columns.split(), *([("" if cell is None else str(cell)) for cell in row] for row in rows)]
    return "\n".join(f"| {' | '.join(line)} |" for line in lines)


class Maker:
    """Makes one season's tables; `start` is the first day of its work."""

    def __init__(self, seed: int, season: int, start: date) -> None:
        self.chance, self.season, self.start = Random(seed), season, start
        self.jobs = [(branch, str(no)) for branch in BRANCHES for no in range(1, self.chance.randint(3, 5))]
        self.by_miles = self.chance.random() < 0.7

    def some(self, least: int, most: int) -> range:
        return range(self.chance.randint(least, most))

    def cents(self, least: int, most: int) -> str:
        return f"{self.chance.randint(least * 100, most * 100) / 100:.2f}"

    def day(self, span: int = 20) -> str:
        return (self.start + timedelta(days=self.chance.randrange(span))).isoformat()

    def job(self, none: float = 0.0) -> tuple[str | None, str | None]:
        """Branch and number of a job; sometimes none, with or without a branch."""
        if self.chance.random() < none:
            return self.chance.choice((*BRANCHES, None)), None
        return self.chance.choice(self.jobs)

    def jobs_table(self) -> str:
        rows = []
        for branch, no in self.jobs:
            work = self.chance.choice(("new", "repeat"))
            built = self.season - self.chance.randint(1, 6) if work == "repeat" and self.chance.random() < 0.8 else None
            miles = self.chance.choice((None, 0, self.cents(1, 40))) if self.by_miles else None
            rows.append((
                branch, no, self.chance.choice(CREWS), work, self.chance.choice(("leased", "sold")), built,
                self.chance.randint(40, 300), self.cents(300, 2000), miles, self.day(),
                f"{self.season + 1}-01-20" if self.chance.random() < 0.8 else None,
            ))  # fmt: skip
        return text(
            "branch job_no crew work terms built_season feet invoiced drive_miles install_date takedown_date", rows
        )

    def hours(self, count: int, *, held: bool = False) -> list[tuple[Any, ...]]:
        rows = []
        for _ in range(count):
            branch, job = (None, "99") if held else self.job(none=0.15)
            worker = f"W{self.chance.randint(1, 5)}"
            hours = self.chance.choice(("8", "4", "6.5", "1/3", "7/3", "0.25", "10", "12"))
            rows.append((branch, job, self.chance.choice(CREWS), worker, self.day(), self.chance.choice(TASKS), hours))
        return rows

    def refused_hours(self) -> str:
        rows = [(*row, self.chance.choice(("held", "rejected")), "made") for row in self.hours(4, held=True)]
        return text("branch job_no crew worker_no work_date task hours place why", rows)

    def pay(self, hours: list[tuple[Any, ...]]) -> str:
        rows: list[tuple[Any, ...]] = []
        for _ in self.some(1, 4):
            branch, job, _, worker, day, *_ = self.chance.choice(hours)
            its_job = (branch, job) if job and self.chance.random() < 0.4 else (None, None)
            until = (date.fromisoformat(day) + timedelta(days=self.chance.randint(0, 9))).isoformat()
            kind = self.chance.choice(("bonus", "piece", "day"))
            rows.append((*its_job, worker, day, until, kind, self.cents(20, 300)))
        for _ in self.some(0, 2):
            rows.append(
                (*self.job(none=0.4), "W5", self.day(), f"{self.season + 1}-01-30", "subcontract", self.cents(50, 600))
            )
        return text("branch job_no worker_no from_date to_date kind amount", rows)

    def goods(self) -> dict[str, str]:
        runs, bulbs, connections, moves = [], [], [], []
        for branch, no in self.jobs:
            for run in self.some(1, 3) if self.chance.random() < 0.8 else ():
                fastener = self.chance.choice((None, "CL"))
                pieces = self.chance.choice((None, self.chance.randint(5, 60)))
                feet, spacing = self.cents(10, 120), self.chance.choice((6, 12, 15))
                runs.append((branch, no, run, feet, spacing, "LL12", "B9", fastener, pieces))
                if self.chance.random() < 0.4:
                    bulbs += [(branch, no, run, "B9", "1/3"), (branch, no, run, "B9R", "2/3")]
            for kind in self.chance.sample(("plug", "timer", "capped_socket", "taped_socket", "splice"), 2):
                named = self.chance.choice(("CP1", None)) if kind == "capped_socket" else None
                connections.append((branch, no, kind, self.chance.randint(0, 7), named))
        for _ in self.some(8, 25):
            unit = self.chance.choice((None, None, None, "pack", "dozen"))
            way = self.chance.choice(("issued", "issued", "issued", "returned", "scrapped"))
            item, much, day = self.chance.choice(MOVED), self.cents(1, 90), self.chance.choice((None, self.day()))
            moves.append((*self.job(none=0.1), item, way, much, unit, day))
        return {
            "items": ITEMS,
            "runs": text("branch job_no run_no feet spacing_in line_item bulb_item fastener_item fasteners", runs),
            "run_bulbs": text("branch job_no run_no bulb_item share", bulbs),
            "connections": text("branch job_no kind count item_no", connections),
            "materials": text("branch job_no item_no moved quantity unit move_date", moves),
        }

    def charges(self) -> dict[str, str]:
        bases = ("feet", "hours", "revenue", "jobs")
        overheads = [
            (self.chance.choice((*BRANCHES, None)), self.chance.choice(bases), self.cents(50, 3000))
            for _ in self.some(1, 6)
        ]
        equipment = [(*self.job(none=0.4), self.cents(20, 400)) for _ in self.some(0, 4)]
        trips = [
            (self.chance.choice((*BRANCHES, None)), self.chance.choice(CREWS), self.day(), self.cents(0, 90))
            for _ in self.some(0, 25)
        ]
        purchases = [("LL12", 3, 500, self.cents(100, 900), self.cents(0, 30))]
        return {
            "overheads": text("branch basis amount", overheads),
            "equipment": text("branch job_no amount", equipment),
            "trips": text("branch crew trip_date miles", trips),
            "purchases": text("item_no packs pack_size paid freight", purchases),
        }

    def settings(self) -> dict[str, str]:
        given = {
            "owner_wage": "31.75", "state_unemployment": "0.027", "compensation": "0.083",
            "compensation:climber": "0.1291", "other_burden": "0.011", "daily_limit": "8", "mile_cost": "0.6133",
            "week_starts": self.chance.choice(("monday", "wednesday")),
            "weekly_limit": self.chance.choice(("15", "30")),
        }  # fmt: skip
        chosen = {key: value for key, value in given.items() if self.chance.random() < 0.6}
        return chosen | ({"state_base": "9000"} if "state_unemployment" in chosen else {})

    def make(self) -> Season:
        hours = self.hours(self.chance.randint(25, 60))
        tables = {"jobs": self.jobs_table(), "workers": WORKERS.replace("{raise}", self.day()), "pay": self.pay(hours)}
        tables |= {"hours": text("branch job_no crew worker_no work_date task hours", hours)}
        tables |= self.goods() | self.charges()
        if self.chance.random() < 0.2:
            del tables["materials"]
        return Season(season=self.season, settings=self.settings(), refused={"hours": self.refused_hours()}, **tables)


def made_season(seed: int, season: int = 2025, start: date = date(2025, 12, 20)) -> Season:
    """A season made from a seed; its work goes over the new year, when the mile rate changes."""
    return Maker(seed, season, start).make()
