"""Hours: what each job truly needs, and the calendar on which the crews do it."""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass, field
from datetime import date, timedelta

from data_demo.make.houses import Job
from data_demo.make.truth import Truth, draws, lognormal_mean_one, to_quarter

SLACK_HOURS, PEAK_HOURS = 8.0, 9.75
"""A worker's planned day, outside and inside the peak weeks."""
LONGEST_DAY = 13.0


def true_install_hours(truth: Truth, job: Job) -> float:
    """Person-hours of the average crew on an average day; hidden difficulty is in it."""
    says, house = truth["hours"], job.house
    total = 0.0
    for run in house.runs:
        steep = max(0, house.slope - says["steep_above"]) if run.surface in ("shingle", "ridge") else 0
        total += run.feet * says["per_ft"][run.surface] * (1 + says["steep_rate"] * steep ** says["steep_power"])
    factor = says["repeat_factor"] if job.work == "repeat" else 1.0
    return (says["set_up"] + total * says["story_factor"][str(house.stories)]) * house.hidden * factor


def true_prep_hours(truth: Truth, job: Job) -> float:
    """Person-hours in the shop: cutting and bulbing new lines, checking old ones."""
    says = truth["hours"]
    return says["prep_set_up"] + job.house.feet * says[f"prep_per_ft_{job.work}"]


def true_takedown_hours(truth: Truth, job: Job) -> float:
    """Person-hours to take down; goods that go to storage take more, under their own task."""
    return true_install_hours(truth, job) * truth["hours"]["takedown_share"]


@dataclass(frozen=True)
class Entry:
    """A worker's hours on a day, on a job or in the shop."""

    day: date
    job: Job | None
    branch: str
    crew: str
    worker: str
    task: str
    hours: float


@dataclass
class Book:
    """The season's hours, and how full every worker's day is."""

    truth: Truth
    season: int
    entries: list[Entry] = field(default_factory=list)
    spent: dict[tuple[str, date], float] = field(default_factory=lambda: defaultdict(float))

    def __post_init__(self) -> None:
        self.branch_of = {crew["name"]: crew["branch"] for crew in self.truth["crews"]}
        self.skill = {crew["name"]: crew["skill"] for crew in self.truth["crews"]}
        self.members: dict[str, list[str]] = defaultdict(list)
        for worker in self.truth["workers"]:
            if self.season in worker.get("seasons", self.truth["seasons"]):
                self.members[worker["crew"]].append(worker["no"])
        self._weather: dict[tuple[str, date], float] = {}

    def weather(self, branch: str, day: date) -> float:
        """The day's factor on a branch's hours; 0 means rained out."""
        if (branch, day) not in self._weather:
            rng = draws(self.truth, "weather", branch, day)
            lost = rng.random() < self.truth["hours"]["rain_out_chance"]
            self._weather[branch, day] = 0.0 if lost else lognormal_mean_one(rng, self.truth["hours"]["day_sigma"])
        return self._weather[branch, day]

    def present(self, crew: str, day: date) -> list[str]:
        """Who of a crew is there that day: two at least."""
        rng = draws(self.truth, "absent", crew, day)
        there = [w for w in self.members[crew] if rng.random() >= self.truth["hours"]["absent_share"]]
        return there if len(there) >= 2 else self.members[crew][:2]

    def add(self, day: date, job: Job | None, crew: str, worker: str, task: str, hours: float) -> None:
        if hours > 0:
            branch = job.house.branch if job else self.branch_of[crew]
            self.entries.append(Entry(day, job, branch, crew, worker, task, hours))
            self.spent[worker, day] += hours

    def add_if_it_fits(self, day: date, job: Job | None, crew: str, worker: str, task: str, hours: float) -> bool:
        """Add, unless the worker's day would get too long."""
        if self.spent[worker, day] + hours > LONGEST_DAY:
            return False
        self.add(day, job, crew, worker, task, hours)
        return True


def day_hours(season: int, day: date) -> float:
    """Planned hours of a worker on a day; Saturdays are worked in the peak weeks alone."""
    peak = date(season, 11, 6) <= day <= date(season, 12, 9)
    if day.weekday() == 6 or (day.weekday() == 5 and not peak) or (day.month, day.day) in ((11, 27), (12, 25), (1, 1)):
        return 0.0
    return PEAK_HOURS if peak else SLACK_HOURS


class CrewCalendar:
    """A crew's days in order; work is laid on the first day with room."""

    def __init__(self, book: Book, crew: str, start: date) -> None:
        self.book, self.crew, self.day, self.used = book, crew, start, 0.0
        self._open(start)

    def _open(self, day: date) -> None:
        """Go to the next working day from `day`; a day that rain takes costs stand-by hours."""
        says = self.book.truth["hours"]
        while True:
            plan = day_hours(self.book.season, day)
            if plan and self.book.weather(self.book.branch_of[self.crew], day) == 0.0:
                for worker in self.book.present(self.crew, day):
                    if (worker, day) not in self.book.spent:
                        self.book.add(day, None, self.crew, worker, "weather", says["rain_out_hours"])
            elif plan:
                break
            day += timedelta(days=1)
        self.day, self.used = day, 0.0

    def lay(self, job: Job, parts: list[tuple[str, float]], earliest: date, weathered: bool = True) -> date:
        """Lay person-hours of tasks on a job, in order; returns the last day."""
        if self.day < earliest:
            self._open(earliest)
        drive = to_quarter(job.house.miles / self.book.truth["hours"]["miles_per_hour"])
        weather = self.book.weather(self.book.branch_of[self.crew], self.day) if weathered else 1.0
        left = [(task, hours * (weather if task == "install" else 1.0)) for task, hours in parts]
        need = sum(hours for _, hours in left) / len(self.book.present(self.crew, self.day)) + drive
        if self.used + min(need, 2.5) > day_hours(self.book.season, self.day):
            self._open(self.day + timedelta(days=1))
        while True:
            left = self._one_day(job, left, drive)
            if not left:
                return self.day
            self._open(self.day + timedelta(days=1))

    def _one_day(self, job: Job, parts: list[tuple[str, float]], drive: float) -> list[tuple[str, float]]:
        """Work on a job until it is done or the day is full; returns what is left of it."""
        book = self.book
        crowd = book.present(self.crew, self.day)
        slower = 1 + book.truth["hours"]["crowding"] * (len(crowd) - 2)
        room = day_hours(book.season, self.day) - self.used + 1.0
        left, away = [], False
        for task, hours in parts:
            if task != "prep" and not away:
                away = True
                room -= drive
                self._spend(job, "drive", drive, crowd)
            per_worker = hours * (slower if task == "install" else 1.0) / len(crowd)
            now = min(per_worker, max(room, 0.5))
            share = 1 - now / per_worker
            self._spend(job, task, to_quarter(now), crowd)
            room -= now
            if share * hours > 0.3:
                left.append((task, share * hours))
        return left

    def _spend(self, job: Job, task: str, hours: float, crowd: list[str]) -> None:
        for worker in crowd:
            self.book.add(self.day, job, self.crew, worker, task, hours)
        self.used += hours


def install(book: Book, jobs: list[Job]) -> None:
    """The autumn: each crew takes its jobs in the order in which customers asked."""
    truth = book.truth
    starts = date(book.season, 10, 5)
    calendars = {crew["name"]: CrewCalendar(book, crew["name"], starts) for crew in truth["crews"]}
    for job in sorted(jobs, key=lambda j: (j.requested, j.job_no)):
        assert job.requested is not None
        last = starts
        for crew, share in job.crews:
            parts = [
                ("prep", true_prep_hours(truth, job) * share),
                ("install", true_install_hours(truth, job) * share * book.skill[crew]),
            ]
            if job.other and crew == job.crew:
                parts.append(("other_work", job.other / truth["hours"]["other_work_usd_per_hour"]))
            last = max(last, calendars[crew].lay(job, parts, job.requested))
        job.install_date = last


def take_down(book: Book, jobs: list[Job]) -> None:
    """January: lights off around the sixth, then down, farthest promise last."""
    truth = book.truth
    rng = draws(truth, "takedown", book.season)
    starts = date(book.season + 1, 1, 4)
    calendars = {crew["name"]: CrewCalendar(book, crew["name"], starts) for crew in truth["crews"]}
    for place in rng.permutation(len(jobs)):
        job = jobs[place]
        assert job.install_date is not None
        job.lights_off = date(book.season + 1, 1, 2) + timedelta(days=int(rng.integers(0, 6)))
        if job.open:
            continue
        parts = [("takedown", true_takedown_hours(truth, job) * book.skill[job.crew])]
        if job.house.terms == "leased":
            says = truth["hours"]
            parts.append(("storage", says["storage_set_up"] + says["storage_per_ft"] * job.house.feet))
        job.takedown_date = calendars[job.crew].lay(job, parts, starts, weathered=False)
        job.lights_off = min(job.lights_off, job.takedown_date)


def indirect(book: Book) -> None:
    """Training before the season, Fridays in the shop, and shop days of the leads when there is no job."""
    says, season = book.truth["hours"], book.season
    for crew, members in book.members.items():
        for worker in members:
            if not worker.startswith("S"):
                book.add(date(season, 10, 1 + (crew > "M")), None, crew, worker, "training", says["training_hours"])
        if members[0].startswith("S"):
            continue
        for week in range(8):
            day = date(season, 9, 28) + timedelta(days=(4 - date(season, 9, 28).weekday()) % 7 + 7 * week)
            for worker in book.present(crew, day):
                book.add_if_it_fits(day, None, crew, worker, "shop", says["weekly_shop_hours"])
        for back in range(6):
            day = date(season, 9, 14) + timedelta(days=2 * back + (crew > "M"))
            lead = next(w for w in members if w != "W01")
            if day.weekday() < 5:
                book.add_if_it_fits(day, None, crew, lead, "shop", 7.0)
