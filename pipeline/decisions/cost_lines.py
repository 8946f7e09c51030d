"""A fitted cost function as tables: rates with overhead, the least charge, and the cost of a foot by size of job."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import polars as pl
from numpy.typing import NDArray

from pipeline.decisions.cost_groups import Group, in_words, mean_rates
from pipeline.decisions.policy import LARGEST_CONDITION, SIZES_FT

Floats = NDArray[np.float64]

LINES = {
    "season": pl.Int32, "line": pl.Int32, "term": pl.String, "what": pl.String, "jobs": pl.Int32, "feet": pl.Float64,
    "direct_usd": pl.Float64, "low": pl.Float64, "high": pl.Float64, "variable_usd": pl.Float64,
    "fixed_usd": pl.Float64, "full_usd": pl.Float64, "full_low": pl.Float64, "full_high": pl.Float64,
}  # fmt: skip
LIMITS = {
    "season": pl.Int32, "what": pl.String, "unit": pl.String, "value": pl.Float64, "low": pl.Float64,
    "high": pl.Float64,
}  # fmt: skip
SIZES = {
    "season": pl.Int32, "feet": pl.Float64, "cost_usd": pl.Float64, "cost_usd_per_ft": pl.Float64, "low": pl.Float64,
    "high": pl.Float64, "charged_usd_per_ft": pl.Float64,
}  # fmt: skip
TAIL = 0.025
"""Share of the draws beyond each end of a 95 % interval."""
BASES = ("jobs", "feet", "hours", "revenue")


@dataclass(frozen=True)
class Overhead:
    """The season's overhead a job, a foot, a direct hour and a dollar charged: variable, then fixed.

    A basis that is nothing over all jobs is stood in for by feet, as where overhead is spread.
    """

    rates: dict[str, tuple[float, float]]

    @classmethod
    def none(cls) -> Overhead:
        """No overhead."""
        return cls(dict.fromkeys(BASES, (0.0, 0.0)))

    @classmethod
    def of(cls, overheads: pl.DataFrame, jobs: pl.DataFrame) -> Overhead:
        """From records.overheads and measures.job_cost of a season."""
        whole = {
            "jobs": float(jobs.height),
            "feet": float(jobs["feet"].fill_null(0).sum()),
            "hours": float(jobs["direct_hours"].sum()),
            "revenue": float(jobs["invoiced_usd"].fill_null(0).sum()),
        }
        rates = {basis: [0.0, 0.0] for basis in BASES}
        for basis, behaves, amount in overheads.select("basis", "behaves", "amount").rows():
            by = basis if whole[basis] else "feet"
            rates[by][behaves == "fixed"] += float(amount) / whole[by]
        return cls({basis: (pair[0], pair[1]) for basis, pair in rates.items()})

    @property
    def share_of_price(self) -> float:
        """What overhead that goes by revenue takes of any price."""
        return sum(self.rates["revenue"])

    def added(self, hours: Floats, behaves: int) -> Floats:
        """What it adds to coefficients whose hours these are: a job's to the start, the first, a foot's to the rest.

        `hours` has the coefficients of a fit of hours, last axis start and groups; `behaves` 0 variable, 1 fixed.
        """
        by_basis = np.full(hours.shape[-1], self.rates["feet"][behaves])
        by_basis[0] = self.rates["jobs"][behaves]
        return by_basis + self.rates["hours"][behaves] * hours


@dataclass(frozen=True)
class Fitted:
    """A fitted cost function. Coefficients: start, a rate a foot for each fitted group, differences of kinds of work.

    `found` is coefficients x (usd, hours), `draws` the same for each sample of jobs. `group_feet` are of the fitted
    groups, `shown` those that are shown together and `jobs` theirs; `work_feet` of the kinds of work, `feet` of the
    jobs.
    """

    group_feet: Floats
    shown: tuple[Group, ...]
    jobs: tuple[int, ...]
    work: tuple[tuple[str, str], ...]
    work_feet: Floats
    feet: Floats
    found: Floats
    draws: Floats
    condition: float

    @property
    def shown_feet(self) -> Floats:
        """Feet of each shown group."""
        return np.array([self.group_feet[list(group.members)].sum() for group in self.shown])

    def rates(self, coefficients: Floats) -> Floats:
        """Start and the shown groups' rates; the last axis is the fit's coefficients, then these."""
        groups = coefficients[..., 1 : 1 + len(self.group_feet)]
        return np.concatenate([coefficients[..., :1], mean_rates(self.shown, groups, self.group_feet)], axis=-1)

    def in_full(self, overhead: Overhead) -> tuple[Floats, Floats, Floats, Floats]:
        """Start and rates with overhead: found and drawn; and the variable and fixed overhead in what was found."""
        found, hours = self.rates(self.found[:, 0]), self.rates(self.found[:, 1])
        drawn, drawn_hours = self.rates(self.draws[..., 0]), self.rates(self.draws[..., 1])
        variable, fixed = overhead.added(hours, 0), overhead.added(hours, 1)
        more = overhead.added(drawn_hours, 0) + overhead.added(drawn_hours, 1)
        return found + variable + fixed, drawn + more, variable, fixed

    def mean_rate(self, rates: Floats) -> Floats:
        """The season's mean foot: the shown groups' rates by their feet; the last axis is start and groups."""
        return rates[..., 1:] @ self.shown_feet / self.shown_feet.sum()

    def differences(self) -> tuple[Floats, Floats]:
        """By how much a foot of each kind of work costs more than the mean foot: found and drawn, usd."""
        first = 1 + len(self.group_feet)
        both = np.concatenate([self.found[None, first:, 0], self.draws[:, first:, 0]])
        last = -(both @ (self.work_feet[:-1] / self.work_feet[-1]))
        whole = np.column_stack([both, last])
        return whole[0], whole[1:]

    def said(self) -> list[str]:
        """What the data cannot tell apart, in sentences."""
        together = [in_words(group, self.shown) for group in self.shown if len(group.kinds) > 1]
        notes = []
        if len(self.shown) == 1 and together:
            notes = ["These jobs do not tell surfaces or stories apart: what a foot costs differs by less than chance."]
        elif together:
            notes = [
                f"These jobs cannot tell apart what stands together in {_counted(len(together))} of "
                f"{_counted(len(self.shown))} lines ({'; '.join(together)}): the difference is no more than chance "
                "would give, or too few jobs have it, so that each of these lines has one rate."
            ]
        if self.condition > LARGEST_CONDITION:
            notes.append(
                "The jobs are so alike in size that going there and the rate a foot are hard to tell apart (condition "
                f"number {self.condition:.0f}, over {LARGEST_CONDITION:.0f})."
            )
        return notes


def _counted(number: int) -> str:
    words = ("none", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten")
    return words[number] if number < len(words) else str(number)


def limits_of(draws: Floats) -> tuple[float | None, float | None]:
    """The 95 % percentile limits; None for an end that is without bound."""
    low, high = np.quantile(draws, [TAIL, 1 - TAIL], method="closest_observation")
    return (float(low) if np.isfinite(low) else None, float(high) if np.isfinite(high) else None)


def _size_at(start: Floats, left_of_a_foot: Floats) -> Floats:
    """Feet from which what a foot leaves has paid for the start; without bound where a foot leaves nothing."""
    return np.divide(start, left_of_a_foot, out=np.full_like(start, np.inf), where=left_of_a_foot > 0)


def _line_frame(fitted: Fitted, overhead: Overhead, season: int) -> pl.DataFrame:
    full, drawn, variable, fixed = fitted.in_full(overhead)
    own, draws = fitted.rates(fitted.found[:, 0]), fitted.rates(fitted.draws[..., 0])
    heads = [("start", "Going there at all", len(fitted.feet), float(fitted.feet.sum()))]
    heads += [
        ("foot", in_words(group, fitted.shown), jobs, feet)
        for group, jobs, feet in zip(fitted.shown, fitted.jobs, fitted.shown_feet.tolist(), strict=True)
    ]
    rows: list[tuple] = []
    for at, head in enumerate(heads):
        direct = (own[at], *limits_of(draws[:, at]))
        rows.append((*head, *direct, variable[at], fixed[at], full[at], *limits_of(drawn[:, at])))
    if fitted.work:
        more, more_drawn = fitted.differences()
        for at, ((work, terms), feet) in enumerate(zip(fitted.work, fitted.work_feet.tolist(), strict=True)):
            line = (more[at], *limits_of(more_drawn[:, at]))
            rows.append(("work", f"{work} work, goods {terms}", None, feet, *line, None, None, *line))
    named = [(season, line, *row) for line, row in enumerate(rows, start=1)]
    return pl.DataFrame(named, schema=LINES, orient="row")


def _limit_frame(fitted: Fitted, overhead: Overhead, charged: float, margin: float, season: int) -> pl.DataFrame:
    """The least charge and the break-even sizes, at the price that was charged."""
    full, drawn, _, _ = fitted.in_full(overhead)
    start = np.concatenate([full[:1], drawn[:, 0]])
    foot = np.concatenate([[fitted.mean_rate(full)], fitted.mean_rate(drawn)])
    keep = 1 - overhead.share_of_price
    values = {("going_there", "usd"): start / keep if keep > 0 else np.full_like(start, np.inf)}
    values["mean_foot", "usd/ft"] = foot
    if keep - margin > 0:
        values["minimum_charge", "usd"] = start / (keep - margin)
    values["break_even_size", "ft"] = _size_at(start, charged * keep - foot)
    values["target_size", "ft"] = _size_at(start, charged * (keep - margin) - foot)
    rows = [
        (season, what, unit, float(both[0]) if np.isfinite(both[0]) else None, *limits_of(both[1:]))
        for (what, unit), both in values.items()
    ]
    return pl.DataFrame(rows, schema=LIMITS, orient="row")


def _size_frame(fitted: Fitted, overhead: Overhead, charged: float, season: int) -> pl.DataFrame:
    """What a foot costs in jobs of some sizes, on the season's mean roofline, within the sizes that there were."""
    full, drawn, _, _ = fitted.in_full(overhead)
    by_price = overhead.share_of_price * charged
    rows = []
    for size in SIZES_FT:
        if fitted.feet.min() <= size <= fitted.feet.max():
            cost = (full[0] / size) + fitted.mean_rate(full) + by_price
            draws = (drawn[:, 0] / size) + fitted.mean_rate(drawn) + by_price
            rows.append((season, float(size), float(cost) * size, float(cost), *limits_of(draws), charged or None))
    return pl.DataFrame(rows, schema=SIZES, orient="row")


def cost_frames(
    fitted: Fitted | None, overhead: Overhead, charged: float, margin: float, season: int
) -> tuple[pl.DataFrame, pl.DataFrame, pl.DataFrame]:
    """Rows of decisions.cost_function, cost_limits and cost_by_size; none without a fit.

    `charged` is the season's mean price a foot, usd; `margin` the target margin, of the price.
    """
    if fitted is None:
        return pl.DataFrame(schema=LINES), pl.DataFrame(schema=LIMITS), pl.DataFrame(schema=SIZES)
    return (
        _line_frame(fitted, overhead, season),
        _limit_frame(fitted, overhead, charged, margin, season),
        _size_frame(fitted, overhead, charged, season),
    )
