"""Customers' houses: what each needs, written down or not, the same from season to season."""

from __future__ import annotations

import math
from dataclasses import dataclass, field
from datetime import date

import numpy as np

from data_demo.make.truth import Truth, draws, lognormal_mean_one, pick

FASTENER = {"gutter": "FGUT", "shingle": "FGUT", "ridge": "FRDG", "masonry": "FMAS", "trim": "FGUT", "ground": "FSTK"}
COLOUR_WEIGHTS = {"B9WW": 0.68, "B9CW": 0.20, "B9RD": 0.07, "B9GN": 0.05}
KINDS = ("plug", "inline_tap", "splice", "taped_socket", "capped_socket", "timer", "cord_joint")
MEAN_FEET = 160.0
"""Points of connection grow with the feet; this house has `points_per_job`."""


@dataclass(frozen=True)
class Run:
    """A piece of light line on one surface; feet in halves, so that feet and inches are exact."""

    run_no: int
    surface: str
    feet: float
    spacing: int
    line: str
    bulbs: tuple[tuple[str, float], ...]
    fastener: str
    feed: str

    @property
    def sockets(self) -> int:
        return math.floor(self.feet * 12 / self.spacing + 1e-9)


@dataclass(frozen=True)
class House:
    """A property. `hidden` is on no record."""

    customer_no: str
    property_no: str
    branch: str
    terms: str
    stories: int
    slope: int
    miles: int
    hidden: float
    first_season: int
    runs: tuple[Run, ...]
    points: dict[str, int]

    @property
    def feet(self) -> float:
        return sum(run.feet for run in self.runs)

    @property
    def sockets(self) -> int:
        return sum(run.sockets for run in self.runs)

    @property
    def steepness(self) -> float:
        """Mean near 0: what the dispatcher sees from the street."""
        return (self.slope - 6.6) / 2.4 * 0.6 + (self.stories - 1.63) / 0.65 * 0.6


@dataclass
class Job:
    """One season's work on a house."""

    season: int
    house: House
    tenure: int
    job_no: str = ""
    crews: tuple[tuple[str, float], ...] = ()
    requested: date | None = None
    install_date: date | None = None
    takedown_date: date | None = None
    lights_off: date | None = None
    luck: float = 1.0
    faults: int = 0
    quoted: int = 0
    invoiced: int = 0
    other: int = 0
    open: bool = False
    issued: dict[str, int] = field(default_factory=dict)

    @property
    def work(self) -> str:
        return "new" if self.tenure == 1 else "repeat"

    @property
    def age(self) -> int:
        return self.tenure - 1

    @property
    def crew(self) -> str:
        return self.crews[0][0]

    @property
    def lit_nights(self) -> int:
        assert self.install_date is not None
        assert self.lights_off is not None
        return (self.lights_off - self.install_date).days


def _runs(truth: Truth, rng: np.random.Generator, stories: int) -> tuple[Run, ...]:
    says = truth["houses"]
    feet = says["feet_median"] * math.exp(says["feet_sigma"] * float(rng.standard_normal()))
    feet = min(max(feet, says["feet_min"]), says["feet_max"])
    spacing = int(pick(rng, says["spacing_share"]))
    line = {9: "LL09W", 12: "LL12G" if rng.random() < 0.6 else "LL12W", 15: "LL15G"}[spacing]
    main = "B7WW" if spacing == 9 else pick(rng, COLOUR_WEIGHTS)
    two = spacing != 9 and rng.random() < says["two_colour_share"]
    bulbs: tuple[tuple[str, float], ...] = ((main, 1.0),)
    if two:
        bulbs = (("B9RD", 0.5), ("B9GN", 0.5)) if rng.random() < 0.6 else (("B9WW", 0.75), ("B9RD", 0.25))
    weights = dict(says["surface_weight"])
    if stories == 1:
        weights["ridge"] *= 0.6
    pieces = max(2, round(feet / says["mean_run_feet"] + float(rng.standard_normal())))
    cuts = rng.dirichlet(np.full(pieces, 3.0))
    lengths = [max(6.0, round(feet * float(cut) * 2) / 2) for cut in cuts]
    runs = []
    for number, length in enumerate(lengths, start=1):
        surface = pick(rng, weights)
        feed = "AB"[number * 2 > pieces + 1] if feet > 200 else "A"
        runs.append(Run(number, surface, length, spacing, line, bulbs, FASTENER.get(surface, "FGUT"), feed))
    return tuple(runs)


def make_house(truth: Truth, number: int, first_season: int) -> House:
    """A house by its number; a second property of a customer shares the customer's number."""
    says = truth["houses"]
    rng = draws(truth, "house", number)
    branch = pick(rng, {branch["name"]: branch["start_share"] for branch in truth["branches"]})
    stories = int(pick(rng, says["stories_share"]))
    slope = int(rng.choice(says["slopes"], p=says["slope_weights"]))
    runs = _runs(truth, rng, stories)
    size = sum(run.feet for run in runs) / MEAN_FEET
    sockets = sum(run.sockets for run in runs)
    points = {}
    for kind in KINDS:
        mean = truth["faults"]["points_per_job"][kind]
        points[kind] = 1 if kind == "timer" else int(rng.poisson(mean * size))
    points["plug"] = max(1, points["plug"])
    points["taped_socket"] = min(points["taped_socket"], sockets // 10)
    points["capped_socket"] = min(points["capped_socket"], sockets // 10)
    miles = says["miles_median"] * math.exp(says["miles_sigma"] * float(rng.standard_normal()))
    second = number % 23 == 0
    customer = f"C{1000 + number - second}"
    return House(
        customer_no=customer,
        property_no=f"{customer}-{2 if second else 1}",
        branch=branch,
        terms="leased" if rng.random() < says["leased_share"] else "sold",
        stories=stories,
        slope=slope,
        miles=round(min(max(miles, 2), 60)),
        hidden=lognormal_mean_one(rng, says["hidden_difficulty_sigma"]),
        first_season=first_season,
        runs=runs,
        points=points,
    )
