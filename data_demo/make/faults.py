"""What fails while the lights are up, and the visits that mend it."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta

import numpy as np

from data_demo.make.houses import KINDS, Job
from data_demo.make.truth import Truth, draws, to_quarter
from data_demo.make.work import Book

CAUSE_OF_KIND = {
    "plug": ("plug", "water", "gfci_trip"),
    "inline_tap": ("plug", "water", "gfci_trip"),
    "splice": ("splice", "water", "cut_wire"),
    "taped_socket": ("socket", "water"),
    "capped_socket": ("socket", "water"),
    "timer": ("timer",),
    "cord_joint": ("water", "gfci_trip"),
}
OTHER_CALLS = {
    "bulb_calls_per_job": ("dead_bulb", "loose_bulb"),
    "trip_calls_per_job": ("gfci_trip", "breaker_trip"),
    "animal_calls_per_job": ("animal",),
    "fastener_calls_per_job": ("fastener",),
    "customer_calls_per_job": ("customer",),
}


@dataclass(frozen=True)
class Call:
    """A fault attended."""

    job: Job
    called: date
    fixed: date
    cause: str
    kind: str | None
    points: int
    chargeable: bool


def _failures(truth: Truth, job: Job, rng: np.random.Generator) -> list[str]:
    """Kinds of the points that fail, one entry a point."""
    says = truth["faults"]
    workmanship = {crew["name"]: crew["workmanship"] for crew in truth["crews"]}[job.crew]
    scale = job.lit_nights / 1000 * (1 + says["ageing"] * job.age) * workmanship * job.luck
    failed = []
    for kind in KINDS:
        failed += [kind] * int(rng.poisson(says["per_1000"][kind] * job.house.points[kind] * scale))
    return failed


def _others(truth: Truth, rng: np.random.Generator) -> list[str]:
    causes: list[str] = []
    for rate, names in OTHER_CALLS.items():
        causes += [names[int(rng.integers(len(names)))] for _ in range(int(rng.poisson(truth["faults"][rate])))]
    return causes


def _visit(book: Book, job: Job, called: date, wait: int, rng: np.random.Generator) -> date:
    """Send one worker; returns the day on which the visit fitted."""
    day = called + timedelta(days=wait)
    drive = to_quarter(job.house.miles / book.truth["hours"]["miles_per_hour"])
    hours = to_quarter(0.5 + float(rng.gamma(2.0, 0.35)))
    while True:
        for worker in book.present(job.crew, day):
            if day.weekday() < 6 and book.spent[worker, day] + drive + hours <= 11.5:
                book.add(day, job, job.crew, worker, "drive", drive)
                book.add(day, job, job.crew, worker, "service", hours)
                return day
        day += timedelta(days=1)


def attend(truth: Truth, book: Book, jobs: list[Job]) -> list[Call]:
    """Every call of the season, in order of the day, with its hours put into the book."""
    says = truth["faults"]
    calls = []
    for job in jobs:
        rng = draws(truth, "faults", job.season, job.house.property_no)
        job.luck = float(rng.gamma(says["luck_shape"], 1 / says["luck_shape"]))
        failed = _failures(truth, job, rng)
        job.faults = len(failed)
        visits: list[tuple[str | None, str, int]] = []
        while failed:
            kind = failed.pop()
            points = 1
            if kind in failed and rng.random() < says["together_chance"]:
                failed.remove(kind)
                points = 2
            causes = CAUSE_OF_KIND[kind]
            cause = "other" if rng.random() < says["cause_unknown_share"] else causes[int(rng.integers(len(causes)))]
            visits.append((None if rng.random() < says["kind_blank_share"] else kind, cause, points))
        visits += [("none", cause, 1) for cause in _others(truth, rng)]
        assert job.install_date is not None
        assert job.lights_off is not None
        for named, cause, points in visits:
            called = job.install_date + timedelta(days=1 + int(rng.integers(0, max(1, job.lit_nights - 4))))
            fixed = _visit(book, job, called, int(rng.geometric(1 / (1 + says["wait_days_mean"]))) - 1, rng)
            calls.append(Call(job, called, fixed, cause, named, points, cause == "customer" or rng.random() < 0.05))
    return sorted(calls, key=lambda call: (call.called, call.job.job_no, call.cause))
